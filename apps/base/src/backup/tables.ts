import * as z from 'zod';
import { bytesSchema, type Database, textColumn, textSchema } from '../sqlite/database.ts';

type Value = string | number | null | Uint8Array;

/** A row of any table, by column. */
export type TableRow = Readonly<Record<string, Value>>;

/** Tables that are made from others, or mean nothing outside their file. */
const DERIVED: ReadonlySet<string> = new Set(['changes', 'probe']);

/** Those of the driver, and what a node of a fleet notes of its own copy. */
const OWN = /^(sqlite_|libsql_|fleet(_|$))/;

const PAGE = 200;

const valueSchema = z.union([z.string(), z.number(), z.null(), bytesSchema]);

/** The tables that a backup holds: every one there is, so that one added later comes along by itself. */
export function keptTables(database: Database): readonly string[] {
  return database
    .all(z.object({ name: z.string() }), "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY rowid")
    .map(({ name }) => name)
    .filter((name) => !DERIVED.has(name) && !OWN.test(name));
}

/** The names of a table's columns, in order. */
export function columnsOf(database: Database, table: string): readonly string[] {
  return database
    .all(z.object({ name: z.string() }), 'SELECT name FROM pragma_table_info(?)', [table])
    .map(({ name }) => name);
}

/** The column that says which board a row is about. */
export function boardColumn(table: string): string {
  return table === 'boards' ? 'id' : 'board';
}

const KEY = z.object({ _key: z.number() });

/** A board's rows of a table, in the order in which they were written. @throws ZodError for one that cannot be read */
export function* rowsOf(database: Database, table: string, board: string): Generator<TableRow> {
  const key = table === 'rows' ? 'seq' : 'rowid';
  const columns = database.all(
    z.object({ name: z.string(), type: z.string() }),
    'SELECT name, type FROM pragma_table_info(?)',
    [table],
  );
  const chosen = columns.map(({ name, type }) => (type === 'TEXT' ? textColumn(name) : name)).join(', ');
  const schema = z.object(
    Object.fromEntries(
      columns.map(({ name, type }) => [name, type === 'TEXT' ? textSchema.nullable() : valueSchema]),
    ),
  );
  for (let after = -1; ; ) {
    const page = database.all(
      z.looseObject(KEY.shape),
      `SELECT ${key} AS _key, ${chosen} FROM ${table} WHERE ${table}.${boardColumn(table)} = ? AND ${key} > ?
       ORDER BY ${key} LIMIT ${PAGE}`,
      [board, after],
    );
    for (const { _key, ...row } of page) {
      yield schema.parse(row);
      after = _key;
    }
    if (page.length < PAGE) return;
  }
}

/** Puts a row into a table. @throws Error for a column that the table does not have */
export function insertRow(database: Database, table: string, row: TableRow): void {
  const known = new Set(columnsOf(database, table));
  const names = Object.keys(row);
  const foreign = names.find((name) => !known.has(name));
  if (foreign !== undefined) throw new Error(`there is no ${foreign} in ${table}`);
  const holes = names.map(() => '?').join(', ');
  database.run(
    `INSERT INTO ${table} (${names.map((name) => `"${name}"`).join(', ')}) VALUES (${holes})`,
    Object.values(row),
  );
}
