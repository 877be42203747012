import Libsql from 'libsql';
import * as z from 'zod';
import { MIGRATIONS } from './migrations.ts';

type Value = string | number | null | Uint8Array;

/** A BLOB as bytes of its own; the driver hands out either of two kinds. */
export const bytesSchema = z
  .union([z.instanceof(ArrayBuffer), z.instanceof(Uint8Array)])
  .transform((blob) => new Uint8Array(blob));

/**
 * The data file: one SQLite database in WAL mode whose commits wait for the disk. Statements are prepared once, values
 * go in as one list (the driver takes a lone buffer for a list and dies), rows come out through a schema.
 */
export class Database {
  readonly #connection: Libsql.Database;
  readonly #statements = new Map<string, Libsql.Statement>();

  /** @throws Error where the file cannot be opened, or was written by a newer version of this program */
  constructor(path: string) {
    this.#connection = new Libsql(path, { timeout: 5000 });
    this.#connection.exec('PRAGMA journal_mode = WAL');
    this.#connection.exec('PRAGMA synchronous = FULL');
    this.#connection.exec('PRAGMA foreign_keys = ON');
    this.#migrate();
  }

  /** Runs a statement that returns nothing; returns how many rows it changed. */
  run(sql: string, values: readonly Value[] = []): number {
    return this.#prepare(sql).run([...values]).changes;
  }

  /** The rows of a query. */
  all<T>(schema: z.ZodType<T>, sql: string, values: readonly Value[] = []): T[] {
    return this.#prepare(sql)
      .all([...values])
      .map((row) => schema.parse(row));
  }

  /** The first row of a query, or `null`. */
  one<T>(schema: z.ZodType<T>, sql: string, values: readonly Value[] = []): T | null {
    return this.all(schema, sql, values)[0] ?? null;
  }

  /** Runs `act` in one transaction; once this returns, it is on disk. */
  transaction<T>(act: () => T): T {
    this.#connection.exec('BEGIN IMMEDIATE');
    try {
      const result = act();
      this.#connection.exec('COMMIT');
      return result;
    } catch (error) {
      this.#rollBack();
      throw error;
    }
  }

  close(): void {
    this.#statements.clear();
    this.#connection.close();
  }

  #rollBack(): void {
    try {
      this.#connection.exec('ROLLBACK');
    } catch {
      // SQLite has rolled back by itself where the disk failed; the first error is the one to tell.
    }
  }

  #prepare(sql: string): Libsql.Statement {
    let statement = this.#statements.get(sql);
    if (!statement) {
      statement = this.#connection.prepare(sql);
      this.#statements.set(sql, statement);
    }
    return statement;
  }

  #migrate(): void {
    const { user_version: version } = z
      .object({ user_version: z.int() })
      .parse(this.#connection.prepare('PRAGMA user_version').all([])[0]);
    if (version > MIGRATIONS.length) {
      throw new Error(
        `The data file is of version ${version}; this program knows up to ${MIGRATIONS.length}.`,
      );
    }
    MIGRATIONS.slice(version).forEach((migration, index) => {
      this.transaction(() => {
        this.#connection.exec(migration);
        this.#connection.exec(`PRAGMA user_version = ${version + index + 1}`);
      });
    });
  }
}
