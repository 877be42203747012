import {
  type Batch,
  type HistoryEntry,
  type LogEnd,
  type LogRow,
  MemoryLog,
  type Snapshot,
} from '@plumbline/base';
import { type ClusterLog, type LineEntry, PartlyAppended } from '../../../apps/base/src/cluster/port.ts';
import type { World } from './world.ts';

/** An entry of a line, as the engine keeps it. */
export type Stored = { readonly at: number; readonly from: string } & (
  | { readonly kind: 'rows'; readonly epoch: string; readonly rows: readonly LogRow[] }
  | { readonly kind: 'claim'; readonly node: string | null }
);

type New = Stored extends infer S ? (S extends Stored ? Omit<S, 'at'> : never) : never;

/** How long the engine is waited for, ms. */
const TIMEOUT_MS = 2000;

/** A distributed engine in one process: of each board a line, to which is added what knows the line's end. */
export class Engine {
  readonly lines = new Map<string, Stored[]>();
  /** Answers nobody. */
  isDown = false;
  /** Takes only what comes behind the line's end as its sender knows it. Tests put this off to see that they notice. */
  isFenced = true;
  refused = 0;
  readonly heard = new Set<(board: string) => void>();
  #at = 0;

  line(board: string): readonly Stored[] {
    return this.lines.get(board) ?? [];
  }

  /** The number of the new entry; `null` where another was there first. */
  put(board: string, after: number, entry: New): number | null {
    const line = this.lines.get(board) ?? [];
    if (this.isFenced && (line.at(-1)?.at ?? 0) !== after) {
      this.refused++;
      return null;
    }
    const at = ++this.#at;
    this.lines.set(board, [...line, { ...entry, at }]);
    for (const hear of this.heard) hear(board);
    return at;
  }

  rows(board: string): readonly LogRow[] {
    return this.line(board).flatMap((entry) => (entry.kind === 'rows' ? entry.rows : []));
  }
}

/** What stands between a node and the engine. */
export interface Way {
  readonly node: string;
  /** Cut off from the engine. */
  isCut: boolean;
  /** Of so many answers one is lost, at random; 0: none. */
  lost: number;
  /** Does something on the node, now or when it runs again; never where it is dead. */
  readonly when: (act: () => void) => void;
}

/** A node's log: the lines of a simulated engine, and a copy of the rows that the node has met. */
export class SimulatedLog implements ClusterLog {
  readonly #engine: Engine;
  readonly #world: World;
  readonly #way: Way;
  readonly #copy = new MemoryLog();
  /** Up to where each line was taken in. */
  readonly #met = new Map<string, number>();
  /** Boards of which rows are on their way. */
  readonly #underWay = new Map<string, number>();
  readonly #pumps = new Map<string, () => void>();

  constructor(engine: Engine, world: World, way: Way) {
    this.#engine = engine;
    this.#world = world;
    this.#way = way;
    engine.heard.add((board) => this.#soon(board));
  }

  async append(batches: readonly Batch[]): Promise<void> {
    const failed = new Map<string, Error>();
    await Promise.all(
      batches.map((batch) => this.#appendOne(batch).catch((error: Error) => failed.set(batch.board, error))),
    );
    if (failed.size > 0) throw new PartlyAppended(failed);
  }

  async #appendOne({ board, epoch, rows }: Batch): Promise<void> {
    const after = this.#metOf(board);
    const { seq } = await this.#copy.end(board);
    if (rows[0]?.seq !== seq + 1 || after !== this.#metOf(board)) throw new Error('out of step');
    this.#underWay.set(board, (this.#underWay.get(board) ?? 0) + 1);
    try {
      await this.#ask(
        () => this.#engine.put(board, after, { kind: 'rows', epoch, rows, from: this.#way.node }),
        (at) => {
          if (at === null) throw new Error('another entry was there first');
          this.#takeRows(board, at, rows, epoch);
        },
      );
    } finally {
      this.#underWay.set(board, (this.#underWay.get(board) ?? 1) - 1);
      this.#soon(board);
    }
  }

  refresh(board: string): Promise<{ owner: string | null }> {
    return this.#ask(
      () => this.#engine.line(board),
      (line) => {
        for (const entry of line) this.#take(board, entry);
        const claim = line.findLast((entry) => entry.kind === 'claim');
        return { owner: claim?.kind === 'claim' ? claim.node : null };
      },
    );
  }

  claim(board: string, node: string | null): Promise<boolean> {
    const after = this.#metOf(board);
    return this.#ask(
      () => this.#engine.put(board, after, { kind: 'claim', node, from: this.#way.node }),
      (at) => {
        if (at !== null && this.#metOf(board) === after) this.#met.set(board, at);
        return at !== null;
      },
    );
  }

