import { createHash } from 'node:crypto';
import { setImmediate as nextTurn } from 'node:timers/promises';
import * as z from 'zod';
import { bytesSchema, type Database } from '../sqlite/database.ts';
import type { Snapshot } from './port.ts';

/** A snapshot longer than this is kept in parts of as much, since writing or reading it in one go would hold everybody up. */
const PART_BYTES = 256 * 1024;

const NOTHING = new Uint8Array(0);

/** What a snapshot is checked by. */
export function digest(bytes: Uint8Array): Uint8Array {
  return createHash('sha256').update(bytes).digest();
}

/**
 * Puts a snapshot beside those that are kept: the last two of an epoch, and its first, which holds what a restored
 * board began with and no row tells. In one go, within a transaction of the caller's.
 */
export function putSnapshot(database: Database, board: string, { epoch, seq, bytes }: Snapshot): void {
  addHead(database, board, epoch, seq, bytes, digest(bytes));
}

/** The same for a board that is in use: a long one goes in by parts, which count only once its head is there. */
export async function saveSnapshot(
  database: Database,
  board: string,
  { epoch, seq, bytes }: Snapshot,
): Promise<void> {
  if (bytes.length <= PART_BYTES) {
    database.transaction(() => addHead(database, board, epoch, seq, bytes, digest(bytes)));
    return;
  }
  // What a base that died meanwhile has left.
  database.run('DELETE FROM snapshot_parts WHERE board = ? AND epoch = ? AND seq = ?', [board, epoch, seq]);
  const hash = createHash('sha256');
  for (let at = 0, part = 0; at < bytes.length; at += PART_BYTES, part++) {
    const piece = bytes.subarray(at, at + PART_BYTES);
    hash.update(piece);
    database.transaction(() =>
      database.run('INSERT INTO snapshot_parts VALUES (?, ?, ?, ?, ?)', [board, epoch, seq, part, piece]),
    );
    await nextTurn();
  }
  database.transaction(() => addHead(database, board, epoch, seq, NOTHING, hash.digest()));
  while (dropPart(database, board, epoch)) await nextTurn();
}

function addHead(
  database: Database,
  board: string,
  epoch: string,
  seq: number,
  bytes: Uint8Array,
  sum: Uint8Array,
): void {
  database.run('INSERT OR REPLACE INTO snapshots VALUES (?, ?, ?, ?, ?)', [board, epoch, seq, bytes, sum]);
  database.run(
    `DELETE FROM snapshots WHERE board = ?1 AND epoch = ?2
     AND seq > (SELECT min(seq) FROM snapshots WHERE board = ?1 AND epoch = ?2)
     AND seq NOT IN (SELECT seq FROM snapshots WHERE board = ?1 AND epoch = ?2 ORDER BY seq DESC LIMIT 2)`,
    [board, epoch],
  );
}

/** Lets go of one part whose snapshot is kept no more; false where there is none. */
function dropPart(database: Database, board: string, epoch: string): boolean {
  const found = database.one(
    z.object({ id: z.int() }),
    `SELECT rowid AS id FROM snapshot_parts AS parts WHERE board = ?1 AND epoch = ?2
     AND NOT EXISTS (SELECT 1 FROM snapshots WHERE board = ?1 AND epoch = ?2 AND seq = parts.seq) LIMIT 1`,
    [board, epoch],
  );
  if (found) database.run('DELETE FROM snapshot_parts WHERE rowid = ?', [found.id]);
  return found !== null;
}

const headSchema = z.object({ seq: z.int(), bytes: bytesSchema, sum: bytesSchema });
const partSchema = z.object({ bytes: bytesSchema });

/** The newest sound snapshot of an epoch. */
export async function newestSnapshot(
  database: Database,
  board: string,
  epoch: string,
): Promise<Snapshot | null> {
  for (let before = Number.MAX_SAFE_INTEGER; ; ) {
    const head = database.one(
      headSchema,
      'SELECT seq, bytes, sum FROM snapshots WHERE board = ? AND epoch = ? AND seq < ? ORDER BY seq DESC LIMIT 1',
      [board, epoch, before],
    );
    if (!head) return null;
    const { seq, sum } = head;
    const pieces: Uint8Array[] = [head.bytes];
    const hash = createHash('sha256').update(head.bytes);
    for (const part of partsOf(database, board, epoch, seq)) {
      pieces.push(part);
      hash.update(part);
      await nextTurn();
    }
    if (Buffer.compare(hash.digest(), sum) === 0) {
      const [first = NOTHING] = pieces;
      return { epoch, seq, bytes: pieces.length === 1 ? first : new Uint8Array(Buffer.concat(pieces)) };
    }
    before = seq;
  }
}

/** The parts of a snapshot, in order; none where it is in one piece. */
export function* partsOf(
  database: Database,
  board: string,
  epoch: string,
  seq: number,
): Generator<Uint8Array, void> {
  for (let part = 0; ; part++) {
    const found = database.one(
      partSchema,
      'SELECT bytes FROM snapshot_parts WHERE board = ? AND epoch = ? AND seq = ? AND part = ?',
      [board, epoch, seq, part],
    );
    if (!found) return;
    yield found.bytes;
  }
}
