import { PartlyAppended } from '../cluster/port.ts';
import type { Batch, Log } from '../log/port.ts';
import type { Board } from './board.ts';

/** Runs something once everything that has arrived in this turn of the event loop has been taken in. */
export type EndOfTurn = (act: () => void) => void;

/** One wait for the disk per turn of the event loop, for all that arrived in it on all boards. */
export class Turns {
  readonly #log: Pick<Log, 'append'>;
  readonly #endOfTurn: EndOfTurn;
  readonly #onCommit: (milliseconds: number, rows: number) => void;
  readonly #due = new Set<Board>();
  #scheduled = false;

  /** @param onCommit hears how long the log took, and for how many rows */
  constructor(
    log: Pick<Log, 'append'>,
    endOfTurn: EndOfTurn,
    onCommit: (milliseconds: number, rows: number) => void,
  ) {
    this.#log = log;
    this.#endOfTurn = endOfTurn;
    this.#onCommit = onCommit;
  }

  /** Asks for a turn of a board. */
  readonly schedule = (board: Board): void => {
    this.#due.add(board);
    if (this.#scheduled) return;
    this.#scheduled = true;
    this.#endOfTurn(() => {
      this.#scheduled = false;
      void this.#run();
    });
  };

  async #run(): Promise<void> {
    const boards = [...this.#due];
    this.#due.clear();
    const begun = boards.flatMap((board) => {
      const batch = board.beginTurn();
      return batch ? [{ board, batch }] : [];
    });
    const batches = begun.map(({ batch }) => batch).filter(({ rows }) => rows.length > 0);
    const start = performance.now();
    const failed = batches.length > 0 ? await this.#append(batches) : null;
    const milliseconds = performance.now() - start;
    const stored = begun.filter(({ board }) => !failed?.has(board.id));
    const rows = stored.reduce((sum, { batch }) => sum + batch.rows.length, 0);
    if (rows > 0) this.#onCommit(milliseconds, rows);
    for (const { board } of stored) {
      try {
        board.turnStored();
      } catch (error) {
        board.abandon(error);
      }
    }
    await Promise.all(
      begun.map(({ board }) => failed?.has(board.id) && board.turnFailed(failed.get(board.id))),
    );
  }

  /** Why boards were not stored; `null` where all are. */
  async #append(batches: readonly Batch[]): Promise<ReadonlyMap<string, unknown> | null> {
    try {
      await this.#log.append(batches);
      return null;
    } catch (error) {
      return error instanceof PartlyAppended
        ? error.failed
        : new Map(batches.map(({ board }) => [board, error]));
    }
  }
}
