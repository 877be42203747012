import { findField, type Json, type RecordView } from '@plumbline/replica';
import * as z from 'zod/mini';
import { type ShootReader, type ShootTableName, type ShootTables, tables } from '../tables/index.ts';

/** A value as far as reading goes. */
export interface LaidValue {
  readonly table: string;
  readonly record: string;
  readonly field: string;
  readonly value: Json;
}

type AnyView = RecordView<ShootTables, ShootTableName>;

/** Reads through `viewOf`, which answers for any table and record. */
function readerBy(
  viewOf: (table: ShootTableName, record: string) => AnyView,
  records: (table: ShootTableName) => readonly string[],
): ShootReader {
  const view: ShootReader['view'] = (table, record) =>
    // `viewOf` was asked for this table, so what it gives is a view of this table.
    viewOf(table, record) as RecordView<ShootTables, typeof table>;
  return { view, records, value: (table, record, field) => view(table, record)[field] };
}

/** Reads each record once and remembers it. Not to be used again after a change. */
export function memoReader(source: ShootReader): ShootReader {
  const views = new Map<ShootTableName, Map<string, AnyView>>();
  const lists = new Map<ShootTableName, readonly string[]>();
  return readerBy(
    (table, record) => {
      let records = views.get(table);
      if (!records) {
        records = new Map();
        views.set(table, records);
      }
      let view = records.get(record);
      if (!view) {
        view = source.view(table, record);
        records.set(record, view);
      }
      return view;
    },
    (table) => {
      let list = lists.get(table);
      if (!list) {
        list = source.records(table);
        lists.set(table, list);
      }
      return list;
    },
  );
}

/** Reads with some values laid over. A laid value that does not fit its field counts as absent, as on the board. */
export function overReader(below: ShootReader, laid: readonly LaidValue[]): ShootReader {
  const views = new Map<string, AnyView>();
  const viewOf = (table: ShootTableName, record: string): AnyView => {
    const mine = laid.filter((value) => value.table === table && value.record === record);
    if (mine.length === 0) return below.view(table, record);
    const key = `${table}/${record}`;
    let view = views.get(key);
    if (!view) {
      view = layOver(below.view(table, record), table, mine);
      views.set(key, view);
    }
    return view;
  };
  return readerBy(viewOf, (table) => {
    const list = below.records(table);
    const changed = new Set(laid.filter((value) => value.table === table).map(({ record }) => record));
    if (changed.size === 0) return list;
    const there = [...changed].filter((record) => Object.keys(viewOf(table, record)).length > 0);
    return [...list.filter((record) => !changed.has(record)), ...there].sort();
  });
}

function layOver(view: AnyView, table: string, laid: readonly LaidValue[]): AnyView {
  const made: Record<string, unknown> = { ...view };
  for (const { field, value } of laid) {
    const declared = findField(tables, table, field);
    const parsed = declared && value !== null ? z.safeParse(declared.schema, value) : undefined;
    if (parsed?.success) made[field] = parsed.data;
    else delete made[field];
  }
  return made as AnyView;
}
