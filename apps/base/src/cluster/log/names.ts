import { createHash } from 'node:crypto';

const BOARD = /^[A-Za-z0-9_-]{1,40}$/;
const PREFIX = /^[a-z][a-z0-9]{0,31}$/;

/** How streams and subjects of one fleet are called. Several fleets may share servers, each by a prefix of its own. */
export class Names {
  readonly prefix: string;

  /** @throws Error where the prefix is not of small letters and digits */
  constructor(prefix: string) {
    if (!PREFIX.test(prefix)) throw new Error(`${prefix}: a prefix is of small letters and digits`);
    this.prefix = prefix;
  }

  get meta(): string {
    return `${this.prefix.toUpperCase()}_META`;
  }

  /** The object store. */
  get bucket(): string {
    return `${this.prefix}_keep`;
  }

  stream(shard: number): string {
    return `${this.prefix.toUpperCase()}_LOG_${shard}`;
  }

  /** All subjects of a log stream. */
  shardSubjects(shard: number): string {
    return `${this.prefix}.log.${shard}.>`;
  }

  /** Where a board's line is. @throws Error where the id could not be part of a subject */
  place(board: string, shards: number): { readonly stream: string; readonly subject: string } {
    if (!BOARD.test(board)) throw new Error(`${board}: not an id of a board`);
    const shard = shardOf(board, shards);
    return { stream: this.stream(shard), subject: `${this.prefix}.log.${shard}.${board}` };
  }

  metaSubject(...name: readonly string[]): string {
    return [this.prefix, 'meta', ...name].join('.');
  }
}

/** Which of the log's streams a board is in, from 0. */
export function shardOf(board: string, shards: number): number {
  return createHash('sha256').update(board).digest().readUInt32BE(0) % shards;
}
