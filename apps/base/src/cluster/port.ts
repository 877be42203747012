import type { Epoch } from '../accounts/port.ts';
import type { Log, LogRow } from '../log/port.ts';

/** A run of a base within a fleet: another start of the same base is another node. `[a-z0-9]{1,32}` */
export type NodeId = string;

/** What stands in a board's line, one after another. All nodes see the same entries in the same order. */
export type LineEntry =
  | {
      readonly kind: 'rows';
      readonly board: string;
      /** The engine's number of the entry: grows within a board, not without gaps. */
      readonly at: number;
      readonly epoch: Epoch['id'];
      readonly rows: readonly LogRow[];
      /**
       * Puts the rows into this node's own copy, in one transaction, and returns those that were not there yet. Called in
       * the same turn in which the board in memory takes them in.
       */
      readonly commit: () => readonly { readonly epoch: string; readonly row: LogRow }[];
    }
  /** From here on this node decides the board's edits; `null`: nobody does, the last one has let go. */
  | { readonly kind: 'claim'; readonly board: string; readonly at: number; readonly node: NodeId | null };

/**
 * The log of a fleet: every board has a line of its own in the distributed engine, and each node keeps a copy of the rows
 * it has met, which `read`, `answer`, `history` and the like look into. What `append` has resolved for is on the disks of
 * a majority of the engine's servers.
 */
export interface ClusterLog extends Log {
  /**
   * Appends rows that this node has decided. Each board's rows are written only behind the last entry that this node has
   * taken in: whatever another node wrote since makes the engine itself refuse them.
   *
   * @throws PartlyAppended saying what became of which board
   */
  append: Log['append'];
  /**
   * Takes in, into this node's copy, all that stands in a board's line, and says who decides it. Asks the engine's leader.
   * What it takes in is not heard by {@link follow} any more: a board in memory is read again from the copy.
   */
  refresh(board: string): Promise<{ readonly owner: NodeId | null }>;
  /**
   * Writes that a node decides a board from now on, or with `null` that nobody does, behind the last entry that this node
   * has taken in. `false`: another entry was there first, and nothing was written; `refresh` tells which.
   */
  claim(board: string, node: NodeId | null): Promise<boolean>;
  /**
   * Hears every entry of a board's line that this node has not taken in, in order, one at a time (the next waits for the
   * promise), its own appends left out. Gaps are noticed and healed. Resolves once it listens; returns how to stop.
   */
  follow(board: string, hear: (entry: LineEntry) => Promise<void>): Promise<() => Promise<void>>;
}

/** Some boards of an append were stored, others not, or nobody knows. */
export class PartlyAppended extends Error {
  override readonly name = 'PartlyAppended';
  /** Why, by board; those not named are stored. */
  readonly failed: ReadonlyMap<string, Error>;
  constructor(failed: ReadonlyMap<string, Error>) {
    super([...failed].map(([board, error]) => `${board}: ${error.message}`).join('; '));
    this.failed = failed;
  }
}

/** Plain messages between nodes: at most once, in order from one node to another, nothing kept. */
export interface Bus {
  readonly node: NodeId;
  publish(subject: string, bytes: Uint8Array): void;
  /** Hears messages of a subject (`*` and `>` as the engine has them), its own too. Returns how to stop. */
  subscribe(subject: string, hear: (message: BusMessage) => void): () => void;
  /** @throws NobodyAnswers at once where nobody listens, or after so many ms */
  request(subject: string, bytes: Uint8Array, withinMs: number): Promise<Uint8Array>;
}

export interface BusMessage {
  readonly subject: string;
  readonly bytes: Uint8Array;
  /** Answers a request; does nothing for what was only published. */
  respond(bytes: Uint8Array): void;
}

/** `why`: nobody listens there at all, or whoever does said nothing in time. */
export class NobodyAnswers extends Error {
  override readonly name = 'NobodyAnswers';
  readonly why: 'nobody' | 'late';
  constructor(subject: string, why: 'nobody' | 'late') {
    super(`${subject}: ${why === 'nobody' ? 'nobody listens' : 'no answer in time'}`);
    this.why = why;
  }
}
