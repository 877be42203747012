import type * as Y from 'yjs';
import * as z from 'zod/mini';
import { type CellAddress, splitId, splitKey } from './ids.ts';
import { isJson, type Json } from './json.ts';
import { isStamp, type Stamp } from './stamps.ts';

/** A value as it stands on the board: what, since when, set by which writer. */
export type Cell = readonly [value: Json, stamp: Stamp, writer: string];

/** Checks a cell that came out of a document or a message. */
export const cellSchema = z.readonly(
  z.tuple([z.custom<Json>((value) => isJson(value)), z.number().check(z.refine(isStamp)), z.string()]),
);

/**
 * Whether a value has the form of a cell: {@link cellSchema} without the copy that it makes, since a board out of its
 * log has hundreds of thousands of them.
 */
export function isCell(value: unknown): value is Cell {
  return (
    Array.isArray(value) &&
    value.length === 3 &&
    isStamp(value[1]) &&
    typeof value[2] === 'string' &&
    isJson(value[0])
  );
}

/** Reads of the board as it stands. Everything that judges reads through this, on the base and on a tablet. */
export interface BoardReader {
  cell(table: string, record: string, field: string): Cell | undefined;
  /** Whether any field of the record is not null. */
  exists(table: string, record: string): boolean;
  /** Ids of the records that exist, in no particular order; with `under`, of those whose id begins with that part. */
  records(table: string, under?: string): Iterable<string>;
  /** The fields that the record ever had, cleared ones included. */
  fields(table: string, record: string): Iterable<readonly [field: string, cell: Cell]>;
}

/** A value in place, or `undefined` where none ever was. */
export function valueIn(reader: BoardReader, table: string, record: string, field: string): Json | undefined {
  return reader.cell(table, record, field)?.[0];
}

interface RecordState {
  readonly cells: Map<string, Cell>;
  /** How many of them are not null. */
  filled: number;
}

interface TableState {
  readonly records: Map<string, RecordState>;
  /** Records of composite ids by the first part, so that what belongs to one record is found at any size. */
  readonly under: Map<string, Set<string>>;
}

/** The document unpacked into plain maps, kept in step with it. Reads cost a look-up or two at any size. */
export class BoardState implements BoardReader {
  readonly #tables = new Map<string, TableState>();
  readonly #pinned = new Set<PinnedState>();

  cell(table: string, record: string, field: string): Cell | undefined {
    return this.#tables.get(table)?.records.get(record)?.cells.get(field);
  }

  exists(table: string, record: string): boolean {
    return (this.#tables.get(table)?.records.get(record)?.filled ?? 0) > 0;
  }

  *records(table: string, under?: string): Iterable<string> {
    const state = this.#tables.get(table);
    const named = under === undefined ? state?.records.keys() : state?.under.get(under);
    for (const record of named ?? []) if (this.exists(table, record)) yield record;
  }

  fields(table: string, record: string): Iterable<readonly [string, Cell]> {
    return this.#tables.get(table)?.records.get(record)?.cells ?? [];
  }

  /** Puts a cell in place. */
  set({ table, record, field }: CellAddress, cell: Cell): void {
    const state = this.#recordState(table, record);
    const there = state.cells.get(field);
    for (const pinned of this.#pinned) pinned.keep(table, record, field, there);
    const before = there?.[0] ?? null;
    state.filled += (cell[0] === null ? 0 : 1) - (before === null ? 0 : 1);
    state.cells.set(field, cell);
  }

  /** The board as it stands now, to be read while it goes on changing. Costs something until it is let go. */
  pin(): PinnedState {
    const pinned = new PinnedState(this, () => this.#pinned.delete(pinned));
    this.#pinned.add(pinned);
    return pinned;
  }

  #recordState(table: string, record: string): RecordState {
    const there = this.#tables.get(table)?.records.get(record);
    if (there) return there;
    const { records, under }: TableState = this.#tables.get(table) ?? {
      records: new Map(),
      under: new Map(),
    };
    const state: RecordState = { cells: new Map(), filled: 0 };
    records.set(record, state);
    const [first, ...rest] = splitId(record);
    if (first !== undefined && rest.length > 0) under.set(first, (under.get(first) ?? new Set()).add(record));
    this.#tables.set(table, { records, under });
    return state;
  }
}

/** A board as it stood at one moment: what has been set since is remembered as it was. */
export class PinnedState implements BoardReader {
  readonly #now: BoardReader;
  readonly #letGo: () => void;
  /** Cells set since, as they were: by table, record, field. */
  readonly #before = new Map<string, Map<string, Map<string, Cell | undefined>>>();

