import type {
  Cell,
  CellAddress,
  Edit,
  Json,
  LateEntry,
  RefusalCode,
  RefusedEntry,
  Stamp,
} from '@plumbline/replica';

/** A value that the base wrote of its own accord when an edit was stored. */
export interface DerivedValue extends CellAddress {
  readonly value: Json;
  readonly previous: Cell | null;
}

/** What became of an edit: enough to repeat the answer, and to tell the history without replaying the board. */
export type Outcome =
  | {
      readonly kind: 'stored';
      readonly late: readonly LateEntry[];
      /** For each entry what stood in its place. */
      readonly previous: readonly (Cell | null)[];
      readonly derived: readonly DerivedValue[];
    }
  | { readonly kind: 'refused'; readonly code: RefusalCode; readonly entries: readonly RefusedEntry[] };

/** How an edit was answered. */
export interface FirstAnswer {
  /** The edit's own stamp, by which it is told apart from another under the same number. */
  readonly stamp: Stamp;
  readonly outcome: Outcome;
}

/** One decided edit. */
export interface LogRow {
  /** Counts the board's rows from 1 without gaps. */
  readonly seq: number;
  /** The base's clock, ms since 1970. */
  readonly at: number;
  /** Who caused it; `null` for the base alone. */
  readonly person: string | null;
  readonly writer: string;
  /** Counts the writer's edits from 1 without gaps. */
  readonly n: number;
  /** The base's own stamp of the decision: it grows from row to row, whatever the edit's stamp is. */
  readonly stamp: Stamp;
  readonly edit: Edit;
  readonly outcome: Outcome;
  /** What was written to the document, as a Yjs update; `null` where nothing was. */
  readonly update: Uint8Array | null;
}

/** Rows of one board, in order, that stand or fall together. */
export interface Batch {
  readonly board: string;
  readonly epoch: string;
  readonly rows: readonly LogRow[];
}

/** A board's document up to and including a row. */
export interface Snapshot {
  readonly epoch: string;
  readonly seq: number;
  readonly bytes: Uint8Array;
}

/** Where a board's log ends. */
export interface LogEnd {
  /** 0 for a board without rows. */
  readonly seq: number;
  readonly stamp: Stamp;
}

/** One value set on a board, as the history tells it. */
export interface HistoryEntry extends CellAddress {
  readonly seq: number;
  readonly at: number;
  readonly person: string | null;
  readonly writer: string;
  readonly value: Json;
  readonly previous: Json;
  /** A newer value outran it, so it never stood on the board. */
  readonly late: boolean;
}

export interface HistoryQuery {
  readonly table?: string | undefined;
  readonly record?: string | undefined;
  readonly field?: string | undefined;
  /** Only rows with a smaller `seq`. */
  readonly before?: number | undefined;
  /** Entries wanted. A row is never cut in two, so a large one may bring more, at most {@link MAX_HISTORY}. */
  readonly limit: number;
}

export const MAX_HISTORY = 500;

/**
 * Where the base keeps every decided edit of every board. An implementation promises what `tests/log/contract.ts`
 * checks: once `append` has resolved, its rows survive the death of this process and of its machine.
 */
export interface Log {
  /**
   * Appends rows of several boards, confirmed by the disk in one wait. Each board's rows stand or fall together. After
   * a rejection the caller knows nothing: it must read every board concerned again.
   *
   * @throws LogConflict where a row is not the one that comes next
   */
  append(batches: readonly Batch[]): Promise<void>;
  /** Where a board's log ends. */
  end(board: string): Promise<LogEnd>;
  /** Rows with a greater `seq` than `after`, in order, at most `limit`. @throws LogCorrupt */
  read(board: string, after: number, limit: number): Promise<readonly LogRow[]>;
  /** The last `n` that each writer of a board had answered. */
  lastAnswered(board: string): Promise<ReadonlyMap<string, number>>;
  /** What a writer's edit was answered with; `null` where it never was. */
  answer(board: string, writer: string, n: number): Promise<FirstAnswer | null>;
  /** What was set on a board, newest first. */
  history(board: string, query: HistoryQuery): Promise<readonly HistoryEntry[]>;
  /** Keeps a snapshot; the one before it is kept too, and the first of the epoch. */
  saveSnapshot(board: string, snapshot: Snapshot): Promise<void>;
  /** The newest sound snapshot of an epoch. */
  snapshot(board: string, epoch: string): Promise<Snapshot | null>;
  /** The highest of the base's own stamps in any board. */
  highestStamp(): Promise<Stamp>;
  /** Resolves if something can be written to disk right now. */
  probe(): Promise<void>;
  close(): Promise<void>;
}

/** A row that does not follow the one before it: somebody else has written, or this base is out of step. */
export class LogConflict extends Error {
  override readonly name = 'LogConflict';
  constructor(board: string, wanted: number, given: number) {
    super(`board ${board}: row ${wanted} comes next, not ${given}`);
  }
}

/** A row that is not what was written. */
export class LogCorrupt extends Error {
  override readonly name = 'LogCorrupt';
  readonly board: string;
  readonly seq: number;
  constructor(board: string, seq: number, what: string) {
    super(`board ${board}, row ${seq}: ${what}`);
    this.board = board;
    this.seq = seq;
  }
}
