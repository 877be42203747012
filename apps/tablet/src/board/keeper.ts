import { type ReadonlySignal, type Signal, signal } from '@preact/signals';
import {
  appendUpdates,
  beginCopy,
  COMPACT_ABOVE,
  compactCopy,
  dropTab,
  Fenced,
  type KeptDatabase,
  openKept,
  saveTab,
  type TabRow,
} from './copy.ts';

/** Whether this device keeps what is done on it. */
export type Keeping =
  | { readonly kind: 'kept' }
  /** The last attempt failed; it is tried again. */
  | { readonly kind: 'failing'; readonly reason: string };

/** What a keeper uses of the world outside. */
export interface KeeperPorts {
  readonly open: (onLost: () => void) => Promise<KeptDatabase>;
  readonly after: (milliseconds: number, act: () => void) => void;
  readonly now: () => number;
}

const FIRST_PAUSE_MS = 250;
const LONGEST_PAUSE_MS = 15_000;

/**
 * Writes a board's copy and a tab's unanswered edits to this device's database, one transaction after another. Some
 * browsers cut a database off while a page is in the background: after any error it is opened again, and since rows
 * may have been lost with it, the whole document is written then.
 */
export class Keeper {
  readonly keeping: ReadonlySignal<Keeping>;
  readonly #keeping: Signal<Keeping> = signal({ kind: 'kept' });
  readonly #ports: KeeperPorts;
  readonly #board: string;
  readonly #wholeDocument: () => Uint8Array;
  #db: Promise<KeptDatabase> | null = null;
  #epoch: string | null;
  #begun: string | null;
  #updates: Uint8Array[] = [];
  #tab: TabRow | null = null;
  #taken: readonly string[] = [];
  #writeWhole = false;
  #rows: number;
  #running = false;
  #turn: Promise<void> = Promise.resolve();
  #pause = FIRST_PAUSE_MS;
  #stopped = false;
  /** Another page of this browser keeps the board: this one writes nothing. */
  #resting: boolean;
  #saved: TabRow | null = null;
  readonly #onFenced: () => void;

  /**
   * @param epoch of the copy that was loaded, `null` where there was none
   * @param rows how many update rows that copy has
   * @param resting whether another page keeps the board for now
   * @param onFenced told when another page has gone on under this tab's name
   */
  constructor(options: {
    readonly ports: KeeperPorts;
    readonly board: string;
    readonly epoch: string | null;
    readonly rows: number;
    readonly wholeDocument: () => Uint8Array;
    readonly resting?: boolean;
    readonly onFenced?: () => void;
  }) {
    this.keeping = this.#keeping;
    this.#ports = options.ports;
    this.#board = options.board;
    this.#epoch = options.epoch;
    this.#begun = options.epoch;
    this.#rows = options.rows;
    this.#wholeDocument = options.wholeDocument;
    this.#resting = options.resting ?? false;
    this.#onFenced = options.onFenced ?? (() => {});
  }

  /** The last state of the tab that is on the device for certain. */
  get saved(): TabRow | null {
    return this.#saved;
  }

  /**
   * Writes nothing more until {@link resume}.
   *
   * @param finish whether what is left is still written, as far as it can be
   */
  async rest(finish = true): Promise<void> {
    this.#resting = true;
    await this.#turn;
    if (finish) await this.#write().catch(() => {});
    this.#tab = null;
    this.#updates = [];
  }

  /** Keeps the board from here on: the whole document first, since nobody knows what was kept meanwhile. */
  resume(): void {
    this.#resting = false;
    this.#saved = null;
    this.#begun = null;
    this.#updates = [];
    this.#writeWhole = this.#epoch !== null;
    this.#wake();
  }

  get epoch(): string | null {
    return this.#epoch;
  }

