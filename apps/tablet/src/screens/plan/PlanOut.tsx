import { type PlanSheet, writePlan } from '@plumbline/shared/plan';
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { useDesk } from '../../board/useDesk.ts';

const KEEP_URL_MS = 60_000;

/** The plan as files, in the form that is taken in. Made on this tablet, so it works without the base. */
export function PlanOut(): JSX.Element {
  const desk = useDesk();
  const [problem, setProblem] = useState<string | null>(null);
  const sheets = (): readonly PlanSheet[] => writePlan(desk.live.replica.shown);
  const spreadsheet = async (): Promise<void> => {
    setProblem(null);
    try {
      const { default: writeSpreadsheet } = await import('write-excel-file/universal');
      const book = writeSpreadsheet(
        sheets().map(({ title, rows }) => ({
          sheet: title.slice(0, 31),
          stickyRowsCount: 1,
          data: rows.map((row, index) =>
            row.map((value) => (index === 0 ? { value, fontWeight: 'bold' as const } : { value })),
          ),
        })),
      );
      offer('plan.xlsx', await book.toBlob());
    } catch {
      setProblem('The spreadsheet could not be made. Open this page once while the base is near.');
    }
  };
  const csv = (sheet: PlanSheet): void =>
    offer(`${sheet.table}.csv`, new Blob([csvOf(sheet.rows)], { type: 'text/csv' }));
  return (
    <section class="section" aria-label="Plan out">
      <h2>Plan out</h2>
      <p class="muted">
        The plan as it stands, in the form that is taken in: change it in a spreadsheet and take it in again.
        What has not changed is not written twice.
      </p>
      <div class="row wrap">
        <button type="button" class="act" onClick={() => void spreadsheet()}>
          One spreadsheet (.xlsx)
        </button>
        {sheets().map((sheet) => (
          <button key={sheet.table} type="button" class="act outline" onClick={() => csv(sheet)}>
            {sheet.title} (.csv)
          </button>
        ))}
      </div>
      {problem !== null && (
        <p class="reads" data-wrong="true" role="alert">
          {problem}
        </p>
      )}
    </section>
  );
}

/** Lets the browser save something under a name. */
function offer(name: string, content: Blob): void {
  const url = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // the browser may still be asking where to put it
  setTimeout(() => URL.revokeObjectURL(url), KEEP_URL_MS);
}

/** RFC 4180, with the mark that makes spreadsheets read UTF-8. */
function csvOf(rows: readonly (readonly string[])[]): string {
  const cell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return `\ufeff${rows.map((row) => row.map(cell).join(',')).join('\r\n')}\r\n`;
}
