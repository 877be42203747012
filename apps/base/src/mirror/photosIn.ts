import { createReadStream } from 'node:fs';
import { mkdir, open, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { HEAD_BYTES, photoType } from '../photos/media.ts';
import type { PhotoOutcome, PhotoStore } from '../photos/store.ts';

const HASH = /^[0-9a-f]{64}$/;

/** What came of a piece of a picture. */
export type PieceOutcome =
  | { readonly kind: 'kept'; readonly have: number; readonly isWhole: boolean }
  | { readonly kind: 'refused'; readonly outcome: Exclude<PhotoOutcome, 'stored' | 'known'> };

/** Pictures that come in pieces, from where they were broken off. What is not whole yet lies apart from the pictures. */
export class PhotosIn {
  readonly #store: PhotoStore;
  readonly #folder: string;
  readonly #most: number;

  /** @param most bytes of one picture */
  constructor(store: PhotoStore, folder: string, most: number) {
    this.#store = store;
    this.#folder = folder;
    this.#most = most;
  }

  /** Which of these pictures the board lacks, by their places in the list. */
  async lacks(board: string, hashes: readonly string[]): Promise<readonly number[]> {
    const here = new Set(await this.#store.list(board));
    return hashes.flatMap((hash, index) => (here.has(hash) ? [] : [index]));
  }

  /** Adds a piece where it fits the end of what is here; says how much that is by now. */
  async piece(
    board: string,
    hash: string,
    { from, size, bytes }: { readonly from: number; readonly size: number; readonly bytes: Uint8Array },
  ): Promise<PieceOutcome> {
    if (!HASH.test(hash)) return { kind: 'refused', outcome: 'other' };
    if (size > this.#most) return { kind: 'refused', outcome: 'tooLarge' };
    const folder = join(this.#folder, board);
    const path = join(folder, hash);
    await mkdir(folder, { recursive: true, mode: 0o700 });
    let have = await sizeOf(path);
    if (from === have && from + bytes.length <= size && bytes.length > 0) {
      const file = await open(path, 'a', 0o600);
      try {
        await file.appendFile(bytes);
      } finally {
        await file.close();
      }
      have += bytes.length;
    }
    if (have < size) return { kind: 'kept', have, isWhole: false };
    const outcome = await this.#finish(board, hash, path);
    await rm(path, { force: true });
    if (outcome === 'stored' || outcome === 'known') return { kind: 'kept', have: size, isWhole: true };
    return { kind: 'refused', outcome };
  }

  async #finish(board: string, hash: string, path: string): Promise<PhotoOutcome> {
    const file = await open(path, 'r');
    const head = new Uint8Array(HEAD_BYTES);
    try {
      await file.read(head, 0, HEAD_BYTES, 0);
    } finally {
      await file.close();
    }
    const type = photoType(head);
    return type ? this.#store.put(board, hash, type, createReadStream(path)) : 'notPicture';
  }
}

async function sizeOf(path: string): Promise<number> {
  return stat(path).then(
    ({ size }) => size,
    () => 0,
  );
}
