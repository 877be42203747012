import type { BoardDefinition } from '@plumbline/replica';
import type { BaseClock } from '../clock.ts';
import type { Log } from '../log/port.ts';
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
}
