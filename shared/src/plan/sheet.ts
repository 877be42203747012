import type { Csv, CsvRow } from './csv.ts';
import { type Column, columnOf, kindOf, unknownSentence } from './headers.ts';
import { type PlanKind, SHOOT_KIND } from './kinds.ts';
import { matchedKind, matchedNames } from './matching.ts';
import type { Writing } from './numbers.ts';
import { type Matching, type Origin, type PlanProblem, problemAt, wholeOf } from './problems.ts';

/** A cell that holds something. */
export interface SheetCell {
  readonly text: string;
  readonly origin: Origin;
  readonly unitInHeader: boolean;
}

/** One record as a sheet gives it: the parts of its id as they are written, and its fields. */
export interface SheetRow {
  readonly kind: PlanKind;
  readonly writing: Writing;
  readonly origin: Origin;
  readonly id: readonly (SheetCell | undefined)[];
  readonly fields: ReadonlyMap<string, SheetCell>;
}

interface HeadedColumn {
  readonly header: string;
  readonly column: Column;
}

/** More columns than any table has fields, several times over. */
const MOST_COLUMNS = 500;

/**
 * The rows of a sheet as records of its kind, and what is wrong with its header and shape.
 *
 * @param matching what somebody says that the columns hold; otherwise the first row says it
 */
export function readSheet(
  file: string,
  csv: Csv,
  matching?: Matching,
): { rows: SheetRow[]; problems: PlanProblem[] } {
  const [top, ...below] = csv.rows;
  if (!top) return { rows: [], problems: [problemAt(wholeOf(file), 'The file is empty.')] };
  if (!matching && isSettings(top)) return readSettings(file, csv, below);
  if (top.cells.filter((header) => header !== '').length > MOST_COLUMNS) {
    return {
      rows: [],
      problems: [problemAt(wholeOf(file, top.line), 'This is no header: it has far too many columns.')],
    };
  }
  const kind = matching ? matchedKind(matching) : kindOf(top.cells, file);
  if (typeof kind === 'string') return { rows: [], problems: [problemAt(wholeOf(file, top.line), kind)] };
  const names = matching ? matchedNames(matching, top.cells) : top.cells;
  const columns = top.cells.map((header, index) => ({
    header: header.trim() || (names[index] ?? ''),
    column: columnOf(kind, names[index] ?? ''),
  }));
  const problems = headerProblems(file, kind, top.line, columns);
  const rows: SheetRow[] = [];
  for (const row of below) {
    const beyond = row.cells.findIndex((cell, index) => cell !== '' && !columns[index]?.header);
    if (beyond >= 0) {
      const origin = { ...wholeOf(file, row.line), column: beyond + 1 };
      problems.push(problemAt(origin, `“${row.cells[beyond]}” stands under no header.`));
    }
    rows.push(sheetRow(file, kind, csv, columns, row));
  }
  return { rows, problems };
}

function headerProblems(
  file: string,
  kind: PlanKind,
  line: number,
  columns: readonly HeadedColumn[],
): PlanProblem[] {
  const seen = new Map<string, string>();
  return columns.flatMap(({ header, column }, index) => {
    const origin = { file, line, column: index + 1, header };
    const problem = columnProblem(kind, column);
    if (problem !== null) return [problemAt(origin, problem)];
    if (column.kind !== 'id' && column.kind !== 'field') return [];
    const key = column.kind === 'id' ? `id ${column.part}` : column.field;
    const before = seen.get(key);
    seen.set(key, header);
    return before === undefined ? [] : [problemAt(origin, `“${before}” says the same already`)];
  });
}

function columnProblem(kind: PlanKind, column: Column): string | null {
  if (column.kind === 'unknown') return unknownSentence(kind, column.name);
  return column.kind === 'otherUnit' ? column.sentence : null;
}

function sheetRow(
  file: string,
  kind: PlanKind,
  writing: Writing,
  columns: readonly HeadedColumn[],
  row: CsvRow,
): SheetRow {
  const id: (SheetCell | undefined)[] = kind.id.map(() => undefined);
  const fields = new Map<string, SheetCell>();
  columns.forEach(({ header, column }, index) => {
    const text = row.cells[index] ?? '';
    if (text.trim() === '') return;
    const origin = { file, line: row.line, column: index + 1, header };
    if (column.kind === 'id') id[column.part] = { text, origin, unitInHeader: false };
    if (column.kind === 'field')
      fields.set(column.field, { text, origin, unitInHeader: column.unitInHeader });
  });
  return { kind, writing, origin: wholeOf(file, row.line), id, fields };
}

/** The shoot's own settings stand one below the other: what, and how it is set. */
function isSettings({ cells }: CsvRow): boolean {
  const [what, value] = cells.map((cell) => cell.trim().toLowerCase());
  return what === 'setting' && value === 'value';
}

function readSettings(
  file: string,
  writing: Writing,
  rows: readonly CsvRow[],
): { rows: SheetRow[]; problems: PlanProblem[] } {
  const kind = SHOOT_KIND;
  const problems: PlanProblem[] = [];
  const fields = new Map<string, SheetCell>();
  for (const { line, cells } of rows) {
    const [header = '', text = ''] = cells.map((cell) => cell.trim());
    const column = columnOf(kind, header);
    const origin = { file, line, column: 1, header };
    const problem = columnProblem(kind, column);
    if (problem !== null) problems.push(problemAt(origin, problem));
    if (column.kind !== 'field' || text === '') continue;
    if (fields.has(column.field)) problems.push(problemAt(origin, 'it is set already further up'));
    fields.set(column.field, { text, origin: { ...origin, column: 2 }, unitInHeader: column.unitInHeader });
  }
  return { rows: [{ kind, writing, origin: wholeOf(file, rows[0]?.line ?? 1), id: [], fields }], problems };
}
