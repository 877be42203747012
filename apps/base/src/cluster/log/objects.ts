import type { ObjectStore } from '@nats-io/obj';
import type { Engine } from './engine.ts';
import type { Names } from './names.ts';

/** A long object takes longer than a call: this much more for each megabyte, ms. */
const MS_PER_MEGABYTE = 2000;

/** To list what there is takes no longer, ms. */
const LIST_MS = 60_000;

/** Long bytes in the engine's object store, which checks each by its SHA-256. */
export class Objects {
  readonly #engine: Engine;
  readonly #names: Names;
  readonly #store: ObjectStore;

  constructor(engine: Engine, names: Names, store: ObjectStore) {
    this.#engine = engine;
    this.#names = names;
    this.#store = store;
  }

  /** Puts bytes there, and reads them back before it says so. @throws Error where they are not the same */
  async put(name: string, bytes: Uint8Array): Promise<void> {
    const ms = this.#patience(bytes.length);
    await this.#engine.within(name, this.#store.putBlob({ name }, bytes), ms);
    const back = await this.get(name, bytes.length);
    if (!back || Buffer.compare(back, bytes) !== 0)
      throw new Error(`${name}: what the engine keeps is not what was given`);
  }

  /** Reads an object; `null` where there is none. @throws Error where it is not what was written */
  async get(name: string, bytes: number): Promise<Uint8Array | null> {
    const found = await this.#engine.within(name, this.#store.getBlob(name), this.#patience(bytes));
    return found && new Uint8Array(found.buffer, found.byteOffset, found.length);
  }

  /** The names of all there are that begin with a text. */
  async names(beginning: string): Promise<readonly string[]> {
    const all = await this.#engine.within('objects', this.#store.list(), LIST_MS);
    return all.map(({ name }) => name).filter((name) => name.startsWith(beginning));
  }

  /** Lets go of an object, and of the engine's note that there was one. */
  async delete(name: string): Promise<void> {
    const { bucket } = this.#names;
    await this.#engine.within(name, this.#store.delete(name));
    const filter = `$O.${bucket}.M.${padded(Buffer.from(name).toString('base64url'))}`;
    await this.#engine.jsm.streams.purge(`OBJ_${bucket}`, { filter });
  }

  #patience(bytes: number): number {
    return this.#engine.callMs + (bytes / 1e6) * MS_PER_MEGABYTE;
  }
}

/** Base64 with the padding that the object store's subjects have. */
function padded(text: string): string {
  return text.padEnd(Math.ceil(text.length / 4) * 4, '=');
}
