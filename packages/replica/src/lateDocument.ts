import { type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import type * as Y from 'yjs';
import type { CellAddress } from './ids.ts';
import { cutUpdate } from './pieces.ts';
import type { Stamp } from './stamps.ts';
import { type BoardReader, watchDocument } from './state.ts';
import { UnreadBoard } from './unread.ts';
import { hasYjs, loadYjs, yjs } from './yjs.ts';

/** So much is taken in at once, some milliseconds of a slow tablet's time. */
const PIECE_BYTES = 16 * 1024;

/** What is told of a document. */
export interface DocumentEvents {
  /** Cells have been changed. */
  readonly changed: (addresses: readonly CellAddress[]) => void;
  /** An update has come in; what it began with is told nobody. */
  readonly updated: (update: Uint8Array) => void;
  /** The document has taken the place of the updates; the board says what it said before. */
  readonly read: () => void;
}

/**
 * A document that is kept as updates. Its board can be read at once; the document itself, which costs many times more,
 * is made of them bit by bit, or in one go as soon as somebody wants it.
 */
export class LateDocument {
  readonly #tables: readonly string[];
  readonly #events: DocumentEvents;
  readonly #isRead: Signal<boolean> = signal(false);
  #doc: Y.Doc | null = null;
  #board: BoardReader;
  /** Whether the updates hold what only Yjs can make sense of, and it was not here: nothing of them is shown yet. */
  #isHidden = false;
  /** What it began with, until all of it is in the document. */
  #updates: readonly Uint8Array[];
  /** What is not in the document yet: the rest of an update that is taken in piece by piece, and the updates after it. */
  #cutting: Iterator<Uint8Array> | null = null;
  #left: Uint8Array[];

  constructor(updates: readonly Uint8Array[], tables: readonly string[], events: DocumentEvents) {
    this.#tables = tables;
    this.#events = events;
    this.#updates = updates;
    this.#left = [...updates];
    const unread = UnreadBoard.of(updates, tables);
    if (unread) this.#board = unread;
    else if (hasYjs()) {
      this.#board = this.#finish();
      this.#isRead.value = true;
    } else {
      this.#board = UnreadBoard.empty(tables);
      this.#isHidden = true;
      // where it cannot be fetched now, whoever wants the document tries again
      loadYjs().then(
        () => this.whole,
        () => {},
      );
    }
  }

  /** The board as the updates have it, and from when it is read on as the document has it. */
  get board(): BoardReader {
    return this.#board;
  }

  /** A stamp that no cell of the board is later than. */
  get newest(): Stamp {
    if (this.#board instanceof UnreadBoard) return this.#board.newest;
    let newest = 0;
    for (const { table, record, field } of this.#addresses())
      newest = Math.max(newest, this.#board.cell(table, record, field)?.[1] ?? 0);
    return newest;
  }

  get isRead(): ReadonlySignal<boolean> {
    return this.#isRead;
  }

  /** The document, with all in it. @throws Error where Yjs is not here */
  get whole(): Y.Doc {
    if (!this.#isRead.peek()) this.#end();
    return this.#document();
  }

  /** Updates that hold all of it. */
  get updates(): readonly Uint8Array[] {
    return this.#isRead.peek() ? [yjs().encodeStateAsUpdate(this.#document())] : this.#updates;
  }

  /** Takes in an update. @throws Error where Yjs is not here */
  receive(update: Uint8Array): void {
    yjs().applyUpdate(this.whole, update, this);
  }

  /** Makes the document bit by bit, unless Yjs cannot be fetched. @param pause lets others have their turn */
  async read(pause: () => Promise<void>): Promise<void> {
    await loadYjs().catch(() => {});
    if (!hasYjs()) return;
    while (!this.#isRead.peek()) {
      if (this.#step()) this.#end();
      else await pause();
    }
  }

  #document(): Y.Doc {
    this.#doc ??= new (yjs().Doc)();
    return this.#doc;
  }

  /** Takes in a piece more; true once there is none. */
  #step(): boolean {
    const doc = this.#document();
    let room = PIECE_BYTES;
    doc.transact(() => {
      while (room > 0) {
        const piece = this.#nextPiece();
        if (!piece) return;
        yjs().applyUpdate(doc, piece, this);
        room -= piece.length;
      }
    }, this);
    return room > 0;
  }

  #nextPiece(): Uint8Array | null {
    for (;;) {
      const next = this.#cutting?.next();
      if (next?.done === false) return next.value;
      this.#cutting = null;
      const update = this.#left.shift();
      if (!update) return null;
      this.#cutting = cutUpdate(update, PIECE_BYTES);
    }
  }

  #end(): void {
    this.#board = this.#finish();
    this.#events.read();
    this.#isRead.value = true;
    if (this.#isHidden) this.#events.changed([...this.#addresses()]);
  }

  /** Takes in all that is left. In one transaction: a hundred small ones cost as much as the rest of a start. */
  #finish(): BoardReader {
    const doc = this.#document();
    doc.transact(() => {
      for (let piece = this.#cutting?.next(); piece?.done === false; piece = this.#cutting?.next())
        yjs().applyUpdate(doc, piece.value, this);
      for (const update of this.#left) yjs().applyUpdate(doc, update, this);
    }, this);
    this.#cutting = null;
    this.#left = [];
    this.#updates = [];
    const { changed, updated } = this.#events;
    const { state } = watchDocument(doc, this.#tables, changed);
    doc.on('update', (update: Uint8Array) => updated(update));
    return state;
  }

  *#addresses(): Iterable<CellAddress> {
    for (const table of this.#tables)
      for (const record of this.#board.records(table))
        for (const [field] of this.#board.fields(table, record)) yield { table, record, field };
  }
}

/** Updates as one, where Yjs is here. */
export function mergedUpdates(updates: readonly Uint8Array[]): readonly Uint8Array[] {
  return updates.length > 1 && hasYjs() ? [yjs().mergeUpdates([...updates])] : updates;
}
