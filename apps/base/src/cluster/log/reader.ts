import { DeliverPolicy, type StoredMsg } from '@nats-io/jetstream';
import type { SummedRow } from '../../mirror/rows.ts';
import type { NodeId } from '../port.ts';
import type { BoardIndexes } from './boardIndex.ts';
import type { RowRun } from './copy.ts';
import type { Engine } from './engine.ts';
import { type EntryHead, readEntry, readSegment, unpackRows } from './envelope.ts';
import { EngineAway, LineDamaged } from './errors.ts';
import type { Names } from './names.ts';
import type { Objects } from './objects.ts';
import { nextMessage } from './publish.ts';

/** An entry of a line, unpacked and checked. */
export type Entry = RowsEntry | ClaimEntry | VoidEntry;

interface Placed {
  readonly at: number;
  /** The engine's number of the entry before it. */
  readonly behind: number;
}
export interface RowsEntry extends Placed, RowRun {
  readonly kind: 'rows';
  readonly epoch: string;
  /** Its object, where it did not fit a message. */
  readonly object: string | null;
}
export interface ClaimEntry extends Placed {
  readonly kind: 'claim';
  readonly owner: NodeId | null;
}

/** What was written behind another entry than it came to stand behind. It counts for nothing, for nobody. */
export interface VoidEntry extends Placed {
  readonly kind: 'void';
}

/** A message as the engine gives it, stored or delivered. */
export type LineMessage = Pick<StoredMsg, 'seq' | 'data'>;

/** What an open line delivers. */
export interface Delivery {
  next(): Promise<LineMessage | null>;
  close(): Promise<void>;
}

const IDLE_HEARTBEAT_MS = 1000;
const AT_ONCE = 64;
/** So many messages are asked for one by one before the engine is made to deliver the rest. */
const STEPS = 4;
/** After so long the engine forgets a reader that has gone, ms. */
const FORGOTTEN_MS = 30_000;

/** Reads the lines of boards: what stands in the stream, and before that what was archived. */
export class LineReader {
  readonly #engine: Engine;
  readonly #names: Names;
  readonly #shards: number;
  readonly #objects: Objects;
  readonly #indexes: BoardIndexes;

  constructor(engine: Engine, names: Names, shards: number, objects: Objects, indexes: BoardIndexes) {
    this.#engine = engine;
    this.#names = names;
    this.#shards = shards;
    this.#objects = objects;
    this.#indexes = indexes;
  }

  /** The last message of a board's line, as the stream's leader has it; `null` for none. */
  last(board: string): Promise<LineMessage | null> {
    const { stream, subject } = this.#names.place(board, this.#shards);
    return this.#engine.jsm.streams.getMessage(stream, { last_by_subj: subject });
  }

  /** Entries behind one, up to another, in order and without a gap. @throws LineDamaged, EngineAway */
  entries(board: string, after: number, last: LineMessage): AsyncGenerator<Entry, void> {
    return this.#entries(board, after, this.#messages(board, after, last));
  }

  /** The same up to one that was delivered in its order; what was not delivered is fetched. */
  entriesTo(board: string, after: number, delivered: LineMessage): AsyncGenerator<Entry, void> {
    const isNext = readEntry(board, delivered.seq, delivered.data).head.behind === after;
    return isNext ? this.#entries(board, after, [delivered]) : this.entries(board, after, delivered);
  }

