import { contestOf, contestSettled } from './contest.ts';
import type { CellWrite } from './document.ts';
import type { Edit, Entry } from './edit.ts';
import { BASE_WRITER, type CellAddress, splitId } from './ids.ts';
import { type RefusalCode, refusalSentence } from './refusals.ts';
import { type Stamp, stampAt } from './stamps.ts';
import { type BoardReader, type Cell, Overlay, valueIn } from './state.ts';
import { findField, fitsTable, namedRecords, type Tables, valueProblem } from './tables.ts';

/** How far a stamp may run ahead of the base's clock, ms. */
export const MAX_AHEAD_MS = 5_000;

/** Who sends an edit, as the base knows them. */
export interface Writer {
  readonly id: string;
  readonly person: string;
  readonly role: string;
}

/** What a guard is asked: how the board stands, and how it would stand. */
export interface GuardQuestion {
  readonly before: BoardReader;
  readonly after: BoardReader;
  readonly entry: Entry;
  readonly writer: Writer;
}

/**
 * Stops what cannot be undone. A guard names the fields that wake it and answers with a sentence where it must not
 * happen now, `null` where it may.
 */
export interface Guard {
  readonly name: string;
  readonly wakes: (entry: Entry) => boolean;
  readonly judge: (question: GuardQuestion) => string | null;
}

/** What the base itself writes when these entries are written: a take's settings as shot, for one. */
export type Derivation = (question: {
  readonly before: BoardReader;
  readonly after: BoardReader;
  readonly written: readonly Entry[];
  readonly writer: Writer;
}) => readonly (CellAddress & { readonly value: Cell[0] })[];

/** Everything about a board that does not change while it runs. */
export interface BoardDefinition<S extends Tables = Tables> {
  readonly tables: S;
  readonly guards: readonly Guard[];
  readonly derive: Derivation;
}

/** An entry that a newer value outran: it is in the history and not on the board. */
export interface LateEntry {
  readonly entry: number;
  readonly stands: Cell;
}

export interface RefusedEntry extends CellAddress {
  readonly reason: string;
}

export type Decision =
  | { readonly kind: 'stored'; readonly writes: readonly CellWrite[]; readonly late: readonly LateEntry[] }
  | { readonly kind: 'refused'; readonly code: RefusalCode; readonly entries: readonly RefusedEntry[] };

/** The times a decision needs: the base's clock in ms, and a stamp of the base's own for what it writes itself. */
export interface DecisionTime {
  readonly milliseconds: number;
  readonly stamp: Stamp;
}

/**
 * Decides an edit that has the form of one: who may, is it possible, does it destroy something, is it newer.
 * Pure: the same board, writer, edit and time give the same answer on the base and on the tablet that asks before it
 * sends.
 */
export function decide(
  definition: BoardDefinition,
  before: BoardReader,
  writer: Writer,
  edit: Edit,
  time: DecisionTime,
): Decision {
  const { tables } = definition;
  const after = new Overlay(before);
  const late: LateEntry[] = [];
  const written: Entry[] = [];
  edit.entries.forEach((entry, index) => {
    const stands = before.cell(entry.table, entry.record, entry.field);
    if (stands && stands[1] >= edit.stamp) late.push({ entry: index, stands });
    else {
      written.push(entry);
      after.set(entry, [entry.value, edit.stamp, writer.id]);
    }
  });

  const refused =
    refuseEach(edit, 'unknown', (entry) =>
      findField(tables, entry.table, entry.field) ? null : refusalSentence('unknown'),
    ) ??
    refuseEach(edit, 'id', (entry) => idProblem(tables, entry)) ??
    refuseEach(edit, 'right', (entry) => rightProblem(tables, after, writer, entry)) ??
    refuseEach(edit, 'signature', (entry) => signatureProblem(tables, writer, entry)) ??
    refuseEach(edit, 'value', (entry) => entryValueProblem(tables, entry)) ??
    (edit.stamp >= stampAt(time.milliseconds + MAX_AHEAD_MS + 1)
      ? refuseEach(edit, 'future', () => refusalSentence('future'))
      : null) ??
    refuseEach(edit, 'appended', (entry) => appendProblem(tables, before, writer, edit, entry)) ??
    refuseEach(edit, 'missing', (entry) => missingProblem(tables, after, entry)) ??
    refuseEach(edit, 'guard', (entry) => guardProblem(definition.guards, before, after, writer, entry));
  if (refused) return refused;

  const writes = written.map(
    (entry): CellWrite => ({
      table: entry.table,
      record: entry.record,
      field: entry.field,
      cell: [entry.value, edit.stamp, writer.id],
    }),
  );
  const byBase = [
    ...written.flatMap((entry) => {
      const unseen = contestOf(before, writer, edit.stamp, entry);
      return unseen.length > 0 ? unseen : contestSettled(before, edit.stamp, entry);
    }),
    ...definition.derive({ before, after, written, writer }),
  ].map(
    ({ table, record, field, value }): CellWrite => ({
      table,
      record,
      field,
      cell: [value, time.stamp, BASE_WRITER],
    }),
  );
  return { kind: 'stored', writes: [...writes, ...byBase], late };
}

