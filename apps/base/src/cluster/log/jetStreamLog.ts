import type { Stamp } from '@plumbline/replica';
import type {
  Batch,
  FirstAnswer,
  HistoryEntry,
  HistoryQuery,
  LogEnd,
  LogRow,
  Snapshot,
} from '../../log/port.ts';
import type { SummedRow } from '../../mirror/rows.ts';
import type { Database } from '../../sqlite/database.ts';
import { type ClusterLog, type LineEntry, type NodeId, PartlyAppended } from '../port.ts';
import { BoardIndexes } from './boardIndex.ts';
import { Copy } from './copy.ts';
import type { Engine } from './engine.ts';
import { LineDamaged } from './errors.ts';
import { Follower } from './follower.ts';
import { KEEPER_LIMITS, Keeper, type KeeperLimits } from './keeper.ts';
import { Line } from './line.ts';
import type { Meta } from './meta.ts';
import { Names } from './names.ts';
import { Objects } from './objects.ts';
import { LineReader } from './reader.ts';
import { type ClusterLogReports, SILENT_LOG } from './reports.ts';
import { type ClusterRecord, openStreams, type StreamOptions } from './streams.ts';
import { LineWriter } from './writer.ts';

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

/** The log of a fleet on NATS JetStream. */
export class JetStreamLog implements ClusterLog {
  /** The fleet that this is. */
  readonly cluster: ClusterRecord;
  readonly names: Names;
  readonly meta: Meta;
  readonly objects: Objects;
  readonly #copy: Copy;
  readonly #reports: ClusterLogReports;
  readonly #random: () => number;
  readonly #reader: LineReader;
  readonly #writer: LineWriter;
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
    this.#copy = copy;
    this.#reports = reports;
    this.#random = random;
    const { shards } = cluster;
    const indexes = new BoardIndexes(meta);
    this.#reader = new LineReader(engine, names, shards, this.objects, indexes);
    const shared = { engine, names, shards, objects: this.objects, reader: this.#reader, reports, newId };
    this.#writer = new LineWriter({ ...shared, copy, node });
    this.#keeper = new Keeper({ ...shared, indexes, limits: { ...KEEPER_LIMITS, ...limits } });
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
          const line = this.#line(batch.board);
          await line.alone(() => this.#writer.append(line, batch));
        } catch (error) {
          failed.set(batch.board, error instanceof Error ? error : new Error(String(error)));
        }
      }),
    );
    if (failed.size > 0) throw new PartlyAppended(failed);
  }

  /**
   * Appends rows of one epoch of a board that was kept elsewhere, text and checksums as they are. They must be the next
   * ones, and this node must decide the board.
   *
   * @throws LogConflict, DecidedElsewhere, LineMoved, FateUnknown, EngineAway
   */
  async bring(board: string, epoch: string, rows: readonly SummedRow[]): Promise<void> {
    const line = this.#line(board);
    await line.alone(() => this.#writer.bring(line, epoch, rows));
  }

  async refresh(board: string): Promise<{ readonly owner: NodeId | null }> {
    const line = this.#line(board);
    try {
      await line.alone(() => this.#writer.refresh(line));
    } catch (error) {
      if (error instanceof LineDamaged) this.#reports.damaged(board, error.message);
      throw error;
    }
    return { owner: this.#copy.place(board).owner };
  }

  async claim(board: string, node: NodeId | null): Promise<boolean> {
    const line = this.#line(board);
    return line.alone(() => this.#writer.claim(line, node));
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
    if (line.isStale) await line.alone(() => this.#writer.settle(line));
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