  /** The document belongs to this epoch from here on. What was left to write of another epoch's is let go. */
  begin(epoch: string): void {
    if (this.#epoch !== null && this.#epoch !== epoch) this.#updates = [];
    this.#epoch = epoch;
    this.#wake();
  }

  /** Keeps an update of the document. */
  append(update: Uint8Array): void {
    if (this.#resting) return;
    this.#updates.push(update);
    this.#wake();
  }

  /** Keeps a tab's state; only the last one asked for is written. */
  saveTab(row: TabRow): void {
    this.#tab = row;
    this.#wake();
  }

  /** Forgets tabs whose work this one has taken over, once this one's state is written. */
  takeOver(tabs: readonly string[]): void {
    this.#taken = [...this.#taken, ...tabs];
    this.#wake();
  }

  /** Writes what is left and closes the database. */
  async stop(): Promise<void> {
    this.#stopped = true;
    await this.#turn;
    if (!this.#resting) await this.#write().catch(() => {});
    (await this.#db?.catch(() => null))?.close();
  }

  #wake(): void {
    if (this.#running || this.#stopped || this.#resting) return;
    this.#running = true;
    this.#turn = this.#run();
  }

  async #run(): Promise<void> {
    try {
      while (this.#hasWork() && !this.#stopped && !this.#resting) await this.#write();
      this.#running = false;
      this.#pause = FIRST_PAUSE_MS;
      if (this.#keeping.peek().kind !== 'kept') this.#keeping.value = { kind: 'kept' };
    } catch (error) {
      if (error instanceof Fenced) {
        // nothing is wrong with the device: it is another page that writes now
        this.#resting = true;
        this.#running = false;
        this.#onFenced();
        return;
      }
      this.#writeWhole = true;
      this.#keeping.value = {
        kind: 'failing',
        reason: error instanceof Error ? error.message : String(error),
      };
      await this.#forgetDatabase();
      this.#ports.after(this.#pause, () => {
        this.#running = false;
        this.#wake();
      });
      this.#pause = Math.min(this.#pause * 2, LONGEST_PAUSE_MS);
    }
  }

  #hasWork(): boolean {
    const document = this.#epoch !== null && (this.#updates.length > 0 || this.#epoch !== this.#begun);
    return document || this.#tab !== null || this.#taken.length > 0 || this.#writeWhole;
  }

  /** One turn: what is taken out here and fails is put back, or covered by writing the whole document. */
  async #write(): Promise<void> {
    const db = await this.#database();
    const tab = this.#tab;
    if (tab) {
      this.#tab = null;
      try {
        await saveTab(db, tab);
        this.#saved = tab;
      } catch (error) {
        this.#tab ??= tab;
        throw error;
      }
    }
    for (const taken of this.#taken) await dropTab(db, this.#board, taken);
    this.#taken = [];
    const epoch = this.#epoch;
    if (epoch === null) {
      this.#writeWhole = false;
      return;
    }
    if (epoch !== this.#begun) {
      await beginCopy(db, this.#board, epoch, this.#ports.now());
      this.#begun = epoch;
    }
    const updates = this.#writeWhole ? [this.#wholeDocument()] : this.#updates;
    this.#updates = [];
    if (updates.length > 0) await appendUpdates(db, this.#board, epoch, updates);
    this.#writeWhole = false;
    this.#rows += updates.length;
    if (this.#rows > COMPACT_ABOVE) {
      await compactCopy(db, this.#board, epoch);
      this.#rows = 0;
    }
  }

  #database(): Promise<KeptDatabase> {
    this.#db ??= this.#ports.open(() => {
      this.#db = null;
    });
    return this.#db;
  }

  async #forgetDatabase(): Promise<void> {
    const db = this.#db;
    this.#db = null;
    (await db?.catch(() => null))?.close();
  }
}

/** The browser's own database and timers. */
export const browserPorts: KeeperPorts = {
  open: openKept,
  after: (milliseconds, act) => {
    setTimeout(act, milliseconds);
  },
  now: () => Date.now(),
};
