import Libsql from 'libsql';
import * as z from 'zod';
import { MIGRATIONS } from './migrations.ts';

type Value = string | number | null | Uint8Array;

/** A BLOB as bytes of its own; the driver hands out either of two kinds. */
export const bytesSchema = z
  .union([z.instanceof(ArrayBuffer), z.instanceof(Uint8Array)])
  .transform((blob) => new Uint8Array(blob));

/**
 * Text that was read with {@link textColumn}. The driver ends the whole process where a TEXT is not UTF-8, so what a
 * failing disk may have spoilt is read as bytes, and decoded here with an error that somebody can catch.
 */
export const textSchema = bytesSchema.transform((bytes, context) => {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    context.addIssue({ code: 'custom', message: 'is not text' });
    return z.NEVER;
  }
});

/** A TEXT column as {@link textSchema} reads it. */
export function textColumn(name: string): string {
  return `CAST(${name} AS BLOB) AS ${name}`;
}

const versionSchema = z.object({ user_version: z.int() });

/**
 * The data file: one SQLite database in WAL mode whose commits wait for the disk. Statements are prepared once, values
 * go in as one list (the driver takes a lone buffer for a list and dies), rows come out through a schema.
 */
export class Database {
  readonly #connection: Libsql.Database;
  readonly #isOwn: boolean;
  readonly #statements = new Map<string, Libsql.Statement>();

  /**
   * @param path a file, or `:memory:`
   * @param upTo the version to bring the file up to; `null` leaves it as it is
   * @param synchronous `NORMAL` where the file is a copy of what is kept elsewhere: its last commits may be lost with the
   *   machine, never with the process
   * @throws Error where the file cannot be opened, or was written by a newer version of this program
   */
  constructor(
    path: string,
    upTo: number | null = MIGRATIONS.length,
    synchronous: 'FULL' | 'NORMAL' = 'FULL',
  ) {
    this.#connection = new Libsql(path, { timeout: 5000 });
    this.#isOwn = upTo !== null;
    this.#connection.exec('PRAGMA journal_mode = WAL');
    this.#connection.exec(`PRAGMA synchronous = ${synchronous}`);
    this.#connection.exec('PRAGMA foreign_keys = ON');
    if (this.version > MIGRATIONS.length) {
      const { version } = this;
      this.#connection.close();
      throw new Error(
        `The data file is of version ${version}; this program knows up to ${MIGRATIONS.length}.`,
      );
    }
    if (upTo !== null) this.migrate(upTo);
  }

  /** How many migrations the file has had. */
  get version(): number {
    return versionSchema.parse(this.#connection.prepare('PRAGMA user_version').all([])[0]).user_version;
  }

  /** Brings the file up to a version, the newest where none is said. */
  migrate(upTo: number = MIGRATIONS.length): void {
    const { version } = this;
    MIGRATIONS.slice(version, upTo).forEach((migration, index) => {
      this.transaction(() => {
        this.#connection.exec(migration);
        this.#connection.exec(`PRAGMA user_version = ${version + index + 1}`);
      });
    });
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

  /** Runs `act` on the file as it stands at one moment, whatever others write meanwhile. They are not kept waiting. */
  reading<T>(act: () => T): T {
    this.#connection.exec('BEGIN');
    try {
      return act();
    } finally {
      this.#rollBack();
    }
  }

  close(): void {
    this.#statements.clear();
    if (this.#isOwn) this.#fold();
    this.#connection.close();
  }

  /** Brings the write-ahead log into the file, so that a folder at rest is one file. */
  #fold(): void {
    try {
      this.#connection.exec('PRAGMA wal_checkpoint(TRUNCATE)');
    } catch {
      // A disk that takes nothing: the log stays beside the file and is read at the next start.
    }
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
}
