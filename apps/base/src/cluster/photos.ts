import { type PhotoType, photoType } from '../photos/media.ts';
import type { PhotoOutcome, Photos, Picture } from '../photos/store.ts';
import { FleetAway } from './accounts/errors.ts';

/** Long bytes that all nodes share, by name. */
export interface SharedObjects {
  /** Puts bytes there, and reads them back before it says so. */
  put(name: string, bytes: Uint8Array): Promise<void>;
  /** @param bytes how long it may be; gives the time that it may take */
  get(name: string, bytes: number): Promise<Uint8Array | null>;
}

const AWAY = 'The servers of the fleet do not answer, so this picture cannot be kept or fetched right now.';

/**
 * Photographs of a fleet: what is reported kept is with the engine; every node has those that it has taken in or shown
 * in its own folder too.
 */
export class FleetPhotos implements Photos {
  readonly #own: Photos;
  readonly #objects: SharedObjects;
  readonly #photoBytes: number;
  /** Those that this node knows the engine to have. */
  readonly #kept = new Set<string>();
  readonly #fetching = new Map<string, Promise<Picture | null>>();

  /** @param photoBytes the most that one picture may have */
  constructor(own: Photos, objects: SharedObjects, photoBytes: number) {
    this.#own = own;
    this.#objects = objects;
    this.#photoBytes = photoBytes;
  }

  /** @throws FleetAway: then the sender sends it again */
  async put(
    board: string,
    hash: string,
    said: PhotoType,
    pieces: AsyncIterable<Uint8Array>,
  ): Promise<PhotoOutcome> {
    const outcome = await this.#own.put(board, hash, said, pieces);
    if (outcome !== 'stored' && outcome !== 'known') return outcome;
    return (await this.share(board, hash)) ? 'stored' : 'known';
  }

  async get(board: string, hash: string): Promise<Picture | null> {
    const own = await this.#own.get(board, hash);
    if (own) return own;
    const name = nameOf(board, hash);
    let fetching = this.#fetching.get(name);
    if (!fetching) {
      fetching = this.#fetch(board, hash).finally(() => this.#fetching.delete(name));
      this.#fetching.set(name, fetching);
    }
    return fetching;
  }

  /** Gives the engine a picture that is in this node's folder. Resolves to whether it did not have it yet. */
  async share(board: string, hash: string): Promise<boolean> {
    const name = nameOf(board, hash);
    if (this.#kept.has(name)) return false;
    const picture = await this.#own.get(board, hash);
    if (!picture) throw new Error('A picture that was just kept cannot be read.');
    const isThere = (await this.#read(name)) !== null;
    if (!isThere) await this.#objects.put(name, picture.bytes).catch(away);
    this.#kept.add(name);
    return !isThere;
  }

  async #fetch(board: string, hash: string): Promise<Picture | null> {
    const bytes = await this.#read(nameOf(board, hash));
    const type = bytes && photoType(bytes);
    if (!bytes || !type) return null;
    const outcome = await this.#own.put(board, hash, type, once(bytes));
    // What the hash does not name is not shown; a full disk keeps nobody from looking.
    return outcome === 'other' || outcome === 'notPicture' || outcome === 'tooLarge'
      ? null
      : { type, bytes: new Uint8Array(bytes) };
  }

  #read(name: string): Promise<Uint8Array | null> {
    return this.#objects.get(name, this.#photoBytes).catch(away);
  }
}

/** All names of pictures of a board begin so. */
function beginningOf(board: string): string {
  return `photo.${board}.`;
}

/** Copies the pictures of a board out of the engine into a folder; returns how many there are. */
export async function photosOut(
  objects: SharedObjects & { names(beginning: string): Promise<readonly string[]> },
  folder: Photos,
  board: string,
  photoBytes: number,
): Promise<number> {
  const source = new FleetPhotos(folder, objects, photoBytes);
  const names = await objects.names(beginningOf(board));
  for (const name of names) {
    const picture = await source.get(board, name.slice(beginningOf(board).length));
    if (!picture) throw new Error(`${name} is not what was kept under this name.`);
  }
  return names.length;
}

/** Copies the pictures of a board out of a folder into the engine; returns how many there are. */
export async function photosIn(
  objects: SharedObjects,
  folder: Photos & { list(board: string): Promise<readonly string[]> },
  board: string,
  photoBytes: number,
): Promise<number> {
  const target = new FleetPhotos(folder, objects, photoBytes);
  const hashes = await folder.list(board);
  for (const hash of hashes) await target.share(board, hash);
  return hashes.length;
}

function nameOf(board: string, hash: string): string {
  return `${beginningOf(board)}${hash}`;
}

async function* once(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  yield bytes;
}

function away(error: unknown): never {
  throw new FleetAway(AWAY, { cause: error });
}