function refuseEach(
  edit: Edit,
  code: RefusalCode,
  problem: (entry: Entry) => string | null,
): Decision | null {
  const entries = edit.entries.flatMap((entry) => {
    const reason = problem(entry);
    return reason === null ? [] : [{ table: entry.table, record: entry.record, field: entry.field, reason }];
  });
  return entries.length > 0 ? { kind: 'refused', code, entries } : null;
}

function idProblem(tables: Tables, entry: Entry): string | null {
  const table = tables[entry.table];
  return table && fitsTable(table, entry.record) ? null : refusalSentence('id');
}

function rightProblem(tables: Tables, after: BoardReader, writer: Writer, entry: Entry): string | null {
  const field = findField(tables, entry.table, entry.field);
  if (!field?.writers.includes(writer.role)) return refusalSentence('right');
  return (
    field.restrict?.({
      role: writer.role,
      person: writer.person,
      record: entry.record,
      value: (table, record, name) => valueIn(after, table, record, name),
    }) ?? null
  );
}

function signatureProblem(tables: Tables, writer: Writer, entry: Entry): string | null {
  const signedBy = findField(tables, entry.table, entry.field)?.signedBy;
  if (!signedBy || entry.value === null) return null;
  return signedBy(entry.value) === writer.person ? null : refusalSentence('signature');
}

function entryValueProblem(tables: Tables, entry: Entry): string | null {
  const field = findField(tables, entry.table, entry.field);
  if (tables[entry.table]?.appendOnly && entry.value === null)
    return 'What is entered here cannot be cleared.';
  return field ? valueProblem(field, entry.value) : null;
}

function appendProblem(
  tables: Tables,
  before: BoardReader,
  writer: Writer,
  edit: Edit,
  entry: Entry,
): string | null {
  const table = tables[entry.table];
  if (!table?.appendOnly) return null;
  if (before.exists(entry.table, entry.record)) return refusalSentence('appended');
  if (splitId(entry.record)[0] !== writer.id)
    return 'Its name must begin with that of the tablet that enters it.';
  const given = new Set(
    edit.entries.filter((e) => e.table === entry.table && e.record === entry.record).map((e) => e.field),
  );
  const whole = Object.entries(table.fields).every(([name, field]) => field.nullable || given.has(name));
  return whole ? null : 'It must be entered whole.';
}

function missingProblem(tables: Tables, after: BoardReader, entry: Entry): string | null {
  const table = tables[entry.table];
  if (!table || entry.value === null) return null;
  const missing = namedRecords(table, entry.record).find((named) => !after.exists(named.table, named.record));
  return missing ? `There is no ${missing.record} in ${missing.table}.` : null;
}

function guardProblem(
  guards: readonly Guard[],
  before: BoardReader,
  after: BoardReader,
  writer: Writer,
  entry: Entry,
): string | null {
  for (const guard of guards) {
    const sentence = guard.wakes(entry) ? guard.judge({ before, after, entry, writer }) : null;
    if (sentence !== null) return sentence;
  }
  return null;
}

/** What to do with an edit's number, given the last one answered. */
export function placeOf(n: number, last: number): 'next' | 'repeat' | 'gap' {
  if (n <= last) return 'repeat';
  return n === last + 1 ? 'next' : 'gap';
}
