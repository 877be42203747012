/** What the log of a fleet tells of itself to whoever runs the node. */
export interface ClusterLogReports {
  /** The engine has confirmed rows of one board, after so many ms. */
  appended(board: string, rows: number, milliseconds: number): void;
  /** The engine itself refused an append: another node has written since. Nothing of it is stored. */
  refused(board: string): void;
  /** Nobody knows whether an append is stored; the truth is found by the next claim. */
  unknown(board: string): void;
  /** So many entries had not been delivered and were fetched. */
  healed(board: string, entries: number): void;
  /** Rows were moved out of the stream into a segment that was read back. */
  archived(board: string, rows: number, bytes: number): void;
  /** The engine let an entry through behind another one than it was written for; it counts for nothing. */
  passedOver(board: string, at: number): void;
  /** What stands in the engine is not what was written; nothing behind it is taken in. */
  damaged(board: string, what: string): void;
  /** Something failed that will be tried again. */
  trouble(board: string | null, error: unknown): void;
}

/** What the connection to the engine tells. */
export interface EngineReports {
  lost(): void;
  back(): void;
}

/** For whoever does not listen. */
export const SILENT_LOG: ClusterLogReports = {
  appended() {},
  refused() {},
  unknown() {},
  healed() {},
  archived() {},
  passedOver() {},
  damaged() {},
  trouble() {},
};
