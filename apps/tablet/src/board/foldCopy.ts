import { DocumentPieces } from '@plumbline/replica';
import type * as Y from 'yjs';
import type { KeptDatabase } from './copy.ts';

/** So much of the document is encoded in one go, some milliseconds of a slow tablet's time; then others have their turn. */
const PIECE_STRUCTS = 300;

/**
 * Takes a document bit by bit, while it goes on being written.
 *
 * @param pause lets others have their turn
 * @param done given pieces that hold all that is in the document at that moment
 */
export async function takeDocument(
  document: Y.Doc,
  pause: () => Promise<void>,
  done: (pieces: readonly Uint8Array[]) => void,
): Promise<void> {
  const taken = new DocumentPieces(document);
  const pieces: Uint8Array[] = [];
  for (let piece = taken.next(PIECE_STRUCTS); piece; piece = taken.next(PIECE_STRUCTS)) {
    pieces.push(piece);
    await pause();
  }
  done([...pieces, ...taken.rest()]);
}

/**
 * Puts the pieces of a document in the place of rows that they hold already, in one transaction: a crash leaves either
 * all rows or the pieces. Row by row, so that whatever else the page has to do comes between.
 *
 * @param holds whether a row of this key is in the pieces; what another page has written meanwhile is not
 * @returns the pieces' keys
 */
export async function foldCopy(
  db: KeptDatabase,
  board: string,
  epoch: string,
  pieces: readonly Uint8Array[],
  holds: (key: number) => boolean,
): Promise<number[]> {
  const tx = db.transaction(['copies', 'updates'], 'readwrite');
  const copies = tx.objectStore('copies');
  const updates = tx.objectStore('updates');
  const copy = await copies.get([board, epoch]);
  const keys: number[] = [];
  if (copy) {
    const held = (await updates.index('copy').getAllKeys([board, epoch])).filter(holds);
    for (const bytes of pieces) keys.push(await updates.add({ board, epoch, bytes, folded: true }));
    for (const key of held) await updates.delete(key);
    if (copy.snapshot) await copies.put({ ...copy, snapshot: null });
  }
  await tx.done;
  return keys;
}
