import { batch, type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import * as z from 'zod/mini';
import { addressKey, type CellAddress, placeIn } from './ids.ts';
import type { Json } from './json.ts';
import type { BoardReader, Cell } from './state.ts';
import type { FieldName, FieldValue, RecordView, TableName, Tables } from './tables.ts';

/** Typed reads of a board. Read inside a computation, they make it run again when what it read changes. */
export interface TypedReader<S extends Tables> {
  /** A field's value; `undefined` where it was never set, was cleared, or does not fit its schema. */
  value<T extends TableName<S>, F extends FieldName<S, T>>(
    table: T,
    record: string,
    field: F,
  ): FieldValue<S, T, F> | undefined;
  /** A record's values. */
  view<T extends TableName<S>>(table: T, record: string): RecordView<S, T>;
  /** The ids of a table's records, sorted. */
  records(table: TableName<S>): readonly string[];
}

/**
 * A board made of signals: one per field, one per record, one per list of records, each made when somebody first
 * reads it. A change touches only the signals of what it changed.
 */
export class LiveBoard<S extends Tables> implements TypedReader<S> {
  readonly #tables: S;
  readonly #source: () => BoardReader;
  readonly #cells = new Map<string, Signal<Cell | undefined>>();
  readonly #views = new Map<string, Signal<Readonly<Record<string, unknown>>>>();
  readonly #lists = new Map<string, Signal<readonly string[]>>();

  /** @param source the board as it stands; asked again after every change */
  constructor(tables: S, source: () => BoardReader) {
    this.#tables = tables;
    this.#source = source;
  }

  /** The signal of a cell. */
  cell(table: TableName<S>, record: string, field: string): ReadonlySignal<Cell | undefined> {
    const key = addressKey({ table, record, field });
    let found = this.#cells.get(key);
    if (!found) {
      found = signal(this.#source().cell(table, record, field));
      this.#cells.set(key, found);
    }
    return found;
  }

  value<T extends TableName<S>, F extends FieldName<S, T>>(
    table: T,
    record: string,
    field: F,
  ): FieldValue<S, T, F> | undefined {
    return parseCell(this.#tables, table, field, this.cell(table, record, field).value);
  }

  view<T extends TableName<S>>(table: T, record: string): RecordView<S, T> {
    const key = `${table}/${record}`;
    let found = this.#views.get(key);
    if (!found) {
      found = signal(this.#readView(table, record));
      this.#views.set(key, found);
    }
    return found.value as RecordView<S, T>;
  }

  records(table: TableName<S>): readonly string[] {
    return this.#list(table).value;
  }

  /** Takes note of changed cells. */
  changed(addresses: readonly CellAddress[]): void {
    const source = this.#source();
    batch(() => {
      const records = new Map<string, CellAddress>();
      for (const address of addresses) {
        const cell = this.#cells.get(addressKey(address));
        if (cell) cell.value = source.cell(address.table, address.record, address.field);
        records.set(`${address.table}/${address.record}`, address);
      }
      const touched = new Map<string, string[]>();
      for (const [key, { table, record }] of records) {
        const view = this.#views.get(key);
        if (view && this.#isTable(table)) view.value = this.#readView(table, record);
        const others = touched.get(table);
        if (others) others.push(record);
        else touched.set(table, [record]);
      }
      for (const [table, ids] of touched) {
        const list = this.#lists.get(table);
        if (list) list.value = withChanges(list.peek(), ids, (id) => source.exists(table, id));
      }
    });
  }

  #isTable(table: string): table is TableName<S> {
    return Object.hasOwn(this.#tables, table);
  }

  #list(table: string): Signal<readonly string[]> {
    let list = this.#lists.get(table);
    if (!list) {
      list = signal([...this.#source().records(table)].sort());
      this.#lists.set(table, list);
    }
    return list;
  }

  #readView(table: TableName<S>, record: string): Readonly<Record<string, unknown>> {
    return readView(this.#tables, this.#source(), table, record);
  }
}

/**
 * A sorted list of ids after some of them came or went. The list itself where nothing did. One record more costs a
 * copy of the list and no sorting of it: a ledger grows by one of twenty thousand at a time.
 */
function withChanges(
  ids: readonly string[],
  touched: readonly string[],
  exists: (id: string) => boolean,
): readonly string[] {
  const came: string[] = [];
  const went = new Set<string>();
  for (const id of touched) {
    const isKnown = ids[placeIn(ids, id)] === id;
    if (exists(id) && !isKnown) came.push(id);
    if (!exists(id) && isKnown) went.add(id);
  }
  if (came.length === 0 && went.size === 0) return ids;
  const stayed = went.size === 0 ? ids : ids.filter((id) => !went.has(id));
  const merged: string[] = [];
  let from = 0;
  for (const id of came.sort()) {
    const place = placeIn(stayed, id, from);
    for (; from < place; from += 1) merged.push(stayed[from] ?? '');
    merged.push(id);
  }
  for (; from < stayed.length; from += 1) merged.push(stayed[from] ?? '');
  return merged;
}

/** Typed reads of a board as it stands now, without signals. */
export function readerOf<S extends Tables>(tables: S, source: BoardReader): TypedReader<S> {
  return {
    value: (table, record, field) => parseCell(tables, table, field, source.cell(table, record, field)),
    view: (table, record) => readView(tables, source, table, record),
    records: (table) => [...source.records(table)].sort(),
  };
}

function readView<S extends Tables, T extends TableName<S>>(
  tables: S,
  source: BoardReader,
  table: T,
  record: string,
): RecordView<S, T> {
  const view: Record<string, unknown> = {};
  for (const [name, cell] of source.fields(table, record)) {
    const value = parseCell(tables, table, name, cell);
    if (value !== undefined) view[name] = value;
  }
  return view as RecordView<S, T>;
}

const parsedCells = new WeakMap<Cell, { readonly value: unknown }>();

/** A cell's value by its field's schema. A value that no longer fits counts as absent: it must not stop the rest. */
function parseCell<S extends Tables, T extends TableName<S>, F extends FieldName<S, T>>(
  tables: S,
  table: T,
  field: string,
  cell: Cell | undefined,
): FieldValue<S, T, F> | undefined {
  if (!cell || cell[0] === null) return undefined;
  let parsed = parsedCells.get(cell);
  if (!parsed) {
    const fields = tables[table]?.fields;
    const declared = fields && Object.hasOwn(fields, field) ? fields[field] : undefined;
    const result = declared && z.safeParse(declared.schema, cell[0]);
    parsed = { value: result?.success ? result.data : undefined };
    parsedCells.set(cell, parsed);
  }
  // The schema that just accepted the value is the one that FieldValue is inferred from.
  return parsed.value as FieldValue<S, T, F> | undefined;
}

/** All tables as plain objects, cleared fields absent. */
export function plainTables(
  tables: Tables,
  source: BoardReader,
): Record<string, Record<string, Record<string, Json>>> {
  const plain: Record<string, Record<string, Record<string, Json>>> = {};
  for (const table of Object.keys(tables)) {
    const records: Record<string, Record<string, Json>> = {};
    for (const record of source.records(table)) {
      const fields: Record<string, Json> = {};
      for (const [field, cell] of source.fields(table, record)) if (cell[0] !== null) fields[field] = cell[0];
      records[record] = fields;
    }
    plain[table] = records;
  }
  return plain;
}
