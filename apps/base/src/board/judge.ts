import {
  BASE_WRITER,
  type BoardDefinition,
  type CellAddress,
  type CellWrite,
  type Decision,
  type DecisionTime,
  decide,
  type Edit,
  findField,
  type Json,
  type LateEntry,
  MAX_ENTRIES,
  placeOf,
  type RefusalCode,
  type RefusedEntry,
  refusalSentence,
  valueProblem,
  type Writer,
  writeCells,
} from '@plumbline/replica';
import type { BaseClock } from '../clock.ts';
import type { LogRow, Outcome } from '../log/port.ts';
import type { Core } from './core.ts';

/** What an edit is answered with. */
export type Answer =
  | { readonly kind: 'stored'; readonly n: number; readonly late: readonly LateEntry[] }
  | {
      readonly kind: 'refused';
      readonly n: number;
      readonly code: RefusalCode;
      readonly entries: readonly RefusedEntry[];
    }
  | { readonly kind: 'gap'; readonly n: number; readonly last: number }
  /** The log could not take it: not stored, to be sent again. */
  | { readonly kind: 'failed' };

/** A value that the base writes in its own name. */
export type BaseValue = CellAddress & { readonly value: Json };

/** An edit judged, not yet on disk. `again`: it was answered before, and the log knows how. */
export type Judgement =
  | { readonly kind: 'row'; readonly row: LogRow; readonly answer: Answer }
  | { readonly kind: 'again' }
  | { readonly kind: 'gap'; readonly answer: Answer };

/** Judges an edit against the board as it stands and writes it to the document; the row is to be logged. */
export function judgeEdit(
  definition: BoardDefinition,
  core: Core,
  clock: BaseClock,
  writer: Writer,
  edit: Edit,
  failed: (error: unknown) => void,
): Judgement {
  const last = core.last.get(writer.id) ?? 0;
  const place = placeOf(edit.n, last);
  if (place === 'repeat') return { kind: 'again' };
  if (place === 'gap') return { kind: 'gap', answer: { kind: 'gap', n: edit.n, last } };
  const time = { milliseconds: clock.now(), stamp: clock.stamp() };
  const decision = decideOrRefuse(definition, core, writer, edit, time, failed);
  if (decision.kind === 'refused') return refusalRow(core, time, writer, edit, decision);
  const inPlace = ({ table, record, field }: CellAddress) => core.state.cell(table, record, field) ?? null;
  const outcome: Outcome = {
    kind: 'stored',
    late: decision.late,
    previous: edit.entries.map(inPlace),
    derived: decision.writes
      .filter((write) => write.cell[2] === BASE_WRITER)
      .map(({ table, record, field, cell }) => ({
        table,
        record,
        field,
        value: cell[0],
        previous: inPlace({ table, record, field }),
      })),
  };
  const row = addRow(core, time, writer.person, writer.id, edit, outcome, decision.writes);
  return { kind: 'row', row, answer: answerOf(edit.n, outcome) };
}

/**
 * A rule of the board that throws must not keep its author sending the same edit for ever: such an edit is refused like
 * one that cannot be read, and so goes to its author's tray.
 */
function decideOrRefuse(
  definition: BoardDefinition,
  core: Core,
  writer: Writer,
  edit: Edit,
  time: DecisionTime,
  failed: (error: unknown) => void,
): Decision {
  try {
    return decide(definition, core.state, writer, edit, time);
  } catch (error) {
    failed(error);
    return unreadable(edit);
  }
}

/** Refuses, like one that cannot be read, an edit that the document did not take. Nothing is looked at or written. */
export function refuseEdit(core: Core, clock: BaseClock, writer: Writer, edit: Edit): Judgement {
  const time = { milliseconds: clock.now(), stamp: clock.stamp() };
  return refusalRow(core, time, writer, edit, unreadable(edit));
}

type Refusal = Extract<Decision, { readonly kind: 'refused' }>;

function unreadable(edit: Edit): Refusal {
  const reason = refusalSentence('form');
  const entries = edit.entries.map(({ table, record, field }) => ({ table, record, field, reason }));
  return { kind: 'refused', code: 'form', entries };
}

function refusalRow(
  core: Core,
  time: DecisionTime,
  writer: Writer,
  edit: Edit,
  { code, entries }: Refusal,
): Judgement {
  const row = addRow(core, time, writer.person, writer.id, edit, { kind: 'refused', code, entries }, []);
  return { kind: 'row', row, answer: { kind: 'refused', n: edit.n, code, entries } };
}

/**
 * Writes values in the base's own name, in as many rows as they need.
 *
 * @throws Error for a value that its field does not take: the base has no business writing it
 */
export function writeBaseValues(
  definition: BoardDefinition,
  core: Core,
  clock: BaseClock,
  person: string | null,
  values: readonly BaseValue[],
): LogRow[] {
  for (const { table, record, field: name, value } of values) {
    const field = findField(definition.tables, table, name);
    const problem = field ? valueProblem(field, value) : 'no such field';
    if (problem !== null) throw new Error(`${table}/${record}/${name}: ${problem}`);
  }
  const rows: LogRow[] = [];
  for (let at = 0; at < values.length; at += MAX_ENTRIES) {
    const part = values.slice(at, at + MAX_ENTRIES);
    const time = { milliseconds: clock.now(), stamp: clock.stamp() };
    const { stamp } = time;
    const n = (core.last.get(BASE_WRITER) ?? 0) + 1;
    const edit: Edit = { n, stamp, entries: part.map((value) => ({ ...value, seen: 0 })) };
    const outcome: Outcome = {
      kind: 'stored',
      late: [],
      previous: part.map(({ table, record, field }) => core.state.cell(table, record, field) ?? null),
      derived: [],
    };
    const writes = part.map(
      ({ table, record, field, value }): CellWrite => ({
        table,
        record,
        field,
        cell: [value, stamp, BASE_WRITER],
      }),
    );
    rows.push(addRow(core, time, person, BASE_WRITER, edit, outcome, writes));
  }
  return rows;
}

/** What the author of an edit is told, from what the log holds of it. */
export function answerOf(n: number, outcome: Outcome): Answer {
  return outcome.kind === 'stored'
    ? { kind: 'stored', n, late: outcome.late }
    : { kind: 'refused', n, code: outcome.code, entries: outcome.entries };
}

function addRow(
  core: Core,
  time: { readonly milliseconds: number; readonly stamp: number },
  person: string | null,
  writer: string,
  edit: Edit,
  outcome: Outcome,
  writes: readonly CellWrite[],
): LogRow {
  const update = writes.length > 0 ? writeCells(core.doc, writes) : null;
  core.last.set(writer, edit.n);
  core.seq++;
  return {
    seq: core.seq,
    at: time.milliseconds,
    person,
    writer,
    n: edit.n,
    stamp: time.stamp,
    edit,
    outcome,
    update,
  };
}
