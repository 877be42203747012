import {
  type BoardDefinition,
  BoardState,
  type Decision,
  decide,
  type Json,
  readerOf,
  stampAt,
  type Writer,
} from '@plumbline/replica';
import { boardDefinition, type Role, type ShootReader, tables } from '@plumbline/shared';

/** An arbitrary moment of an invented shooting day. */
export const DAWN = Date.UTC(2030, 5, 1, 4);

/** The values of a board: `{setups: {S1: {label: 'S1'}}}`. */
export type PlainBoard = Readonly<Record<string, Readonly<Record<string, Readonly<Record<string, Json>>>>>>;

/** A board with these values, all set at dawn by a tablet that sends nothing else. */
export function boardOf(plain: PlainBoard): BoardState {
  const state = new BoardState();
  for (const [table, records] of Object.entries(plain))
    for (const [record, fields] of Object.entries(records))
      for (const [field, value] of Object.entries(fields))
        state.set({ table, record, field }, [value, stampAt(DAWN), 'p9-1']);
  return state;
}

/** Typed reads of a board with these values. */
export function shootReader(plain: PlainBoard): ShootReader {
  return readerOf(tables, boardOf(plain));
}

/** Somebody of a role; the person is called by the role. */
export function somebody(role: Role): Writer {
  return { id: `${role}-1`, person: role, role };
}

/** What the base decides when somebody sets some values; on `stored` they stand on the board afterwards. */
export function set(
  board: BoardState,
  writer: Writer,
  values: readonly (readonly [table: string, record: string, field: string, value: Json])[],
  minutes = 1,
  definition: BoardDefinition = boardDefinition,
): Decision {
  const milliseconds = DAWN + minutes * 60_000;
  const entries = values.map(([table, record, field, value]) => ({
    table,
    record,
    field,
    value,
    seen: board.cell(table, record, field)?.[1] ?? 0,
  }));
  const stamp = stampAt(milliseconds);
  const decision = decide(definition, board, writer, { n: 1, stamp, entries }, { milliseconds, stamp });
  if (decision.kind === 'stored') for (const write of decision.writes) board.set(write, write.cell);
  return decision;
}

/** `stored`, or the code of the refusal: what a truth table is made of. */
export function outcome(decision: Decision): string {
  return decision.kind === 'stored' ? 'stored' : decision.code;
}
