import * as z from 'zod';
import type { LogRow } from '../../log/port.ts';
import { parseRow } from '../../log/rows.ts';
import { SqliteLog } from '../../log/sqlite.ts';
import { endOf, putRows, type SummedRow, sumAt } from '../../mirror/rows.ts';
import { type Database, textColumn, textSchema } from '../../sqlite/database.ts';
import type { NodeId } from '../port.ts';
import { FleetUnfit, LineDamaged } from './errors.ts';

/** How far a board's line has been taken in. */
export interface Place {
  /** The engine's number of the last entry taken in; 0 for none. */
  readonly at: number;
  /** Who decides the board by then. */
  readonly owner: NodeId | null;
}

/** Rows one after another. */
export interface RowRun {
  /** The checksum of the row that they follow. */
  readonly before: Uint8Array;
  readonly rows: readonly SummedRow[];
}

const NOWHERE: Place = { at: 0, owner: null };

const placeSchema = z.object({ at: z.int(), owner: textSchema.nullable() });

/**
 * A node's own copy of the rows it has met. Where each line has been taken in up to stands in the same file and is
 * written in the same transaction, so that the two never part. The tables are made here and not by a migration: a data
 * file of a base by itself does not have them.
 */
export class Copy {
  readonly log: SqliteLog;
  readonly database: Database;
  readonly #places = new Map<string, Place>();

  constructor(database: Database) {
    this.database = database;
    this.log = new SqliteLog(database);
    database.transaction(() => {
      database.run(
        'CREATE TABLE IF NOT EXISTS fleet_lines (board TEXT PRIMARY KEY, at INTEGER NOT NULL, owner TEXT) WITHOUT ROWID',
      );
      database.run(
        'CREATE TABLE IF NOT EXISTS fleet (id INTEGER PRIMARY KEY CHECK (id = 1), cluster TEXT NOT NULL)',
      );
    });
  }

  /** Binds the copy to a cluster, once and for all. @throws FleetUnfit where it belongs to another, or to none */
  bind(cluster: string): void {
    const database = this.database;
    const bound = database.one(
      z.object({ cluster: textSchema }),
      `SELECT ${textColumn('cluster')} FROM fleet`,
    );
    if (bound?.cluster === cluster) return;
    if (bound) {
      throw new FleetUnfit(
        `This data folder is a copy of the fleet ${bound.cluster}, and the servers are those of ${cluster}. ` +
          'Start with an empty folder, or name the other servers.',
      );
    }
    if (database.one(z.unknown(), 'SELECT 1 FROM rows LIMIT 1') !== null) {
      throw new FleetUnfit(
        'This data folder holds the boards of a base by itself. Start with an empty folder, and bring the boards in ' +
          'with a backup of this one.',
      );
    }
    database.run('INSERT INTO fleet VALUES (1, ?)', [cluster]);
  }

  place(board: string): Place {
    let place = this.#places.get(board);
    if (!place) {
      place =
        this.database.one(placeSchema, `SELECT at, ${textColumn('owner')} FROM fleet_lines WHERE board = ?`, [
          board,
        ]) ?? NOWHERE;
      this.#places.set(board, place);
    }
    return place;
  }

  /**
   * Takes rows in, those left out that are there already, and notes the place.
   *
   * @returns the rows that were not there yet
   * @throws LineDamaged where they do not follow what is there
   */
  take(board: string, run: RowRun, place: Place): readonly SummedRow[] {
    const fresh = this.#fresh(board, run, place.at);
    this.database.transaction(() => {
      putRows(this.database, board, fresh);
      this.#note(board, place);
    });
    this.#places.set(board, place);
    return fresh;
  }

  /** Notes the place behind an entry that has no rows. */
  move(board: string, place: Place): void {
    this.#note(board, place);
    this.#places.set(board, place);
  }

  #note(board: string, { at, owner }: Place): void {
    this.database.run('INSERT OR REPLACE INTO fleet_lines VALUES (?, ?, ?)', [board, at, owner]);
  }

  #fresh(board: string, { rows, before }: RowRun, at: number): readonly SummedRow[] {
    const end = endOf(this.database, board);
    const known = rows.filter(({ text }) => text.seq <= end.seq);
    for (const { text, sum } of known.slice(-1)) {
      const stored = sumAt(this.database, board, text.seq);
      if (!stored || Buffer.compare(stored, sum) !== 0)
        throw new LineDamaged(board, at, `row ${text.seq} is not the one that this node has`);
    }
    const fresh = rows.slice(known.length);
    const [first] = fresh;
    if (first && first.text.seq !== end.seq + 1)
      throw new LineDamaged(board, at, `row ${first.text.seq} does not follow row ${end.seq}`);
    if (first && known.length === 0 && Buffer.compare(before, end.sum) !== 0)
      throw new LineDamaged(board, at, `its rows do not go on from row ${end.seq} as this node has it`);
    return fresh;
  }

  /** Whether a writer's edit is in the log. */
  hasEdit(board: string, writer: string, n: number): boolean {
    return (
      this.database.one(z.unknown(), 'SELECT 1 FROM rows WHERE board = ? AND writer = ? AND n = ?', [
        board,
        writer,
        n,
      ]) !== null
    );
  }
}

/** Rows as whoever follows a line gets them. */
export function asHeard(
  rows: readonly SummedRow[],
): readonly { readonly epoch: string; readonly row: LogRow }[] {
  return rows.map(({ epoch, text }) => ({ epoch, row: parseRow(text) }));
}
