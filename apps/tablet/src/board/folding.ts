import type * as Y from 'yjs';
import type { KeptDatabase } from './copy.ts';

/** The copy is folded when it has more rows of updates than this. */
const FOLD_ABOVE = 200;
/** Where the code for it could not be fetched it is tried again after so many rows more. */
const TRY_AFTER_ROWS = 100;

/** A document as it was taken for the copy. */
export interface Folded {
  readonly epoch: string;
  readonly put: (db: KeptDatabase, board: string) => Promise<void>;
}

/** Folds a copy's rows of updates into pieces of the whole document, without holding up the page. */
export class Folding {
  #rows: number;
  /** The rows that this page has written, and the first of them: what was there before it has been read from there. */
  #written: readonly number[] = [];
  #first: number | null = null;
  #underWay = false;

  /** @param rows how many rows of updates the copy has */
  constructor(rows: number) {
    this.#rows = rows;
  }

  /** Rows of updates have been written. */
  wrote(keys: readonly number[]): void {
    this.#first ??= keys[0] ?? null;
    this.#written = [...this.#written, ...keys];
    this.#rows += keys.length;
  }

  /** Another page may have written since this one did last, and this one has read all of it. */
  readAnew(): void {
    this.#written = [];
    this.#first = null;
  }

  /** Whether there is a long row of updates, and nobody is folding it already. */
  get isDue(): boolean {
    return this.#rows > FOLD_ABOVE && !this.#underWay;
  }

  /**
   * Takes the document bit by bit, while it goes on being written.
   *
   * @param pause lets others have their turn
   * @param done given what holds all that is in the document at that moment
   */
  async take(
    document: Y.Doc,
    epoch: string,
    pause: () => Promise<void>,
    done: (folded: Folded) => void,
  ): Promise<void> {
    this.#underWay = true;
    const code = await import('./foldCopy.ts').catch(() => null);
    if (code) {
      await code.takeDocument(document, pause, (pieces) =>
        done({
          epoch,
          put: async (db, board) => {
            const keys = await code.foldCopy(db, board, epoch, pieces, this.#holder());
            this.#written = keys;
            this.#rows = 0;
          },
        }),
      );
    } else this.#rows = FOLD_ABOVE - TRY_AFTER_ROWS;
    this.#underWay = false;
  }

  /** Whether the document holds a row: one that was read or written here, not one that another page has written since. */
  #holder(): (key: number) => boolean {
    const first = this.#first ?? Number.POSITIVE_INFINITY;
    const written = new Set(this.#written);
    return (key) => key < first || written.has(key);
  }
}
