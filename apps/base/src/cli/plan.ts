import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, extname, join } from 'node:path';
import { spreadsheetText } from '@plumbline/shared/plan';
import * as z from 'zod';
import type { PlanFile } from '../kind.ts';
import type { AdminClient } from './client.ts';
import { CommandError } from './commandError.ts';

const importAnswer = z.object({ values: z.int() });
const planAnswer = z.object({
  sheets: z.array(z.object({ table: z.string(), title: z.string(), rows: z.array(z.array(z.string())) })),
});

export interface ImportChoice {
  /** Says what would be taken in, and writes nothing. */
  readonly dry: boolean;
}

/** Takes plan files in; of a spreadsheet (`.xlsx`) every sheet. @throws CommandError naming what cannot be read */
export async function importPlan(
  client: AdminClient,
  board: string,
  paths: readonly string[],
  { dry }: ImportChoice,
): Promise<{ values: number }> {
  const path = `/api/boards/${encodeURIComponent(board)}/import${dry ? '?dry=1' : ''}`;
  if (!paths.some(isSpreadsheet)) {
    const form = new FormData();
    for (const file of paths) form.append('plan', new File([readFileSync(file)], basename(file)));
    return client.call('POST', path, importAnswer, form);
  }
  const files: PlanFile[] = [];
  for (const file of paths) {
    if (isSpreadsheet(file)) files.push(...(await sheetsOf(file)));
    else files.push({ name: basename(file), text: readFileSync(file, 'utf8') });
  }
  return client.call('POST', path, importAnswer, { files });
}

function isSpreadsheet(path: string): boolean {
  return extname(path).toLowerCase() === '.xlsx';
}

/** The sheets of a spreadsheet that hold something, each named after its file and itself. */
async function sheetsOf(path: string): Promise<PlanFile[]> {
  // the libraries for spreadsheets are loaded by whoever needs them; every other command starts without
  const { default: readSpreadsheet } = await import('read-excel-file/node');
  const sheets = await readSpreadsheet(readFileSync(path)).catch((error: unknown) => {
    throw new CommandError(
      `${basename(path)} cannot be read as a spreadsheet: ${error instanceof Error ? error.message : ''}`,
    );
  });
  return sheets
    .filter(({ data }) => data.length > 0)
    .map(({ sheet, data }) => ({
      name: `${basename(path)} › ${sheet}`.replace(/[^\p{L}\p{N} ._()›-]/gu, '-').slice(0, 120),
      rows: data.map((row) => row.map((cell) => spreadsheetText(toCell(cell)))),
    }));
}

const cellSchema = z.union([z.string(), z.number(), z.boolean(), z.date(), z.null()]);

function toCell(cell: unknown): z.output<typeof cellSchema> {
  const parsed = cellSchema.safeParse(cell);
  return parsed.success ? parsed.data : null;
}

/**
 * Writes a board's plan: into one spreadsheet where the path ends in `.xlsx`, otherwise into a folder with one CSV file a table.
 * Existing files are not written over.
 */
export async function exportPlan(
  client: AdminClient,
  board: string,
  path: string,
): Promise<{ files: readonly string[] }> {
  const { sheets } = await client.call('GET', `/api/boards/${encodeURIComponent(board)}/plan`, planAnswer);
  if (isSpreadsheet(path)) {
    const { default: writeSpreadsheet } = await import('write-excel-file/node');
    const book = await writeSpreadsheet(
      sheets.map(({ title, rows }) => ({
        sheet: title.slice(0, 31),
        data: rows.map((row, index) =>
          row.map((value) => (index === 0 ? { value, fontWeight: 'bold' as const } : { value })),
        ),
        stickyRowsCount: 1,
      })),
    ).toBuffer();
    writeNew(path, book);
    return { files: [path] };
  }
  mkdirSync(path, { recursive: true });
  return {
    files: sheets.map(({ table, rows }) => {
      const file = join(path, `${table}.csv`);
      writeNew(file, csvOf(rows));
      return file;
    }),
  };
}

function writeNew(path: string, content: string | Uint8Array): void {
  try {
    writeFileSync(path, content, { flag: 'wx' });
  } catch (error) {
    throw new CommandError(`${path} cannot be written: ${error instanceof Error ? error.message : ''}`);
  }
}

/** RFC 4180, with the mark that makes spreadsheets read UTF-8. */
function csvOf(rows: readonly (readonly string[])[]): string {
  const cell = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  return `\ufeff${rows.map((row) => row.map(cell).join(',')).join('\r\n')}\r\n`;
}
