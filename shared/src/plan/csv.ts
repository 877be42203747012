import { CsvError, parse } from 'csv-parse/browser/esm/sync';
import { type PlanProblem, problemAt, wholeOf } from './problems.ts';

/** A row of a sheet and the line that it begins on. */
export interface CsvRow {
  readonly line: number;
  readonly cells: readonly string[];
}

/** A sheet as rows; those without anything in them are left out. */
export interface Csv {
  readonly delimiter: string;
  /** Where cells are separated by semicolons or tabs, the comma is free to stand before the decimals. */
  readonly decimalComma: boolean;
  readonly rows: readonly CsvRow[];
}

/** A sheet that was never text: its numbers carry a point, and its lines count from the first row. */
export function sheetOfRows(rows: readonly (readonly string[])[]): Csv {
  const numbered = rows.map((cells, index) => ({ line: index + 1, cells }));
  return {
    delimiter: ',',
    decimalComma: false,
    rows: numbered.filter(({ cells }) => cells.some((cell) => cell.trim() !== '')),
  };
}

const DELIMITERS = [',', ';', '\t'] as const;

/** How often a sign occurs in the first line that holds something, outside of quotes. */
function countInHeader(text: string, sign: string): number {
  let count = 0;
  let quoted = false;
  for (const char of text.trimStart()) {
    if (char === '"') quoted = !quoted;
    else if (char === '\n' && !quoted) break;
    else if (char === sign && !quoted) count++;
  }
  return count;
}

/** The sign that separates the cells: the one that the header has most of. */
export function delimiterOf(text: string): string {
  const counts = DELIMITERS.map((sign) => ({ sign, count: countInHeader(text, sign) }));
  return counts.reduce((most, next) => (next.count > most.count ? next : most)).sign;
}

/** A first line such as `sep=;` that some spreadsheets write and take out again themselves. */
const SEPARATOR_LINE = /^"?sep=(.)"?\n/i;

/**
 * Reads comma-separated values as spreadsheets write them (RFC 4180, and what it leaves open): cells in quotes may hold
 * line breaks, doubled quotes and the delimiter; blank lines and empty columns at the end are nothing.
 *
 * @param text with `\n` at every line's end
 * @returns the sheet, or what is wrong with it
 */
export function readCsv(file: string, text: string): Csv | PlanProblem {
  const named = SEPARATOR_LINE.exec(text);
  const body = named ? text.slice(named[0].length) : text;
  const firstLine = named ? 2 : 1;
  const delimiter = named?.[1] ?? delimiterOf(body);
  const ends: number[] = [];
  const startOf = (row: number) => (row === 0 ? 0 : (ends[row - 1] ?? 0)) + firstLine;
  try {
    const rows = parse(body, {
      delimiter,
      record_delimiter: '\n',
      relax_column_count: true,
      // A quote inside an unquoted cell is an inch or a nickname.
      relax_quotes: true,
      ltrim: true,
      rtrim: true,
      on_record: (record: string[], { lines }) => {
        ends.push(lines);
        return record;
      },
    });
    const numbered = rows.map((cells, index) => ({ line: startOf(index), cells }));
    return {
      delimiter,
      decimalComma: delimiter !== ',',
      rows: numbered.filter(({ cells }) => cells.some((cell) => cell.trim() !== '')),
    };
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const sentence =
      error.code === 'CSV_QUOTE_NOT_CLOSED'
        ? 'A quote opens in this row and never closes.'
        : 'A quote closes in the middle of a cell; a quote inside quotes is doubled.';
    return problemAt(wholeOf(file, startOf(ends.length)), sentence);
  }
}
