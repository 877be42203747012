import { type BoardReader, sameJson } from '@plumbline/replica';
import type { Accounts } from '../accounts/accounts.ts';
import type { BoardKind } from '../kind.ts';
import type { LogRow } from '../log/port.ts';
import { Board, type BoardPorts } from './board.ts';
import type { BaseValue } from './judge.ts';

/** A board without anybody on it is put away after this long, ms. */
const IDLE_MS = 5 * 60 * 1000;

/** The boards of this base, read from the log when somebody first wants one and put away when nobody does. */
export class Boards {
  readonly #accounts: Accounts;
  readonly #kind: BoardKind;
  readonly #ports: BoardPorts;
  readonly #boards = new Map<string, Promise<Board | null>>();
  readonly #idleSince = new Map<Board, number>();
  readonly #open = new Set<Board>();
  readonly #beingPutRight = new Map<Board, Promise<void>>();

  constructor(accounts: Accounts, kind: BoardKind, ports: BoardPorts) {
    this.#accounts = accounts;
    this.#kind = kind;
    this.#ports = ports;
  }

  /** The boards in memory. */
  get open(): ReadonlySet<Board> {
    return this.#open;
  }

  /** @throws AtCapacity where no further board is opened */
  admit(): void {
    this.#ports.admit?.();
  }

  /** A board by its id; `null` where there is none. Rejects where its log cannot be read. */
  async get(id: string): Promise<Board | null> {
    let found = this.#boards.get(id);
    if (!found) {
      found = this.#load(id);
      this.#boards.set(id, found);
      found.then(
        (board) => board ?? this.#boards.delete(id),
        () => this.#boards.delete(id),
      );
    }
    const board = await found;
    if (!board?.hasFailed) return board;
    this.#open.delete(board);
    this.#idleSince.delete(board);
    // Somebody else may be reading it anew already.
    if (this.#boards.get(id) === found) this.#boards.delete(id);
    return this.get(id);
  }

  /**
   * Takes in rows of a board that is kept elsewhere. `commit` puts them on disk; the board in memory, where there is
   * one, has them in the same turn, and one that is being read is waited for.
   */
  async follow(
    id: string,
    commit: () => readonly { readonly epoch: string; readonly row: LogRow }[],
  ): Promise<void> {
    for (;;) {
      const reading = this.#boards.get(id);
      const board = (await reading?.catch(() => null)) ?? null;
      if (this.#boards.get(id) !== reading) continue;
      const rows = commit();
      if (!board) return;
      if (rows.every(({ epoch }) => epoch === board.epoch.id)) board.follow(rows.map(({ row }) => row));
      else this.putAway(id);
      return;
    }
  }

  /** Lets go of a board whose epoch is another from now on: the next look reads it anew. */
  putAway(id: string): void {
    for (const board of this.#open) {
      if (board.id !== id) continue;
      board.leave();
      this.#forget(board);
    }
  }

  /** Puts away what nobody has used for a while. */
  async sweep(now: number): Promise<void> {
    for (const board of this.#open) {
      const since = this.#idleSince.get(board) ?? now;
      if (board.listeners > 0 || !board.isIdle) this.#idleSince.delete(board);
      else if (now - since < IDLE_MS) this.#idleSince.set(board, since);
      else {
        await board.snapshot();
        if (board.listeners > 0 || !board.isIdle) continue;
        board.retire();
        this.#forget(board);
      }
    }
  }

  /** Waits until nothing is queued. */
  async drain(): Promise<void> {
    for (const board of this.#open) {
      while (!board.isIdle) await new Promise((resolve) => setImmediate(resolve));
    }
  }

  /** Keeps a snapshot of every board, after whatever is queued. */
  async stop(): Promise<void> {
    await this.drain();
    for (const board of this.#open) await board.snapshot();
  }

  async #load(id: string): Promise<Board | null> {
    const epoch = (await this.#accounts.epochs(id)).at(-1);
    if (!epoch) return null;
    const { fleet } = this.#ports;
    this.admit();
    await fleet?.open(id);
    const board = await Board.load(id, epoch, this.#ports);
    this.#open.add(board);
    if (fleet) {
      await fleet.join(board).catch((error: unknown) => {
        this.#open.delete(board);
        throw error;
      });
      // Whoever decides the board puts it right.
      return board;
    }
    await this.putRight(board).catch((error: unknown) => this.#ports.reports.trouble(id, error));
    return board;
  }

  /**
   * Writes what the accounts know and the board does not show: a board is made, and a person joins, in the accounts
   * first and on the board next, and the base may have died between.
   */
  putRight(board: Board): Promise<void> {
    const known = this.#beingPutRight.get(board);
    if (known) return known;
    const done = this.#putRight(board).finally(() => this.#beingPutRight.delete(board));
    this.#beingPutRight.set(board, done);
    return done;
  }

  async #putRight(board: Board): Promise<void> {
    if (board.isElsewhere) return;
    const kind = this.#kind;
    const title = (await this.#accounts.board(board.id))?.title ?? '';
    const people = await this.#accounts.people(board.id);
    const missing = await board.read((core) => [
      ...(core.seq === 0 ? kind.opening(title) : []),
      ...people.flatMap((person) => kind.person(person)).filter((value) => !stands(core.state, value)),
    ]);
    if (missing.length > 0) await board.write(null, missing);
  }

  #forget(board: Board): void {
    this.#open.delete(board);
    this.#idleSince.delete(board);
    this.#boards.delete(board.id);
  }
}

function stands(state: BoardReader, { table, record, field, value }: BaseValue): boolean {
  return sameJson(state.cell(table, record, field)?.[0] ?? null, value);
}
