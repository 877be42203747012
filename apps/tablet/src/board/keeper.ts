import { mergedUpdates } from '@plumbline/replica';
import { type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type * as Y from 'yjs';
import {
  appendUpdates,
  beginCopy,
  dropTab,
  Fenced,
  type KeptDatabase,
  openKept,
  saveTab,
  type TabRow,
} from './copy.ts';
import { type Folded, Folding } from './folding.ts';

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

/** What others write on the board is gathered for so long and kept in one go, ms: the base has it on disk. */
const GATHER_MS = 250;
/** Gathered updates are made one row of unless they are this long together: merging costs by the bytes it reads. */
const MERGE_BYTES = 16 * 1024;
/** Between two pieces of the document that are taken to fold the copy, ms. */
const PIECE_PAUSE_MS = 20;

/**
 * Writes a board's copy and a tab's unanswered edits to this device's database, one transaction after another: the
 * tab's edits at once, the board a moment later. Some browsers cut a database off while a page is in the background:
 * after any error it is opened again, and since rows may have been lost with it, the whole document is written then.
 */
export class Keeper {
  readonly keeping: ReadonlySignal<Keeping>;
  readonly #keeping: Signal<Keeping> = signal({ kind: 'kept' });
  readonly #ports: KeeperPorts;
  readonly #board: string;
  readonly #document: () => Y.Doc | null;
  readonly #whole: () => readonly Uint8Array[];
  #db: Promise<KeptDatabase> | null = null;
  #epoch: string | null;
  #begun: string | null;
  #updates: Uint8Array[] = [];
  #tab: TabRow | null = null;
  #taken: readonly string[] = [];
  #writeWhole = false;
  readonly #folding: Folding;
  #gathering = false;
  #folded: Folded | null = null;
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
   * @param rows how many rows of updates that copy has
   * @param document the board's document, with all in it that the copy holds; `null` until it is read, when no copy is folded
   * @param updates updates that hold all of it
   * @param resting whether another page keeps the board for now
   * @param onFenced told when another page has gone on under this tab's name
   */
  constructor(options: {
    readonly ports: KeeperPorts;
    readonly board: string;
    readonly epoch: string | null;
    readonly rows: number;
    readonly document: () => Y.Doc | null;
    readonly updates: () => readonly Uint8Array[];
    readonly resting?: boolean;
    readonly onFenced?: () => void;
  }) {
    this.keeping = this.#keeping;
    this.#ports = options.ports;
    this.#board = options.board;
    this.#epoch = options.epoch;
    this.#begun = options.epoch;
    this.#folding = new Folding(options.rows);
    this.#document = options.document;
    this.#whole = options.updates;
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
    this.#folded = null;
  }

  /** Keeps the board from here on: the whole document first, since nobody knows what was kept meanwhile. */
  resume(): void {
    this.#resting = false;
    this.#saved = null;
    this.#begun = null;
    this.#updates = [];
    this.#folding.readAnew();
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
    if (this.#isUrgent()) {
      this.#begin();
      return;
    }
    if (this.#updates.length === 0 || this.#epoch === null || this.#gathering) return;
    this.#gathering = true;
    this.#ports.after(GATHER_MS, () => {
      this.#gathering = false;
      if (!this.#running && !this.#stopped && !this.#resting) this.#begin();
    });
  }

  #begin(): void {
    this.#running = true;
    this.#turn = this.#run();
  }

  async #run(): Promise<void> {
    try {
      do await this.#write();
      while (this.#isUrgent() && !this.#stopped && !this.#resting);
      this.#running = false;
      this.#pause = FIRST_PAUSE_MS;
      if (this.#keeping.peek().kind !== 'kept') this.#keeping.value = { kind: 'kept' };
      this.#wake();
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

  /** Whether there is something that must not wait. */
  #isUrgent(): boolean {
    const isBegun = this.#epoch === null || this.#epoch === this.#begun;
    const isDone = this.#tab === null && this.#taken.length === 0 && this.#folded === null;
    return !isBegun || !isDone || this.#writeWhole;
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
    const folded = this.#folded;
    this.#folded = null;
    if (folded?.epoch === epoch) await folded.put(db, this.#board);
    const updates = this.#writeWhole ? this.#whole() : merged(this.#updates);
    this.#updates = [];
    if (updates.length > 0) this.#folding.wrote(await appendUpdates(db, this.#board, epoch, updates));
    this.#writeWhole = false;
    if (this.#folding.isDue) void this.#fold(epoch);
  }

  /** Takes the document, to put it in the place of all rows. What comes meanwhile is kept as ever. */
  async #fold(epoch: string): Promise<void> {
    const document = this.#document();
    if (!document) return;
    const pause = (): Promise<void> => new Promise((resolve) => this.#ports.after(PIECE_PAUSE_MS, resolve));
    await this.#folding.take(document, epoch, pause, (folded) => {
      if (this.#stopped || this.#resting || this.#epoch !== epoch || this.#document() !== document) return;
      this.#folded = folded;
      // they are in the pieces
      this.#updates = [];
      this.#wake();
    });
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

/** Updates as one, where that is little work. */
function merged(updates: readonly Uint8Array[]): readonly Uint8Array[] {
  const bytes = updates.reduce((sum, update) => sum + update.length, 0);
  return bytes <= MERGE_BYTES ? mergedUpdates(updates) : updates;
}

/** The browser's own database and timers. */
export const browserPorts: KeeperPorts = {
  open: openKept,
  after: (milliseconds, act) => {
    setTimeout(act, milliseconds);
  },
  now: () => Date.now(),
};
