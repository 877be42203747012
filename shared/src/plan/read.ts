import { addressKey, type BoardReader, fitsTable, sameJson } from '@plumbline/replica';
import type { ShootField } from '../tables/index.ts';
import { readCell } from './cells.ts';
import { checkPlan, type PlanValue } from './check.ts';
import { type Csv, readCsv, sheetOfRows } from './csv.ts';
import { Directory } from './directory.ts';
import { looksLikeJson, readPlanJson } from './json.ts';
import { PLAN_KINDS, tableOf } from './kinds.ts';
import {
  type Matching,
  type Origin,
  type PlanFile,
  type PlanProblem,
  problemAt,
  wholeOf,
} from './problems.ts';
import { nameOf, recordOf, standsAlone } from './records.ts';
import { readSheet, type SheetRow } from './sheet.ts';
import { planText } from './text.ts';

/** What came of reading plan files: all of their values that are not on the board yet, or none. */
export type PlanReading =
  | { readonly kind: 'read'; readonly values: readonly PlanValue[] }
  | { readonly kind: 'wrong'; readonly problems: readonly PlanProblem[] };

/** More than this many problems at once help nobody to mend the first. */
const MOST_PROBLEMS = 200;

/** A value with the place in the files that it comes from. */
interface Placed extends PlanValue {
  readonly origin: Origin;
}

interface Draft {
  readonly rows: SheetRow[];
  readonly values: Placed[];
  readonly problems: PlanProblem[];
}

/**
 * Reads plan files, as spreadsheets save them (CSV) or as JSON, against the board as it stands. Each file's first row
 * says what it holds. Either all is right and what is new comes back, in an order in which a record comes before
 * those that need it, or nothing does and every problem is named with its file, line and column.
 *
 * What stands on the board already is not written again: reading the same files twice gives nothing the second time.
 * An empty cell says nothing and clears nothing.
 */
export function readPlan(files: readonly PlanFile[], board: BoardReader): PlanReading {
  const draft: Draft = { rows: [], values: [], problems: [] };
  for (const file of files) addFile(draft, file);
  const directory = new Directory(board);
  for (const { table, record, field, value } of draft.values) {
    const own = PLAN_KINDS.find((kind) => kind.table === table)?.id.find((part) => part.kind === 'own');
    directory.add(table, record, own?.nameField === field && typeof value === 'string' ? value : '');
  }
  for (const value of draft.values) draft.problems.push(...strayReferences(value, directory));
  addRows(draft, directory, board);
  const values = inOrder(once(draft));
  if (draft.problems.length === 0) draft.problems.push(...refusals(board, values));
  if (draft.problems.length > 0) return { kind: 'wrong', problems: sorted(files, draft.problems) };
  const news = values.filter(
    ({ table, record, field, value }) => !sameJson(board.cell(table, record, field)?.[0], value),
  );
  return {
    kind: 'read',
    values: news.map(({ table, record, field, value }) => ({ table, record, field, value })),
  };
}

function addFile(draft: Draft, file: PlanFile): void {
  const { name, matching } = file;
  if ('rows' in file) {
    addSheet(draft, name, sheetOfRows(file.rows), matching);
    return;
  }
  const text = planText(file.text);
  if (looksLikeJson(text)) {
    const values = readPlanJson(name, text);
    if (Array.isArray(values))
      draft.values.push(...values.map((value) => ({ ...value, origin: wholeOf(name) })));
    else draft.problems.push(values);
    return;
  }
  const csv = readCsv(name, text);
  if (!('rows' in csv)) {
    draft.problems.push(csv);
    return;
  }
  addSheet(draft, name, csv, matching);
}

function addSheet(draft: Draft, name: string, csv: Csv, matching: Matching | undefined): void {
  const sheet = readSheet(name, csv, matching);
  draft.rows.push(...sheet.rows);
  draft.problems.push(...sheet.problems);
}

