import { createHash, randomBytes } from 'node:crypto';
import { mkdirSync, readdirSync, rmSync, statSync } from 'node:fs';
import { type FileHandle, mkdir, open, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { HEAD_BYTES, type PhotoType, photoType } from './media.ts';

/** How much of photographs a base keeps. */
export interface PhotoLimits {
  /** Of one picture. */
  readonly photoBytes: number;
  /** Of all pictures of a board. */
  readonly boardBytes: number;
  /** Pictures that one session may send, a second in the long run and at once. */
  readonly perSecond: number;
  readonly burst: number;
}

export const PHOTO_LIMITS: PhotoLimits = {
  photoBytes: 6 * 1024 * 1024,
  boardBytes: 2 * 1024 ** 3,
  perSecond: 2,
  burst: 60,
};

/** What came of a picture that was sent. */
export type PhotoOutcome =
  | 'stored'
  /** It was there already; nothing has changed. */
  | 'known'
  /** The bytes are not those that the hash names. */
  | 'other'
  /** It is none of the kinds that are kept, or not the one that it is said to be. */
  | 'notPicture'
  | 'tooLarge'
  /** The board has used up what it may keep. */
  | 'boardFull'
  /** The disk has no room. */
  | 'diskFull';

/** A picture, whole. */
export interface Picture {
  readonly type: PhotoType;
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** Where photographs are kept, by board and by the SHA-256 of their bytes. */
export interface Photos {
  /**
   * Keeps a picture that arrives in pieces.
   *
   * @param hash that the bytes must have, SHA-256 in small hexadecimal digits
   * @param said what it is said to be
   * @throws what the pieces throw: then nothing is kept
   */
  put(board: string, hash: string, said: PhotoType, pieces: AsyncIterable<Uint8Array>): Promise<PhotoOutcome>;
  /** A picture of a board; `null` where there is none. */
  get(board: string, hash: string): Promise<Picture | null>;
}

/** What of the disk is used, so that tests can make it fail. */
export interface PhotoDisk {
  /** Opens a file that must not be there yet. */
  open(path: string): Promise<Pick<FileHandle, 'write' | 'sync' | 'close'>>;
}

const realDisk: PhotoDisk = { open: (path) => open(path, 'wx', 0o600) };

const HASH = /^[0-9a-f]{64}$/;
const BOARD = /^[A-Za-z0-9_-]{1,64}$/;

/**
 * Photographs by board and by the SHA-256 of their bytes: `photos/BOARD/ab/abcdef…`. A picture is written beside its
 * place, brought to the disk for good and only then given its name, so that what has a name is whole.
 */
export class PhotoStore implements Photos {
  readonly #folder: string;
  readonly #limits: PhotoLimits;
  readonly #disk: PhotoDisk;
  readonly #used = new Map<string, number>();

  constructor(folder: string, limits: PhotoLimits, disk: PhotoDisk = realDisk) {
    this.#folder = folder;
    this.#limits = limits;
    this.#disk = disk;
    // What was being sent when the base last ended.
    rmSync(this.#coming, { recursive: true, force: true });
  }

  /**
   * Keeps a picture that arrives in pieces.
   *
   * @param hash that the bytes must have, SHA-256 in small hexadecimal digits
   * @param said what it is said to be
   * @throws what the pieces throw: then nothing is kept
   */
  async put(
    board: string,
    hash: string,
    said: PhotoType,
    pieces: AsyncIterable<Uint8Array>,
  ): Promise<PhotoOutcome> {
    const place = this.#placeOf(board, hash);
    if (place === null) return 'other';
    const temporary = join(this.#coming, randomBytes(12).toString('hex'));
    try {
      await mkdir(this.#coming, { recursive: true, mode: 0o700 });
      const written = await this.#write(temporary, said, hash, pieces);
      if (typeof written === 'string') return written;
      if (await isThere(place.path)) return 'known';
      // Counted before it is moved, so that two at once cannot both take the last room.
      const used = this.#usedBy(board);
      if (used + written > this.#limits.boardBytes) return 'boardFull';
      this.#used.set(board, used + written);
      try {
        await mkdir(place.folder, { recursive: true, mode: 0o700 });
        await rename(temporary, place.path);
        await syncFolder(place.folder);
        await syncFolder(join(place.folder, '..'));
      } catch (error) {
        this.#used.delete(board);
        throw error;
      }
      return 'stored';
    } catch (error) {
      if (isDiskFull(error)) return 'diskFull';
      throw error;
    } finally {
      await rm(temporary, { force: true }).catch(() => {});
    }
  }

  /** A picture of a board, whole; `null` where there is none. */
  async get(board: string, hash: string): Promise<Picture | null> {
    const place = this.#placeOf(board, hash);
    const bytes = place && (await readFile(place.path).catch(() => null));
    const type = bytes && photoType(bytes);
    return type ? { type, bytes: new Uint8Array(bytes) } : null;
  }

  /** The pictures of a board, by the sums of their bytes. */
  async list(board: string): Promise<readonly string[]> {
    if (!BOARD.test(board)) return [];
    const names = await readdir(join(this.#folder, board), { recursive: true }).catch(() => []);
    return names.map((name) => basename(name)).filter((name) => HASH.test(name));
  }

  /** Bytes that the pictures of a board take. */
  used(board: string): number {
    return this.#usedBy(board);
  }

  get #coming(): string {
    return join(this.#folder, '.coming');
  }

  #placeOf(board: string, hash: string): { readonly folder: string; readonly path: string } | null {
    if (!BOARD.test(board) || !HASH.test(hash)) return null;
    const folder = join(this.#folder, board, hash.slice(0, 2));
    return { folder, path: join(folder, hash) };
  }

  async #write(
    path: string,
    said: PhotoType,
    hash: string,
    pieces: AsyncIterable<Uint8Array>,
  ): Promise<number | Exclude<PhotoOutcome, 'stored' | 'known'>> {
    const file = await this.#disk.open(path);
    try {
      const sum = createHash('sha256');
      const head = new Uint8Array(HEAD_BYTES);
      let bytes = 0;
      for await (const piece of pieces) {
        if (bytes < HEAD_BYTES) head.set(piece.subarray(0, HEAD_BYTES - bytes), bytes);
        bytes += piece.length;
        if (bytes > this.#limits.photoBytes) return 'tooLarge';
        if (bytes >= HEAD_BYTES && photoType(head) !== said) return 'notPicture';
        sum.update(piece);
        await writeWhole(file, piece);
      }
      if (photoType(head) !== said) return 'notPicture';
      if (sum.digest('hex') !== hash) return 'other';
      await file.sync();
      return bytes;
    } finally {
      await file.close();
    }
  }

  #usedBy(board: string): number {
    const known = this.#used.get(board);
    if (known !== undefined) return known;
    const folder = join(this.#folder, board);
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const used = readdirSync(folder, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .reduce((sum, entry) => sum + statSync(join(entry.parentPath, entry.name)).size, 0);
    this.#used.set(board, used);
    return used;
  }
}

async function isThere(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  );
}

async function writeWhole(file: Pick<FileHandle, 'write'>, piece: Uint8Array): Promise<void> {
  let from = 0;
  while (from < piece.length) from += (await file.write(piece, from, piece.length - from)).bytesWritten;
}

/** Brings a folder's names to the disk, where the system can. */
async function syncFolder(path: string): Promise<void> {
  const folder = await open(path, 'r').catch(() => null);
  await folder?.sync().catch(() => {});
  await folder?.close();
}

function isDiskFull(error: unknown): boolean {
  const code = error instanceof Error && 'code' in error ? error.code : null;
  return code === 'ENOSPC' || code === 'EDQUOT';
}