  async *#entries(
    board: string,
    after: number,
    messages: Iterable<LineMessage> | AsyncIterable<LineMessage>,
  ): AsyncGenerator<Entry, void> {
    let behind = after;
    for await (const message of messages) {
      const { seq } = message;
      const { head, body } = readEntry(board, seq, message.data);
      if (head.behind > behind) {
        for await (const entry of this.#archived(board, behind, seq)) {
          yield entry;
          behind = entry.at;
        }
      }
      if (head.behind > behind)
        throw new LineDamaged(board, seq, `the entries between ${behind} and this are not there`);
      if (head.behind < behind) yield { kind: 'void', at: seq, behind };
      else yield await this.#unpack(board, seq, head, body);
      behind = seq;
    }
  }

  async #unpack(board: string, at: number, head: EntryHead, body: Uint8Array): Promise<Entry> {
    const { behind } = head;
    if (head.kind === 'claim') return { kind: 'claim', at, behind, owner: head.owner };
    const { epoch, object = null } = head;
    const bytes = object === null ? body : await this.#objects.get(object, 1e7);
    if (!bytes) throw new LineDamaged(board, at, `its rows (${object}) are not there`);
    const rows = await unpackRows(board, at, head, bytes);
    if (rows.some((row) => row.epoch !== epoch))
      throw new LineDamaged(board, at, 'its rows are of other epochs');
    return { kind: 'rows', at, behind, epoch, object, before: Buffer.from(head.before, 'hex'), rows };
  }

  async *#messages(board: string, after: number, last: LineMessage): AsyncGenerator<LineMessage, void> {
    if (last.seq <= after) return;
    const { stream, subject } = this.#names.place(board, this.#shards);
    // Most often only a few have come.
    let from = after;
    for (let step = 0; step < STEPS; step++) {
      const message = await nextMessage(this.#engine, stream, subject, from);
      if (!message) throw new EngineAway(`board ${board}`);
      yield message;
      if (message.seq >= last.seq) return;
      from = message.seq;
    }
    const delivery = await this.open(board, from + 1);
    try {
      for (;;) {
        const message = await this.#engine.within(`board ${board}`, delivery.next());
        if (!message) throw new EngineAway(`board ${board}`);
        yield message;
        if (message.seq >= last.seq) return;
      }
    } finally {
      await delivery.close();
    }
  }

  /** Has the engine deliver a line from a number on, and whatever is written there later. */
  async open(board: string, from: number): Promise<Delivery> {
    const { stream, subject } = this.#names.place(board, this.#shards);
    const consumer = await this.#engine.js.consumers.get(stream, {
      filter_subjects: subject,
      deliver_policy: DeliverPolicy.StartSequence,
      opt_start_seq: from,
      inactive_threshold: FORGOTTEN_MS,
    });
    const messages = await consumer.consume({
      max_messages: AT_ONCE,
      expires: 30_000,
      idle_heartbeat: IDLE_HEARTBEAT_MS,
    });
    void (async () => {
      // The library would mend its reader by and by; to begin a new one is sooner, and simpler to be sure of.
      for await (const { type } of messages.status()) {
        if (MENDED.has(type)) void messages.close();
      }
    })();
    const stopWatching = this.#engine.whenBack(() => void messages.close());
    const iterator = messages[Symbol.asyncIterator]();
    return {
      next: async () => {
        const next = await iterator.next();
        return next.done ? null : next.value;
      },
      close: async () => {
        stopWatching();
        // Resolves only for who reads to the end.
        void messages.close();
        if (this.#engine.isConnected) void consumer.delete().catch(() => {});
      },
    };
  }

  /** What was archived behind one entry and before a message. @throws LineDamaged */
  async *#archived(board: string, after: number, before: number): AsyncGenerator<Entry, void> {
    const { segments } = await this.#indexes.get(board);
    let behind = after;
    for (const segment of segments) {
      if (segment.at <= behind) continue;
      if (segment.at >= before) break;
      const bytes = await this.#objects.get(segment.object, segment.bytes);
      if (!bytes) throw new LineDamaged(board, segment.at, `the archive ${segment.object} is not there`);
      const { head, body } = readSegment(board, segment.at, bytes);
      if (head.behind > behind) break;
      const rows = await unpackRows(board, segment.at, head, body);
      const runs = byEpoch(Buffer.from(head.before, 'hex'), rows);
      for (const [index, run] of runs.entries()) {
        const at = index === runs.length - 1 ? head.at : behind;
        yield { kind: 'rows', at, behind, object: null, ...run };
        behind = at;
      }
      yield { kind: 'claim', at: head.at, behind: head.at, owner: head.owner };
    }
  }
}

/** What tells that a reader at the engine is not what it was. */
const MENDED: ReadonlySet<string> = new Set([
  'heartbeats_missed',
  'consumer_not_found',
  'consumer_deleted',
  'stream_not_found',
  'no_responders',
  'reset',
]);

function byEpoch(
  before: Uint8Array,
  rows: readonly SummedRow[],
): readonly (RowRun & { readonly epoch: string })[] {
  const runs: { epoch: string; before: Uint8Array; rows: SummedRow[] }[] = [];
  let sum = before;
  for (const row of rows) {
    const run = runs.at(-1);
    if (run?.epoch === row.epoch) run.rows.push(row);
    else runs.push({ epoch: row.epoch, before: sum, rows: [row] });
    sum = row.sum;
  }
  return runs;
}
