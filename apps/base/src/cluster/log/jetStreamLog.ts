import type { Stamp } from '@plumbline/replica';
import {
  type Batch,
  type FirstAnswer,
  type HistoryEntry,
  type HistoryQuery,
  LogConflict,
  type LogEnd,
  type LogRow,
  type Snapshot,
} from '../../log/port.ts';
import { rowSum, rowText } from '../../log/rows.ts';
import { hexOf } from '../../mirror/batch.ts';
import { endOf, type SummedRow } from '../../mirror/rows.ts';
import type { Database } from '../../sqlite/database.ts';
import { type ClusterLog, type LineEntry, type NodeId, PartlyAppended } from '../port.ts';
import { BoardIndexes } from './boardIndex.ts';
import { Copy } from './copy.ts';
import type { Engine } from './engine.ts';
import { packRows, withHead } from './envelope.ts';
import { DecidedElsewhere, FateUnknown, LineDamaged, LineMoved } from './errors.ts';
import { Follower } from './follower.ts';
import { KEEPER_LIMITS, Keeper, type KeeperLimits } from './keeper.ts';
import { Line } from './line.ts';
import type { Meta } from './meta.ts';
import { Names } from './names.ts';
import { Objects } from './objects.ts';
import { publishBehind } from './publish.ts';
import { LineReader } from './reader.ts';
import { type ClusterLogReports, SILENT_LOG } from './reports.ts';
import { type ClusterRecord, openStreams, type StreamOptions } from './streams.ts';

export interface JetStreamLogOptions extends Partial<StreamOptions> {
  readonly engine: Engine;
  /** This node's copy; `synchronous = NORMAL` is enough, since what it loses is fetched again. */
  readonly database: Database;
  readonly node: NodeId;
  /** What streams and subjects begin with. */
  readonly prefix?: string;
  readonly reports?: ClusterLogReports;
  readonly limits?: Partial<KeeperLimits>;
  /** Names that have never been given before. */
  readonly newId: () => string;
  /** For pauses between attempts, in [0, 1). */
  readonly random: () => number;
}

/** Longer entries have their rows in the object store, bytes. */
const MOST_IN_MESSAGE = 512 * 1024;

const SETTLE_ATTEMPTS = 5;

/** The log of a fleet on NATS JetStream. */
export class JetStreamLog implements ClusterLog {
  /** The fleet that this is. */
  readonly cluster: ClusterRecord;
  readonly names: Names;
  readonly meta: Meta;
  readonly objects: Objects;
  readonly #engine: Engine;
  readonly #copy: Copy;
  readonly #node: NodeId;
  readonly #reports: ClusterLogReports;
  readonly #newId: () => string;
  readonly #random: () => number;
  readonly #reader: LineReader;
  readonly #keeper: Keeper;
  readonly #lines = new Map<string, Line>();
  readonly #followers = new Set<Follower>();

