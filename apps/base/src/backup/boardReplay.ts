import type * as Y from 'yjs';
import { applyUpdate } from 'yjs';
import * as z from 'zod';
import type { Epoch } from '../accounts/port.ts';
import { epochsOf } from '../accounts/sqlite.ts';
import { digest } from '../log/snapshots.ts';
import { ROW, rowSchema } from '../log/sqlite.ts';
import type { Database } from '../sqlite/database.ts';
import { areSame, contentsOf, documentOf, hasGaps, openingUpdate } from './replay.ts';

/** A snapshot as it is kept. */
export interface StoredSnapshot {
  readonly epoch: string;
  readonly seq: number;
  readonly bytes: Uint8Array;
  readonly sum: Uint8Array;
}

/** Whether a snapshot is what was written. */
export function isSound({ bytes, sum }: StoredSnapshot): boolean {
  return Buffer.compare(digest(bytes), sum) === 0;
}

/**
 * Makes a board's document again from its rows, epoch by epoch, and compares each snapshot that lies on the way. After
 * a row that is not what was written nothing is compared in that epoch any more: it would only say the same again.
 */
export class Replay {
  readonly #epochs: readonly Epoch[];
  readonly #snapshots: readonly StoredSnapshot[];
  readonly #tell: (row: number | null, what: string) => void;
  #doc: Y.Doc = documentOf();
  /** Place of the present epoch in the list, -1 before the first. */
  #place = -1;
  #isLost = false;
  #seq = 0;

  constructor(
    epochs: readonly Epoch[],
    snapshots: readonly StoredSnapshot[],
    tell: (row: number | null, what: string) => void,
  ) {
    this.#epochs = epochs;
    this.#snapshots = snapshots;
    this.#tell = tell;
  }

  /** The document as replayed so far. */
  get doc(): Y.Doc {
    return this.#doc;
  }

  /** The next row. */
  row(seq: number, epoch: string, update: Uint8Array | null, isWritten: boolean): void {
    const place = this.#epochs.findIndex(({ id }) => id === epoch);
    if (place < 0) this.#tell(seq, 'belongs to an epoch that the board does not have');
    else if (place !== this.#place) this.#begin(place, seq);
    if (!isWritten) this.lose();
    if (update && !this.#isLost) {
      try {
        applyUpdate(this.#doc, update);
        const client = this.#epochs[this.#place]?.client;
        if ([...this.#doc.store.clients.keys()].some((number) => number !== client)) {
          this.#tell(seq, 'is written under another client number than its epoch’s');
          this.lose();
        } else if (hasGaps(this.#doc)) {
          this.#tell(seq, 'does not follow what was written before it');
          this.lose();
        }
      } catch {
        this.#tell(seq, 'holds no update of a document');
        this.lose();
      }
    }
    this.#seq = seq;
    this.#compare();
  }

  /** From here on nobody knows how the document stands, until another epoch begins. */
  lose(): void {
    this.#isLost = true;
  }

  /** The log has ended. */
  end(seq: number): void {
    this.#seq = seq;
    const last = this.#epochs.length - 1;
    if (last < 0) {
      if (seq > 0) this.#tell(null, 'has rows and no epoch');
    } else if (last !== this.#place) this.#begin(last, seq + 1);
    for (const snapshot of this.#snapshots) {
      const known = this.#epochs.some(({ id }) => id === snapshot.epoch);
      if (!known) this.#tell(snapshot.seq, 'has a snapshot of an epoch that the board does not have');
      else if (snapshot.seq > seq) this.#tell(snapshot.seq, 'is in a snapshot and not in the log');
    }
  }

  #begin(place: number, seq: number): void {
    const epoch = this.#epochs[place];
    if (!epoch) return;
    if (place < this.#place) this.#tell(seq, 'belongs to an epoch that had ended');
    if (epoch.fromSeq !== seq - 1) {
      this.#tell(seq, `begins an epoch that was to begin after row ${epoch.fromSeq}`);
    }
    const isFirst = this.#place < 0;
    this.#place = place;
    if (isFirst && seq === 1) {
      this.#doc = documentOf();
      this.#isLost = false;
    } else if (!this.#isLost) this.#doc = documentOf(openingUpdate(contentsOf(this.#doc), epoch.client));
    this.#seq = epoch.fromSeq;
    this.#compare();
  }

  #compare(): void {
    const epoch = this.#epochs[this.#place];
    if (!epoch || this.#isLost) return;
    for (const snapshot of this.#snapshots) {
      if (snapshot.epoch !== epoch.id || snapshot.seq !== this.#seq) continue;
      let isSame = false;
      try {
        isSame = areSame(this.#doc, documentOf(snapshot.bytes));
      } catch {
        // Not a document at all: told below like any other difference.
      }
      if (!isSame) this.#tell(snapshot.seq, 'has a snapshot that is not what its log replays to');
    }
  }
}

/** The rows of a board as the table holds them, page by page. */
export function* storedRows(database: Database, board: string): Generator<Readonly<Record<string, unknown>>> {
  for (let after = 0; ; ) {
    const page = database.all(
      z.record(z.string(), z.unknown()),
      `SELECT ${ROW} FROM rows WHERE board = ? AND seq > ? ORDER BY seq LIMIT 200`,
      [board, after],
    );
    yield* page;
    const last = page.at(-1);
    if (!last) return;
    after = Number(last.seq);
  }
}

/** A board's document as its whole log tells it, and the last row. @throws Error where the log is not sound */
export function documentAtEnd(
  database: Database,
  board: string,
): { readonly doc: Y.Doc; readonly rows: number } {
  const replay = new Replay(epochsOf(database, board), [], (row, what) => {
    throw new Error(`board ${board}, row ${row}: ${what}`);
  });
  let rows = 0;
  for (const raw of storedRows(database, board)) {
    const { seq, epoch, update } = rowSchema.parse(raw);
    replay.row(seq, epoch, update, true);
    rows = seq;
  }
  replay.end(rows);
  return { doc: replay.doc, rows };
}
