import { toHexString } from 'lib0/buffer';
import { digest } from 'lib0/hash/sha256';
import { encodeUtf8 } from 'lib0/string';
import * as z from 'zod/mini';
import type { Entry } from './edit.ts';
import { addressKey, BASE_WRITER, type CellAddress } from './ids.ts';
import { type Json, sameJson } from './json.ts';
import type { Stamp } from './stamps.ts';
import { type BoardReader, type Cell, cellSchema } from './state.ts';
import { namePart, type TableDefinition } from './tables.ts';

/** The table where the base keeps values that were set unseen by each other, until somebody has seen both. */
export const CONTESTED = 'contested';

/** How many overwritten values one cell keeps beside the last; the history holds all of them. */
const MAX_EARLIER = 4;

const addressSchema = z.strictObject({ table: z.string(), record: z.string(), field: z.string() });

const byBaseAlone = <T extends Json>(schema: z.ZodMiniType<T>) => ({ schema, writers: [], nullable: true });

/** The declaration of {@link CONTESTED}. Every board has it. */
export const contestedTable = {
  id: [namePart(/^[0-9a-f]{40}$/)],
  appendOnly: false,
  fields: {
    /** The cell. */
    about: byBaseAlone(addressSchema),
    /** What stands there. */
    stands: byBaseAlone(cellSchema),
    /** What stood there, set by somebody else, when the author of `stands` had not seen it. */
    other: byBaseAlone(cellSchema),
    /** Values overwritten unseen before `other`, newest first. */
    earlier: byBaseAlone(z.array(cellSchema)),
  },
} satisfies TableDefinition;

/** The record of a cell in {@link CONTESTED}: a hash, since a cell's own name is longer than an id may be. */
export function contestId(address: CellAddress): string {
  return toHexString(digest(encodeUtf8(addressKey(address)))).slice(0, 40);
}

type BaseValue = CellAddress & { readonly value: Json };

function row(
  address: CellAddress,
  values: Readonly<Record<'about' | 'stands' | 'other' | 'earlier', Json>>,
): BaseValue[] {
  const record = contestId(address);
  return Object.entries(values).map(([field, value]) => ({ table: CONTESTED, record, field, value }));
}

/** The contest to enter where an entry overwrites a different value that its author had not seen; empty where none. */
export function contestOf(
  before: BoardReader,
  writer: { readonly id: string },
  stamp: Stamp,
  entry: Entry,
): BaseValue[] {
  const stands = before.cell(entry.table, entry.record, entry.field);
  if (!stands || entry.seen >= stands[1] || stands[2] === writer.id || stands[2] === BASE_WRITER) return [];
  if (sameJson(stands[0], entry.value)) return [];
  const open = openContest(before, entry);
  const { table, record, field } = entry;
  return row(entry, {
    about: { table, record, field },
    stands: [entry.value, stamp, writer.id],
    other: stands,
    earlier: open ? [open.other, ...open.earlier].slice(0, MAX_EARLIER) : [],
  });
}

/** Clears the contest of a cell when somebody writes who had seen the value that stands, after the contest was noted. */
export function contestSettled(before: BoardReader, stamp: Stamp, entry: Entry): BaseValue[] {
  const stands = before.cell(entry.table, entry.record, entry.field);
  const open = openContest(before, entry);
  if (!open || !stands || entry.seen < stands[1] || stamp <= open.since) return [];
  return row(entry, { about: null, stands: null, other: null, earlier: null });
}

/** A cell whose contest is open, as it stands. */
export interface OpenContest {
  readonly about: CellAddress;
  readonly stands: Cell;
  readonly other: Cell;
  readonly earlier: readonly Cell[];
  /** The base's stamp of the contest itself. */
  readonly since: Stamp;
}

/** The open contest of a cell, if there is one. */
export function openContest(reader: BoardReader, address: CellAddress): OpenContest | null {
  return readContest(reader, contestId(address));
}

const contestSchema = z.object({
  about: addressSchema,
  stands: cellSchema,
  other: cellSchema,
  earlier: z.catch(z.array(cellSchema), []),
});

/** Reads a row of {@link CONTESTED}; `null` where it is settled. */
export function readContest(reader: BoardReader, record: string): OpenContest | null {
  const about = reader.cell(CONTESTED, record, 'about');
  if (!about || about[0] === null) return null;
  const parsed = z.safeParse(contestSchema, {
    about: about[0],
    stands: reader.cell(CONTESTED, record, 'stands')?.[0],
    other: reader.cell(CONTESTED, record, 'other')?.[0],
    earlier: reader.cell(CONTESTED, record, 'earlier')?.[0],
  });
  return parsed.success ? { ...parsed.data, since: about[1] } : null;
}