  constructor(now: BoardReader, letGo: () => void) {
    this.#now = now;
    this.#letGo = letGo;
  }

  /** A cell is about to be set. */
  keep(table: string, record: string, field: string, before: Cell | undefined): void {
    const records = this.#before.get(table) ?? new Map<string, Map<string, Cell | undefined>>();
    const fields = records.get(record) ?? new Map<string, Cell | undefined>();
    if (!fields.has(field)) fields.set(field, before);
    this.#before.set(table, records.set(record, fields));
  }

  /** Nobody will read it any more. */
  release(): void {
    this.#letGo();
  }

  cell(table: string, record: string, field: string): Cell | undefined {
    const kept = this.#before.get(table)?.get(record);
    return kept?.has(field) ? kept.get(field) : this.#now.cell(table, record, field);
  }

  exists(table: string, record: string): boolean {
    if (!this.#before.get(table)?.has(record)) return this.#now.exists(table, record);
    for (const [, cell] of this.fields(table, record)) if (cell[0] !== null) return true;
    return false;
  }

  *records(table: string, under?: string): Iterable<string> {
    // Looked up anew for each: more may be set while somebody goes through them.
    for (const record of this.#now.records(table, under)) {
      if (!this.#before.get(table)?.has(record) || this.exists(table, record)) yield record;
    }
    // Those that were there then and are not now.
    for (const record of this.#before.get(table)?.keys() ?? []) {
      if (under !== undefined && !record.startsWith(`${under}.`)) continue;
      if (!this.#now.exists(table, record) && this.exists(table, record)) yield record;
    }
  }

  *fields(table: string, record: string): Iterable<readonly [string, Cell]> {
    for (const [field, cell] of this.#now.fields(table, record)) {
      const kept = this.#before.get(table)?.get(record);
      const then = kept?.has(field) ? kept.get(field) : cell;
      if (then) yield [field, then];
    }
  }
}

/**
 * Unpacks a document's tables and keeps the state in step with it. A cell that does not have the form of one is
 * passed over: an odd record must not stop the rest.
 *
 * @param onChange hears the cells that each transaction changed
 * @returns the state, and a function that stops watching
 */
export function watchDocument(
  doc: Y.Doc,
  tables: readonly string[],
  onChange: (changed: readonly CellAddress[]) => void = () => {},
): { state: BoardState; stop: () => void } {
  const state = new BoardState();
  const take = (table: string, key: string, value: unknown): CellAddress | null => {
    const place = splitKey(key);
    if (!place || !isCell(value)) return null;
    const address = { table, ...place };
    state.set(address, value);
    return address;
  };

  const stops = tables.map((table) => {
    const map = doc.getMap(table);
    for (const [key, value] of map.entries()) take(table, key, value);
    const observe = (event: Y.YMapEvent<unknown>): void => {
      const changed: CellAddress[] = [];
      for (const key of event.keysChanged) {
        const address = take(table, key, map.get(key));
        if (address) changed.push(address);
      }
      if (changed.length > 0) onChange(changed);
    };
    map.observe(observe);
    return () => map.unobserve(observe);
  });
  return {
    state,
    stop: () => {
      for (const stop of stops) stop();
    },
  };
}

/** Lays values over a reader: how the board would stand with them. */
export class Overlay implements BoardReader {
  readonly #below: BoardReader;
  readonly #above = new BoardState();

  constructor(below: BoardReader, cells: Iterable<readonly [CellAddress, Cell]> = []) {
    this.#below = below;
    for (const [address, cell] of cells) this.#above.set(address, cell);
  }

  set(address: CellAddress, cell: Cell): void {
    this.#above.set(address, cell);
  }

  cell(table: string, record: string, field: string): Cell | undefined {
    return this.#above.cell(table, record, field) ?? this.#below.cell(table, record, field);
  }

  exists(table: string, record: string): boolean {
    if (this.#above.exists(table, record)) return true;
    if (!this.#below.exists(table, record)) return false;
    for (const [, cell] of this.fields(table, record)) if (cell[0] !== null) return true;
    return false;
  }

  *records(table: string, under?: string): Iterable<string> {
    const given = new Set<string>();
    for (const source of [this.#above, this.#below]) {
      for (const record of source.records(table, under)) {
        if (given.has(record)) continue;
        given.add(record);
        if (this.exists(table, record)) yield record;
      }
    }
  }

  *fields(table: string, record: string): Iterable<readonly [string, Cell]> {
    const above = new Map(this.#above.fields(table, record));
    for (const [field, cell] of this.#below.fields(table, record)) if (!above.has(field)) yield [field, cell];
    yield* above;
  }
}
