import { type PlanFile, planText, spreadsheetText } from '@plumbline/shared/plan';
import * as z from 'zod/mini';

/** More than this is no plan, and the base takes no more either. */
export const MOST_BYTES = 4 * 1024 * 1024;

/** A file that could not be read, and why. */
export interface Unread {
  readonly name: string;
  readonly problem: string;
}

const cellSchema = z.union([z.string(), z.number(), z.boolean(), z.date(), z.null()]);

/** Names go to the base, which takes letters, digits and a few signs. */
function plainName(name: string): string {
  return name.replace(/[^\p{L}\p{N} ._()›-]/gu, '-').slice(0, 120) || 'plan';
}

/** The sheets of files that somebody chose. Spreadsheets are read here, so that no such file reaches the base. */
export async function readFiles(chosen: readonly File[]): Promise<{ files: PlanFile[]; unread: Unread[] }> {
  const files: PlanFile[] = [];
  const unread: Unread[] = [];
  for (const file of chosen) {
    const name = plainName(file.name);
    if (file.size > MOST_BYTES) {
      unread.push({ name, problem: 'It is larger than 4 MB, so it is no plan.' });
    } else if (/\.xlsx$/i.test(file.name)) {
      const sheets = await sheetsOf(file, name);
      if (Array.isArray(sheets)) files.push(...sheets);
      else unread.push(sheets);
    } else if (/\.xls$/i.test(file.name)) {
      unread.push({ name, problem: 'This old form of spreadsheet is not read; save it as .xlsx or CSV.' });
    } else {
      files.push({ name, text: new Uint8Array(await file.arrayBuffer()) });
    }
  }
  return { files, unread };
}

async function sheetsOf(file: File, name: string): Promise<PlanFile[] | Unread> {
  try {
    const { default: readSpreadsheet } = await import('read-excel-file/universal');
    const sheets = await readSpreadsheet(file);
    const filled = sheets.filter(({ data }) => data.length > 0);
    if (filled.length === 0) return { name, problem: 'Nothing stands in it.' };
    return filled.map(({ sheet, data }) => ({
      name: plainName(filled.length === 1 ? name : `${name} › ${sheet}`),
      rows: data.map((row) =>
        row.map((cell) => {
          const parsed = z.safeParse(cellSchema, cell);
          return parsed.success ? spreadsheetText(parsed.data) : '';
        }),
      ),
    }));
  } catch {
    return {
      name,
      problem: 'It cannot be read as a spreadsheet. Is it damaged, or protected by a password?',
    };
  }
}

/** A file as the import call takes it. */
export function toSend(file: PlanFile): unknown {
  const matching = file.matching && { matching: file.matching };
  return 'rows' in file
    ? { name: file.name, rows: file.rows, ...matching }
    : { name: file.name, text: planText(file.text), ...matching };
}