/** Reads the rows as values: first those that others name, then those that name others. */
function addRows(draft: Draft, directory: Directory, board: BoardReader): void {
  const seen = new Map<string, Origin>();
  const named: { readonly row: SheetRow; readonly record: string }[] = [];
  const name = (row: SheetRow): void => {
    const record = recordOf(row, directory);
    if (typeof record !== 'string') {
      draft.problems.push(record);
      return;
    }
    const { table } = row.kind;
    const key = `${table}/${record}`;
    const before = table === 'shoot' ? undefined : seen.get(key);
    if (before) {
      draft.problems.push(
        problemAt(row.origin, `${record} stands in line ${before.line} of ${before.file} already.`),
      );
      return;
    }
    if (!fitsTable(tableOf(row.kind), record)) {
      draft.problems.push(
        problemAt(row.origin, `“${record}” cannot be the ID of one of ${tableOf(row.kind).label}.`),
      );
      return;
    }
    seen.set(key, row.origin);
    directory.add(table, record, nameOf(row));
    named.push({ row, record });
  };
  for (const row of draft.rows.filter(standsAlone)) name(row);
  for (const row of draft.rows.filter((candidate) => !standsAlone(candidate))) name(row);
  for (const { row, record } of named) addRow(draft, directory, board, row, record);
}

function addRow(draft: Draft, directory: Directory, board: BoardReader, row: SheetRow, record: string): void {
  const { table } = row.kind;
  const fields: Readonly<Record<string, ShootField>> = tableOf(row.kind).fields;
  for (const [name, { text, origin, unitInHeader }] of row.fields) {
    const field = fields[name];
    if (!field) continue;
    const context = {
      writing: row.writing,
      unitInHeader,
      find: (other: string, wanted: string) => directory.find(other, wanted),
    };
    const reading = readCell(field, text, context);
    if ('problem' in reading) draft.problems.push(problemAt(origin, reading.problem));
    else draft.values.push({ table, record, field: name, value: reading.value, origin });
  }
  // A record that only an ID was given for goes by it.
  for (const [index, part] of row.kind.id.entries()) {
    const id = row.id[index];
    if (part.kind !== 'own' || !id || row.fields.has(part.nameField)) continue;
    if (board.cell(table, record, part.nameField)?.[0] == null) {
      draft.values.push({ table, record, field: part.nameField, value: id.text.trim(), origin: id.origin });
    }
  }
}

/** References in values that no sheet resolved: they must name a record as it is. */
function strayReferences({ table, field, value, origin }: Placed, directory: Directory): PlanProblem[] {
  const kind = PLAN_KINDS.find((candidate) => candidate.table === table);
  const control = kind && tableOf(kind).fields[field]?.control;
  const other = control?.kind === 'reference' || control?.kind === 'list' ? control.table : undefined;
  if (other === undefined) return [];
  return [value].flat().flatMap((named) => {
    const found = typeof named === 'string' ? directory.find(other, named) : { value: named };
    if ('value' in found && found.value === named) return [];
    return [problemAt(origin, `${table}.${field}: there is no “${String(named)}” in ${other}`)];
  });
}

/** Each cell once; two places that give it different values are a problem. */
function once(draft: Draft): Placed[] {
  const cells = new Map<string, Placed>();
  for (const value of draft.values) {
    const key = addressKey(value);
    const before = cells.get(key);
    if (before && !sameJson(before.value, value.value)) {
      const place =
        before.origin.line > 0 ? `line ${before.origin.line} of ${before.origin.file}` : before.origin.file;
      draft.problems.push(
        problemAt(value.origin, `${place} says something else of ${value.table}/${value.record}`),
      );
    } else if (!before) cells.set(key, value);
  }
  return [...cells.values()];
}

function inOrder(values: readonly Placed[]): Placed[] {
  const rank = new Map<string, number>(PLAN_KINDS.map(({ table }, index) => [table, index]));
  const rankOf = ({ table }: Placed) => rank.get(table) ?? PLAN_KINDS.length;
  return [...values].sort((a, b) => rankOf(a) - rankOf(b));
}

function refusals(board: BoardReader, values: readonly Placed[]): PlanProblem[] {
  const origins = new Map(values.map((value) => [addressKey(value), value.origin]));
  return checkPlan(board, values).map((refusal) => {
    const origin = origins.get(addressKey(refusal)) ?? wholeOf('');
    const { table, record, field, reason } = refusal;
    return problemAt(origin, origin.line > 0 ? reason : `${table}/${record}/${field}: ${reason}`);
  });
}

function sorted(files: readonly PlanFile[], problems: readonly PlanProblem[]): PlanProblem[] {
  const order = new Map(files.map(({ name }, index) => [name, index]));
  return [...problems]
    .sort(
      (a, b) => (order.get(a.file) ?? 0) - (order.get(b.file) ?? 0) || a.line - b.line || a.column - b.column,
    )
    .slice(0, MOST_PROBLEMS);
}
