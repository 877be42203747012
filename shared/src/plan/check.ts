import {
  type BoardDefinition,
  type BoardReader,
  type CellAddress,
  decide,
  type Edit,
  type Entry,
  entrySchema,
  type Json,
  MAX_EDIT_TEXT,
  MAX_ENTRIES,
  stampMilliseconds,
  type TableDefinition,
  type Tables,
} from '@plumbline/replica';
import * as z from 'zod/mini';
import { guards } from '../guards/index.ts';
import { PLAN_KINDS, tableOf } from './kinds.ts';
import { isPlanned } from './planned.ts';

/** A value that a plan puts on the board. */
export type PlanValue = CellAddress & { readonly value: Json };

/** The role that a plan is judged under. Nobody joins with it. */
export const PLAN_ROLE = 'plan';

function planTable(kind: (typeof PLAN_KINDS)[number]): TableDefinition {
  const { id, appendOnly, fields } = tableOf(kind);
  const planned = Object.entries(fields)
    .filter(([, field]) => isPlanned(field))
    .map(([name, { schema, nullable }]) => [name, { schema, nullable, writers: [PLAN_ROLE] }] as const);
  return { id, appendOnly, fields: Object.fromEntries(planned) };
}

const planTables: Tables = Object.fromEntries(PLAN_KINDS.map((kind) => [kind.table, planTable(kind)]));

/**
 * The board as a plan is judged against it. A plan is one person's file and holds what every department writes, so it
 * is written by the base on the director's behalf: each value is checked for its form, its record, its field's schema,
 * the records it needs and the guards, not for whose field it is. The tables that people fill while shooting (takes,
 * checks, flags, custody, accepted breaks) and all signatures are not in it.
 */
export const planDefinition: BoardDefinition = { tables: planTables, guards, derive: () => [] };

/** A value of a plan that cannot stand, and why. */
export interface PlanRefusal extends CellAddress {
  readonly reason: string;
}

/** What of a plan the board would not take: nothing, or the values at fault with a sentence each. */
export function checkPlan(board: BoardReader, values: readonly PlanValue[]): readonly PlanRefusal[] {
  const misshapen = values.flatMap((value) => {
    const parsed = z.safeParse(entrySchema, { ...entryOf(value), seen: 0 });
    const reason = parsed.error?.issues[0]?.message ?? 'This is not a value.';
    return parsed.success ? [] : [{ table: value.table, record: value.record, field: value.field, reason }];
  });
  if (misshapen.length > 0) return misshapen;
  // Judged as the newest edit there can be, so that no value in place hides one of the plan's from the guards.
  const stamp = Number.MAX_SAFE_INTEGER - 1024;
  const edit: Edit = { n: 1, stamp, entries: values.map((value) => ({ ...entryOf(value), seen: 0 })) };
  const writer = { id: PLAN_ROLE, person: PLAN_ROLE, role: PLAN_ROLE };
  const decision = decide(planDefinition, board, writer, edit, {
    milliseconds: stampMilliseconds(stamp),
    stamp,
  });
  return decision.kind === 'refused' ? decision.entries : [];
}

function entryOf({ table, record, field, value }: PlanValue): Omit<Entry, 'seen'> {
  return { table, record, field, value };
}

/** Room for what stands around the entries of an edit: its number, its stamp, brackets. */
const AROUND_ENTRIES = 256;

/**
 * A plan's values as the entries of edits, each within the limits of one. Values keep their order, in which a record
 * comes before those that need it.
 */
export function planEdits(board: BoardReader, values: readonly PlanValue[]): readonly (readonly Entry[])[] {
  const edits: Entry[][] = [];
  let open: Entry[] = [];
  let length = 0;
  for (const value of values) {
    const { table, record, field } = value;
    const entry = { ...entryOf(value), seen: board.cell(table, record, field)?.[1] ?? 0 };
    const size = JSON.stringify(entry).length + 1;
    if (open.length === MAX_ENTRIES || length + size > MAX_EDIT_TEXT - AROUND_ENTRIES) {
      edits.push(open);
      open = [];
      length = 0;
    }
    open.push(entry);
    length += size;
  }
  if (open.length > 0) edits.push(open);
  return edits;
}
