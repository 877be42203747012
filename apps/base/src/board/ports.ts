import type { BoardDefinition } from '@plumbline/replica';
import type { BaseClock } from '../clock.ts';
import type { Log, LogRow } from '../log/port.ts';
import type { Board } from './board.ts';
import type { Answer } from './judge.ts';

/** Who wants to hear of a board. */
export interface BoardListener {
  /** A turn's update, on disk. `from`: the document's clock before it. */
  updated(frame: Uint8Array, from: number): void;
  /** The board cannot be served any more. */
  failed(): void;
}

/** What a board tells of itself to whoever runs it. */
export interface BoardReports {
  decided(answer: Answer): void;
  /** Deciding an edit failed, so it was refused. */
  poisoned(board: string, writer: string, n: number, error: unknown): void;
  /** The log did not take a turn, or could not be read. */
  trouble(board: string, error: unknown): void;
}

/** What boards that several nodes keep, one of them deciding, ask of those nodes. */
export interface BoardFleet {
  /** Brings this node's log up to date with a board's line, before the board is read. @throws where that fails */
  open(board: string): Promise<void>;
  /** From now on the board takes in what others decide. */
  join(board: Board): Promise<void>;
  /** Whether the board may decide now; otherwise its edits are passed on. */
  mayDecide(board: Board): boolean;
  /** Finds out how the line stands after a turn whose fate nobody knows. @throws where that cannot be known now */
  recover(board: Board): Promise<void>;
  /** Takes in all that any node has stored so far. @throws where that cannot be known now */
  current(board: Board): Promise<void>;
  /** Rows of others were taken in, and everybody on the board has been told. */
  tookIn(board: Board, rows: readonly LogRow[]): void;
  /** The board is not used any more. `isFree`: others may have it at once. */
  gone(board: Board, isFree: boolean): void;
}

/** Everything that the boards of one base have in common. */
export interface BoardPorts {
  readonly definition: BoardDefinition;
  readonly log: Log;
  readonly clock: BaseClock;
  /** Asks for a turn, in which `beginTurn` will be called. */
  readonly schedule: (board: Board) => void;
  readonly reports: BoardReports;
  /** Whether a board is kept for another base, so that nothing is decided here. */
  readonly isElsewhere?: (board: string) => boolean;
  /** The nodes that keep the boards together; left out where this base is alone. */
  readonly fleet?: BoardFleet | undefined;
  /** Called before a board is opened. @throws AtCapacity where there is no room for one more */
  readonly admit?: (() => void) | undefined;
}
