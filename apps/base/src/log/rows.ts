import { createHash } from 'node:crypto';
import {
  CONTESTED,
  cellSchema,
  type Edit,
  editSchema,
  isJson,
  isRefusalCode,
  type Json,
} from '@plumbline/replica';
import * as z from 'zod';
import { type HistoryEntry, type HistoryQuery, type LogRow, MAX_HISTORY, type Outcome } from './port.ts';

/** What precedes a board's first row in the chain of checksums. */
export const FIRST_SUM: Uint8Array = new Uint8Array(16);

const json = z.custom<Json>((value) => isJson(value));
const cell = z.custom<z.infer<typeof cellSchema>>((value) => cellSchema.safeParse(value).success);
const address = { table: z.string(), record: z.string(), field: z.string() };

const outcomeSchema: z.ZodType<Outcome> = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('stored'),
    late: z.array(z.object({ entry: z.int(), stands: cell })),
    previous: z.array(cell.nullable()),
    derived: z.array(z.object({ ...address, value: json, previous: cell.nullable() })),
  }),
  z.object({
    kind: z.literal('refused'),
    code: z.custom<Extract<Outcome, { kind: 'refused' }>['code']>(
      (code) => typeof code === 'string' && isRefusalCode(code),
    ),
    entries: z.array(z.object({ ...address, reason: z.string() })),
  }),
]);

/** Reads an edit's text out of the log. @throws Error where it is none */
export function parseEdit(text: string): Edit {
  return editSchema.parse(JSON.parse(text));
}

/** Reads an outcome's text out of the log. @throws Error where it is none */
export function parseOutcome(text: string): Outcome {
  return outcomeSchema.parse(JSON.parse(text));
}

/** A row as text and bytes, the form in which it is kept and summed. */
export interface RowText {
  readonly seq: number;
  readonly at: number;
  readonly person: string | null;
  readonly writer: string;
  readonly n: number;
  readonly stamp: number;
  readonly edit: string;
  readonly outcome: string;
  readonly update: Uint8Array | null;
}

/** Writes a row out. */
export function rowText(row: LogRow): RowText {
  const { seq, at, person, writer, n, stamp, update } = row;
  const edit = JSON.stringify(row.edit);
  return { seq, at, person, writer, n, stamp, edit, outcome: JSON.stringify(row.outcome), update };
}

/** Reads a row back. @throws Error where it does not have the form of one */
export function parseRow(text: RowText): LogRow {
  const { seq, at, person, writer, n, stamp, update } = text;
  const outcome = parseOutcome(text.outcome);
  return { seq, at, person, writer, n, stamp, edit: parseEdit(text.edit), outcome, update };
}

/**
 * The checksum of a row: over everything in it and the checksum of the row before, so that a row altered, left out or
 * put elsewhere is noticed, and two logs that end in the same sum are the same.
 */
export function rowSum(before: Uint8Array, board: string, epoch: string, row: RowText): Uint8Array {
  const { seq, at, person, writer, n, stamp, edit, outcome, update } = row;
  const head = JSON.stringify([
    board,
    epoch,
    seq,
    at,
    person,
    writer,
    n,
    stamp,
    edit,
    outcome,
    update !== null,
  ]);
  const hash = createHash('sha256').update(before).update(head);
  if (update) hash.update(update);
  return hash.digest().subarray(0, 16);
}

/** A value set, before the history query picks it. `index` is its place within the row. */
export interface Change {
  readonly index: number;
  readonly table: string;
  readonly record: string;
  readonly field: string;
}

/** The cells that a row set or tried to set, in order: the edit's entries, then what the base derived. */
export function changesOf(edit: Edit, outcome: Outcome): Change[] {
  if (outcome.kind === 'refused') return [];
  return [...edit.entries, ...outcome.derived].map(({ table, record, field }, index) => ({
    index,
    table,
    record,
    field,
  }));
}

/** A row's change as the history tells it. */
export function historyEntry(row: LogRow, index: number): HistoryEntry | null {
  const { seq, at, person, writer, edit, outcome } = row;
  if (outcome.kind === 'refused') return null;
  const entry = edit.entries[index];
  if (entry) {
    const { table, record, field, value } = entry;
    const previous = outcome.previous[index]?.[0] ?? null;
    const late = outcome.late.some((each) => each.entry === index);
    return { seq, at, person, writer, table, record, field, value, previous, late };
  }
  const derived = outcome.derived[index - edit.entries.length];
  if (!derived) return null;
  const { table, record, field, value, previous } = derived;
  return {
    seq,
    at,
    person,
    writer: 'base',
    table,
    record,
    field,
    value,
    previous: previous?.[0] ?? null,
    late: false,
  };
}

/** Whether a query asks for a change. The book-keeping of contested values is told only to who asks for it. */
export function isAskedFor(query: HistoryQuery, change: Omit<Change, 'index'>): boolean {
  if (query.table === undefined && change.table === CONTESTED) return false;
  return (
    (query.table ?? change.table) === change.table &&
    (query.record ?? change.record) === change.record &&
    (query.field ?? change.field) === change.field
  );
}

/** Takes whole rows, newest first, while they fit the limit; the first is taken whatever its size. */
export async function wholeRows(
  rows: Iterable<readonly HistoryEntry[]> | AsyncIterable<readonly HistoryEntry[]>,
  limit: number,
): Promise<HistoryEntry[]> {
  const taken: HistoryEntry[] = [];
  for await (const entries of rows) {
    if (taken.length > 0 && taken.length + entries.length > limit) break;
    taken.push(...entries);
    if (taken.length >= limit) break;
  }
  return taken.slice(0, MAX_HISTORY);
}
