import * as Y from 'yjs';
import * as z from 'zod';
import type { Person } from '../accounts/port.ts';
import { epochsOf } from '../accounts/sqlite.ts';
import { VISITORS } from '../accounts/writes.ts';
import { Replay, storedRows } from '../backup/boardReplay.ts';
import { putSnapshot } from '../log/snapshots.ts';
import { rowSchema } from '../log/sqlite.ts';
import type { Database } from '../sqlite/database.ts';
import type { About } from './batch.ts';

/** Makes a board as the other base says it is, people and epochs included. */
export function makeBoard(database: Database, board: string, { title, createdAt, epochs }: About): void {
  database.transaction(() => {
    database.run('INSERT INTO boards VALUES (?, ?, ?)', [board, title, createdAt]);
    epochs.forEach(({ id, client, fromSeq }, index) => {
      database.run('INSERT INTO epochs VALUES (?, ?, ?, ?, ?)', [board, index + 1, id, client, fromSeq]);
    });
  });
}

/** Notes who belongs to the board over there, so that nobody here gets the id of one of them. Visitors here stay. */
export function putPeople(database: Database, board: string, people: readonly Person[]): void {
  database.transaction(() => {
    people.forEach(({ id, name, role, joinedAt, leftAt }, index) => {
      database.run(
        `INSERT INTO people VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
         ON CONFLICT (board, id) DO UPDATE SET name = ?4, role = ?5, joined_at = ?6, left_at = ?7
         WHERE number <= ${VISITORS}`,
        [board, id, index + 1, name, role, joinedAt, leftAt],
      );
    });
  });
}

const foundSchema = z.object({ found: z.int() });

/**
 * A board that was restored over there begins its epoch with a document that no row tells. It follows from the rows
 * before it, so it is made here too, as soon as they are all here. Returns whether that was now.
 */
export function openEpoch(database: Database, board: string, seq: number): boolean {
  const epochs = epochsOf(database, board);
  const last = epochs.at(-1);
  if (!last || last.fromSeq === 0 || seq < last.fromSeq) return false;
  const known = database.one(
    foundSchema,
    'SELECT count(*) AS found FROM snapshots WHERE board = ? AND epoch = ?',
    [board, last.id],
  );
  if ((known?.found ?? 0) > 0) return false;
  const replay = new Replay(epochs, [], (row, what) => {
    throw new Error(`board ${board}, row ${row}: ${what}`);
  });
  for (const raw of storedRows(database, board)) {
    const row = rowSchema.parse(raw);
    if (row.seq > last.fromSeq) break;
    replay.row(row.seq, row.epoch, row.update, true);
  }
  replay.end(last.fromSeq);
  const bytes = Y.encodeStateAsUpdate(replay.doc);
  database.transaction(() => putSnapshot(database, board, { epoch: last.id, seq: last.fromSeq, bytes }));
  return true;
}
