import type { Stamp } from '@plumbline/replica';
import type { Board } from '../../board/board.ts';
import type { BaseClock, MachineClock } from '../../clock.ts';
import type { Bus, ClusterLog, NodeId } from '../port.ts';
import type { Members } from './members.ts';
import type { Beat } from './messages.ts';

/** What a board's place on this node is made of. */
export interface SeatPorts {
  readonly log: ClusterLog;
  readonly bus: Bus;
  readonly members: Members;
  /** ms on a clock that does not run back. */
  readonly now: () => number;
  /** Whether this node takes no board over any more. */
  readonly isLeaving: () => boolean;
  readonly after: (milliseconds: number, act: () => void) => void;
  /** Takes note of the stamp of a row: what is decided here next must come after it. */
  readonly see: (stamp: Stamp) => void;
  /** The board is in another epoch from now on. */
  readonly putAway: (board: string) => void;
  /** This node decides the board from now on. */
  readonly tookOver: (board: Board) => void;
  readonly reports: SeatReports;
}

/** What a seat tells of itself. */
export interface SeatReports {
  /** This node decides a board from now on; `withoutMs`: for how long it knew that nobody did. */
  claimed(board: string, withoutMs: number): void;
  /** Another node decides a board that this one decided. */
  lost(board: string, to: NodeId | null): void;
  released(board: string): void;
  forwarded(items: number): void;
  trouble(board: string, error: unknown): void;
}

/** What a node of a fleet is made of. */
export interface FleetPorts {
  readonly log: ClusterLog;
  readonly bus: Bus;
  readonly clock: BaseClock;
  readonly machine: MachineClock;
  /** Runs something after so many ms. */
  readonly after: (milliseconds: number, act: () => void) => void;
  /** What this node says of itself to the others. */
  readonly about: () => Omit<Beat, 'node' | 'time' | 'boards'>;
  /** This node decides a board from now on. */
  readonly tookOver: (board: Board) => void;
  /** A board is in another epoch from now on. */
  readonly putAway: (board: string) => void;
  /** A node is dead. */
  readonly died: (node: string) => void;
  readonly reports: FleetReports;
}

export interface FleetReports extends SeatReports {
  stoodStill(): void;
  died(node: string): void;
}
