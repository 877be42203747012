import { type ReadonlySignal, type Signal, signal } from '@preact/signals';
import {
  keepPictures,
  noteAnswer,
  openPictures,
  type PictureDatabase,
  type PictureRow,
  pictureAt,
  unsentPictures,
} from './kept.ts';
import { type Send, sendPicture } from './sending.ts';

/** How a picture stands that the base does not have yet. */
export type Unsent = { readonly state: 'waiting' } | { readonly state: 'refused'; readonly reason: string };

/** What the queue uses of the world outside. */
export interface QueuePorts {
  readonly open: (onLost: () => void) => Promise<PictureDatabase>;
  readonly send: Send;
  readonly after: (milliseconds: number, act: () => void) => void;
}

const FIRST_PAUSE_MS = 2_000;
const LONGEST_PAUSE_MS = 60_000;

const keyOf = (board: string, hash: string): string => `${board}/${hash}`;

/**
 * Brings pictures to the base, one after the other, and keeps them on this device until it has them: over reloads and
 * hours without a network. A picture sent twice is stored once, so two tabs may both send.
 */
export class PictureQueue {
  /** The pictures that the base does not have yet, by board and hash. */
  readonly unsent: ReadonlySignal<ReadonlyMap<string, Unsent>>;
  readonly #unsent: Signal<ReadonlyMap<string, Unsent>> = signal(new Map());
  readonly #ports: QueuePorts;
  #db: Promise<PictureDatabase> | null = null;
  #running = false;
  #again = false;
  #pause = FIRST_PAUSE_MS;
  #timer = 0;

  constructor(ports: QueuePorts) {
    this.unsent = this.#unsent;
    this.#ports = ports;
  }

  /** How a picture stands; `undefined` once the base has it, or for one that was never here. Follows the queue. */
  stateOf(board: string, hash: string): Unsent | undefined {
    return this.#unsent.value.get(keyOf(board, hash));
  }

  /** Keeps pictures on this device and begins to send them. @throws where this device cannot keep them */
  async add(rows: readonly PictureRow[]): Promise<void> {
    await this.#use((db) => keepPictures(db, rows));
    const unsent = new Map(this.#unsent.peek());
    for (const { board, hash } of rows) unsent.set(keyOf(board, hash), { state: 'waiting' });
    this.#unsent.value = unsent;
    this.wake();
  }

  /** A picture of this device, if it has it. */
  async pictureOf(board: string, hash: string): Promise<Blob | null> {
    try {
      const row = await this.#use((db) => pictureAt(db, board, hash));
      return row ? new Blob([row.bytes], { type: row.type }) : null;
    } catch {
      return null;
    }
  }

  /** Sends what is left now: the base may be there again. */
  wake(): void {
    this.#again = true;
    if (this.#running) return;
    this.#running = true;
    this.#timer++;
    void this.#run();
  }

  async #run(): Promise<void> {
    let left = 0;
    try {
      while (this.#again) {
        this.#again = false;
        left = await this.#pass();
      }
    } catch {
      // this device's database is cut off for the moment
      left = 1;
    }
    this.#running = false;
    if (left === 0) {
      this.#pause = FIRST_PAUSE_MS;
      return;
    }
    const timer = ++this.#timer;
    this.#ports.after(this.#pause, () => {
      if (timer === this.#timer) this.wake();
    });
    this.#pause = Math.min(this.#pause * 2, LONGEST_PAUSE_MS);
  }

  /** Sends each once. Returns how many are still to be sent. */
  async #pass(): Promise<number> {
    const rows = await this.#use(unsentPictures);
    this.#unsent.value = new Map(
      rows.map(({ board, hash, state, reason }): [string, Unsent] => [
        keyOf(board, hash),
        state === 'refused' ? { state, reason } : { state: 'waiting' },
      ]),
    );
    let left = 0;
    for (const { board, hash, state } of rows) {
      const row = state === 'waiting' ? await this.#use((db) => pictureAt(db, board, hash)) : undefined;
      if (!row) continue;
      const answer = await this.#ports.send(row);
      if (answer.kind === 'later') {
        left++;
        continue;
      }
      this.#pause = FIRST_PAUSE_MS;
      const reason = answer.kind === 'refused' ? answer.reason : '';
      await this.#use((db) => noteAnswer(db, row, { state: answer.kind, reason }));
      const unsent = new Map(this.#unsent.peek());
      if (answer.kind === 'refused') unsent.set(keyOf(board, hash), { state: 'refused', reason });
      else unsent.delete(keyOf(board, hash));
      this.#unsent.value = unsent;
    }
    return left;
  }

  /** Some browsers cut a database off in the background: after an error it is opened again the next time. */
  async #use<T>(act: (db: PictureDatabase) => Promise<T>): Promise<T> {
    this.#db ??= this.#ports.open(() => {
      this.#db = null;
    });
    try {
      return await act(await this.#db);
    } catch (error) {
      this.#db = null;
      throw error;
    }
  }
}

let queue: PictureQueue | null = null;

/** The queue of this page, begun when it is first asked for. */
export function pictureQueue(): PictureQueue {
  if (queue) return queue;
  const begun = new PictureQueue({
    open: openPictures,
    send: sendPicture,
    after: (milliseconds, act) => {
      setTimeout(act, milliseconds);
    },
  });
  queue = begun;
  addEventListener('online', () => begun.wake());
  begun.wake();
  return begun;
}