  private constructor(
    { engine, node, newId, random, reports = SILENT_LOG, limits }: JetStreamLogOptions,
    names: Names,
    copy: Copy,
    { cluster, meta, objects }: Awaited<ReturnType<typeof openStreams>>,
  ) {
    this.cluster = cluster;
    this.names = names;
    this.meta = meta;
    this.objects = new Objects(engine, names, objects);
    this.#engine = engine;
    this.#copy = copy;
    this.#node = node;
    this.#reports = reports;
    this.#newId = newId;
    this.#random = random;
    const { shards } = cluster;
    const indexes = new BoardIndexes(meta);
    this.#reader = new LineReader(engine, names, shards, this.objects, indexes);
    this.#keeper = new Keeper({
      engine,
      names,
      shards,
      objects: this.objects,
      indexes,
      reader: this.#reader,
      reports,
      limits: { ...KEEPER_LIMITS, ...limits },
      newId,
    });
  }

  /** Makes the streams where they are missing, and checks that the copy is of this fleet. @throws FleetUnfit */
  static async open(options: JetStreamLogOptions): Promise<JetStreamLog> {
    const { engine, database, prefix = 'plumbline', replicas = 3, shards = 4 } = options;
    const names = new Names(prefix);
    const streams = await openStreams(engine, names, { replicas, shards });
    const copy = new Copy(database);
    copy.bind(streams.cluster.id);
    return new JetStreamLog(options, names, copy, streams);
  }

  async append(batches: readonly Batch[]): Promise<void> {
    const failed = new Map<string, Error>();
    await Promise.all(
      batches.map(async (batch) => {
        try {
          await this.#line(batch.board).alone(() => this.#appendOne(batch));
        } catch (error) {
          failed.set(batch.board, error instanceof Error ? error : new Error(String(error)));
        }
      }),
    );
    if (failed.size > 0) throw new PartlyAppended(failed);
  }

  async #appendOne({ board, epoch, rows }: Batch): Promise<void> {
    const line = this.#line(board);
    await this.#settle(line);
    const { owner } = this.#copy.place(board);
    if (owner !== null && owner !== this.#node) throw new DecidedElsewhere(board, owner);
    const end = endOf(this.#copy.database, board);
    await this.#write(line, epoch, this.#summed(board, epoch, rows, end.seq, end.sum));
  }

  /**
   * Appends rows of one epoch of a board that was kept elsewhere, text and checksums as they are. They must be the next
   * ones, and this node must decide the board.
   *
   * @throws LogConflict, DecidedElsewhere, LineMoved, FateUnknown, EngineAway
   */
  async bring(board: string, epoch: string, rows: readonly SummedRow[]): Promise<void> {
    const line = this.#line(board);
    await line.alone(async () => {
      await this.#settle(line);
      const { owner } = this.#copy.place(board);
      if (owner !== this.#node) throw new DecidedElsewhere(board, owner ?? 'none');
      const next = endOf(this.#copy.database, board).seq + 1;
      const first = rows[0]?.text.seq ?? next;
      if (first !== next) throw new LogConflict(board, next, first);
      await this.#write(line, epoch, rows);
    });
  }

  async #write(line: Line, epoch: string, summed: readonly SummedRow[]): Promise<void> {
    const { board } = line;
    const { at, owner } = this.#copy.place(board);
    const end = endOf(this.#copy.database, board);
    const last = summed.at(-1);
    if (!last) return;
    const start = performance.now();
    const { fields, body } = await packRows(summed, end.sum);
    const head = { v: 1, kind: 'rows', board, behind: at, node: this.#node, epoch, ...fields } as const;
    const object =
      body.length > MOST_IN_MESSAGE ? `entry.${board}.${fields.after + 1}.${this.#newId()}` : null;
    if (object) await this.objects.put(object, body);
    const bytes = object ? withHead({ ...head, object }) : withHead(head, body);
    const seq = await this.#publish(line, at, bytes, `${last.text.seq}.${hexOf(last.sum)}.${at}`).catch(
      (error: unknown) => {
        if (object && error instanceof LineMoved) void this.objects.delete(object).catch(() => {});
        throw error;
      },
    );
    line.isStale = true;
    this.#copy.take(board, { before: end.sum, rows: summed }, { at: seq, owner });
    line.isStale = false;
    this.#reports.appended(board, summed.length, performance.now() - start);
  }

  #summed(
    board: string,
    epoch: string,
    rows: readonly LogRow[],
    after: number,
    before: Uint8Array,
  ): readonly SummedRow[] {
    const edits = new Set<string>();
    let sum = before;
    return rows.map((row, index) => {
      const next = after + 1 + index;
      const edit = `${row.writer} ${row.n}`;
      if (row.seq !== next || edits.has(edit) || this.#copy.hasEdit(board, row.writer, row.n))
        throw new LogConflict(board, next, row.seq);
      edits.add(edit);
      const text = rowText(row);
      sum = rowSum(sum, board, epoch, text);
      return { epoch, text, sum };
    });
  }

  async #publish(line: Line, behind: number, bytes: Uint8Array, id: string): Promise<number> {
    const { board } = line;
    const { stream, subject } = this.names.place(board, this.cluster.shards);
    try {
      return await publishBehind(
        this.#engine,
        { board, stream, subject, behind },
        bytes,
        `${this.#node}.${board}.${id}`,
      );
    } catch (error) {
      if (error instanceof LineMoved) {
        line.isStale = true;
        this.#reports.refused(board);
      } else if (error instanceof FateUnknown) {
        line.isStale = true;
        line.isUnsure = true;
        this.#reports.unknown(board);
      }
      throw error;
    }
  }

  /**
   * Finds the truth about an append that was refused or that nobody knows of. Where nobody knows, something is written
   * behind whatever stands there: from then on the engine refuses what may still be under way.
   */
  async #settle(line: Line): Promise<void> {
    if (!line.isStale) return;
    for (let attempt = 1; ; attempt++) {
      await this.#takeIn(line);
      const { at, owner } = this.#copy.place(line.board);
      if (!line.isUnsure || (owner !== null && owner !== this.#node)) break;
      try {
        await this.#claim(line, at, owner);
        break;
      } catch (error) {
        if (!(error instanceof LineMoved) || attempt === SETTLE_ATTEMPTS) throw error;
      }
    }
    line.isStale = false;
    line.isUnsure = false;
  }

  async #claim(line: Line, behind: number, owner: NodeId | null): Promise<void> {
    const { board } = line;
    const bytes = withHead({ v: 1, kind: 'claim', board, behind, node: this.#node, owner });
    const at = await this.#publish(line, behind, bytes, `claim.${this.#newId()}`);
    this.#copy.move(board, { at, owner });
  }

  /** Takes in all that stands in a line. */
  async #takeIn(line: Line): Promise<void> {
    const { board } = line;
    const last = await this.#reader.last(board);
    const { at } = this.#copy.place(board);
    if ((last?.seq ?? 0) < at) {
      throw new LineDamaged(board, at, 'the engine does not have it any more, or has not got it yet');
    }
    if (!last) return;
    for await (const entry of this.#reader.entries(board, at, last)) {
      const place = this.#copy.place(board);
      if (entry.behind !== place.at) {
        if (entry.at <= place.at) continue;
        throw new LineDamaged(board, entry.at, `it does not follow entry ${place.at}`);
      }
      if (entry.kind === 'void') {
        this.#copy.move(board, { at: entry.at, owner: place.owner });
        this.#reports.passedOver(board, entry.at);
      } else if (entry.kind === 'claim') this.#copy.move(board, entry);
      else this.#copy.take(board, entry, { at: entry.at, owner: place.owner });
    }
  }

  async refresh(board: string): Promise<{ readonly owner: NodeId | null }> {
    const line = this.#line(board);
    await line
      .alone(async () => {
        if (line.isStale) await this.#settle(line);
        else await this.#takeIn(line);
      })
      .catch((error: unknown) => this.#tell(board, error));
    return { owner: this.#copy.place(board).owner };
  }

  #tell(board: string, error: unknown): never {
    if (error instanceof LineDamaged) this.#reports.damaged(board, error.message);
    throw error;
  }

  async claim(board: string, node: NodeId | null): Promise<boolean> {
    const line = this.#line(board);
    return line.alone(async () => {
      try {
        await this.#claim(line, this.#copy.place(board).at, node);
      } catch (error) {
        if (error instanceof LineMoved) return false;
        throw error;
      }
      // Whatever was under way before is refused from now on, and did not come between.
      line.isStale = false;
      line.isUnsure = false;
      return true;
    });
  }

  async follow(board: string, hear: (entry: LineEntry) => Promise<void>): Promise<() => Promise<void>> {
    const follower = new Follower(
      {
        line: this.#line(board),
        copy: this.#copy,
        reader: this.#reader,
        reports: this.#reports,
        random: this.#random,
      },
      hear,
    );
    await follower.start();
    this.#followers.add(follower);
    return async () => {
      this.#followers.delete(follower);
      await follower.stop();
    };
  }

  async end(board: string): Promise<LogEnd> {
    await this.#settled(board);
    return this.#copy.log.end(board);
  }

  async read(board: string, after: number, limit: number): Promise<readonly LogRow[]> {
    await this.#settled(board);
    return this.#copy.log.read(board, after, limit);
  }

  async lastAnswered(board: string): Promise<ReadonlyMap<string, number>> {
    await this.#settled(board);
    return this.#copy.log.lastAnswered(board);
  }

  async answer(board: string, writer: string, n: number): Promise<FirstAnswer | null> {
    await this.#settled(board);
    return this.#copy.log.answer(board, writer, n);
  }

  history(board: string, query: HistoryQuery): Promise<readonly HistoryEntry[]> {
    return this.#copy.log.history(board, query);
  }

  async saveSnapshot(board: string, snapshot: Snapshot): Promise<void> {
    await this.#copy.log.saveSnapshot(board, snapshot);
    await this.#keeper.save(board, snapshot);
    try {
      await this.#keeper.archive(board, snapshot.epoch);
    } catch (error) {
      if (error instanceof LineDamaged) this.#reports.damaged(board, error.message);
      else this.#reports.trouble(board, error);
    }
  }

  async snapshot(board: string, epoch: string): Promise<Snapshot | null> {
    const own = await this.#copy.log.snapshot(board, epoch);
    let kept: Snapshot | null;
    try {
      kept = await this.#keeper.newest(board, epoch, own?.seq ?? 0);
    } catch (error) {
      if (!own) throw error;
      this.#reports.trouble(board, error);
      return own;
    }
    if (!kept) return own;
    // What a snapshot holds and this node has not met yet would be missing from the history.
    if ((await this.#copy.log.end(board)).seq < kept.seq) await this.refresh(board);
    await this.#copy.log.saveSnapshot(board, kept);
    return kept;
  }

  highestStamp(): Promise<Stamp> {
    return this.#copy.log.highestStamp();
  }

  async probe(): Promise<void> {
    await this.#copy.log.probe();
    await this.meta.probe();
  }

  async close(): Promise<void> {
    await Promise.all([...this.#followers].map((follower) => follower.stop()));
    this.#followers.clear();
    await Promise.all([...this.#lines.values()].map((line) => line.alone(async () => {})));
  }

  /** Nobody reads a board of which nobody knows how it ends. */
  async #settled(board: string): Promise<void> {
    const line = this.#line(board);
    if (line.isStale) await line.alone(() => this.#settle(line));
  }

  #line(board: string): Line {
    let line = this.#lines.get(board);
    if (!line) {
      line = new Line(board);
      this.#lines.set(board, line);
    }
    return line;
  }
}