  async follow(board: string, hear: (entry: LineEntry) => Promise<void>): Promise<() => Promise<void>> {
    await this.#ask(
      () => null,
      () => null,
    );
    let isHearing = false;
    const pump = async (): Promise<void> => {
      if (isHearing || this.#pumps.get(board) !== own || (this.#underWay.get(board) ?? 0) > 0) return;
      const line = this.#engine.line(board);
      // Now and then what was heard comes once more.
      const isRepeated = this.#world.random.below(20) === 0;
      const met = this.#metOf(board);
      const entry = line.find(({ at }) => at > met) ?? (isRepeated ? line.at(-1) : undefined);
      if (!entry) return;
      isHearing = true;
      if (entry.at > met || entry.kind === 'rows') await hear(this.#heard(board, entry));
      isHearing = false;
      if (entry.at > met) this.#soon(board);
    };
    const own = (): void => void pump().catch((error: unknown) => this.#world.troubles.push(error));
    this.#pumps.set(board, own);
    this.#soon(board);
    return async () => {
      if (this.#pumps.get(board) === own) this.#pumps.delete(board);
    };
  }

  #heard(board: string, entry: Stored): LineEntry {
    if (entry.kind === 'claim') {
      this.#met.set(board, Math.max(this.#metOf(board), entry.at));
      return { kind: 'claim', board, at: entry.at, node: entry.node };
    }
    const { at, epoch, rows } = entry;
    const commit = (): readonly { epoch: string; row: LogRow }[] =>
      this.#takeRows(board, at, rows, epoch) ? rows.map((row) => ({ epoch, row })) : [];
    return { kind: 'rows', board, at, epoch, rows, commit };
  }

  #soon(board: string): void {
    if (!this.#pumps.has(board)) return;
    this.#world.after(this.#world.some(5), () =>
      this.#way.when(() => {
        if (!this.#way.isCut && !this.#engine.isDown) this.#pumps.get(board)?.();
      }),
    );
  }

  /** Called when the way to the engine is open again. */
  restored(): void {
    for (const board of this.#pumps.keys()) this.#soon(board);
  }

  #metOf(board: string): number {
    return this.#met.get(board) ?? 0;
  }

  #take(board: string, entry: Stored): void {
    if (entry.kind === 'rows') this.#takeRows(board, entry.at, entry.rows, entry.epoch);
    else if (entry.at > this.#metOf(board)) this.#met.set(board, entry.at);
  }

  #takeRows(board: string, at: number, rows: readonly LogRow[], epoch: string): boolean {
    if (at <= this.#metOf(board)) return false;
    this.#met.set(board, at);
    this.#copy.append([{ board, epoch, rows }]).catch((error: unknown) => this.#world.troubles.push(error));
    return true;
  }

  /** There and back. Whatever is lost on the way, the one who asks knows nothing after a while. */
  #ask<T, R>(atEngine: () => T, here: (told: T) => R): Promise<R> {
    const { random } = this.#world;
    return new Promise((resolve, reject) => {
      let isOver = false;
      const end = (act: () => void): void =>
        this.#way.when(() => {
          if (isOver) return;
          isOver = true;
          act();
        });
      this.#world.after(TIMEOUT_MS, () => end(() => reject(new Error('the engine says nothing'))));
      if (this.#way.isCut) return;
      this.#world.after(this.#world.some(3), () => {
        if (this.#engine.isDown) return;
        const told = atEngine();
        if (this.#way.lost > 0 && random.below(this.#way.lost) === 0) return;
        this.#world.after(this.#world.some(3), () => {
          if (this.#way.isCut) return;
          end(() => {
            try {
              resolve(here(told));
            } catch (error) {
              reject(error);
            }
          });
        });
      });
    });
  }

  end(board: string): Promise<LogEnd> {
    return this.#copy.end(board);
  }

  read(board: string, after: number, limit: number): Promise<readonly LogRow[]> {
    return this.#copy.read(board, after, limit);
  }

  lastAnswered(board: string): Promise<ReadonlyMap<string, number>> {
    return this.#copy.lastAnswered(board);
  }

  answer(...args: Parameters<ClusterLog['answer']>): ReturnType<ClusterLog['answer']> {
    return this.#copy.answer(...args);
  }

  history(...args: Parameters<ClusterLog['history']>): Promise<readonly HistoryEntry[]> {
    return this.#copy.history(...args);
  }

  saveSnapshot(board: string, snapshot: Snapshot): Promise<void> {
    return this.#copy.saveSnapshot(board, snapshot);
  }

  snapshot(board: string, epoch: string): Promise<Snapshot | null> {
    return this.#copy.snapshot(board, epoch);
  }

  highestStamp(): Promise<number> {
    return this.#copy.highestStamp();
  }

  async probe(): Promise<void> {
    await this.#ask(
      () => null,
      () => null,
    );
  }

  async close(): Promise<void> {}
}
