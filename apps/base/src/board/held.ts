import { syncFrame } from '@plumbline/replica';
import { LogConflict, type LogRow } from '../log/port.ts';
import { Pause } from '../pause.ts';
import {
  type Core,
  differenceSince,
  documentClock,
  encodingSince,
  fold,
  framesSince,
  loadCore,
  PAGE,
} from './core.ts';
import { followRows } from './elsewhere.ts';
import type { BoardListener, BoardPorts } from './ports.ts';
import { NotStored } from './turn.ts';

/** What a board that is held in memory asks of the board itself. */
export interface HeldPorts extends Pick<BoardPorts, 'definition' | 'log' | 'reports'> {
  /** Rows that were decided elsewhere were taken in, and everybody has been told. */
  readonly tookIn: (rows: readonly LogRow[]) => void;
  /** The board stands as the log has it, and may go on. */
  readonly settled: () => void;
  /** Nobody knows any more how the board stands. */
  readonly abandon: (error: unknown) => void;
  /** Whether snapshots are kept here, not elsewhere. */
  readonly keepsSnapshots: () => boolean;
}

/**
 * A board's document in memory, those who look at it and those who hear of it. While something is under way to the log,
 * or is read from it, the document is not as the log has it: then nobody may look.
 */
export class Held {
  readonly #id: string;
  readonly #ports: HeldPorts;
  readonly #listeners = new Set<BoardListener>();
  #core: Core;
  #waiting: (() => void)[] = [];
  #folding: Promise<void> | null = null;
  #phase: 'ready' | 'busy' | 'failed' = 'ready';
  /** The log may hold rows that are not here. */
  #isBehind = false;

  constructor(id: string, ports: HeldPorts, core: Core) {
    this.#id = id;
    this.#ports = ports;
    this.#core = core;
  }

  /** As it stands, be it as the log has it or not. */
  get core(): Core {
    return this.#core;
  }

  get listeners(): number {
    return this.#listeners.size;
  }

  get isReady(): boolean {
    return this.#phase === 'ready';
  }

  get hasFailed(): boolean {
    return this.#phase === 'failed';
  }

  listen(listener: BoardListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  tell(frame: Uint8Array, from: number): void {
    for (const listener of this.#listeners) listener.updated(frame, from);
  }

  /** Looks at the board as the log has it: at once, or when what is under way has ended. */
  read<T>(look: (core: Core) => T): Promise<T> {
    if (this.hasFailed) return Promise.reject(new NotStored());
    return new Promise((resolve, reject) => {
      const act = (): void => {
        try {
          if (this.hasFailed) throw new NotStored();
          resolve(look(this.#core));
        } catch (error) {
          reject(error instanceof Error ? error : new Error(String(error)));
        }
      };
      if (this.isReady) act();
      else this.#waiting.push(act);
    });
  }

  /** As {@link Board.since}. */
  async since(clock: number, give: (frames: readonly Uint8Array[]) => void): Promise<void> {
    await this.read(async (core) => {
      const encoding = encodingSince(core, clock);
      if (!encoding) {
        give(framesSince(core, clock));
        return;
      }
      const encoded = await encoding;
      await this.read((now) => {
        // Read again from the disk meanwhile: what was encoded may not be on it.
        if (now !== core) return this.since(clock, give);
        give(framesSince(core, clock, encoded));
        return undefined;
      });
    });
  }

  /** From now on nobody may look, until it is settled. */
  begin(): void {
    this.#phase = 'busy';
  }

  /** What was under way is in the log. `tell` tells of it before anything else is done. */
  end(tell: () => void): void {
    this.#phase = 'ready';
    tell();
    if (this.#isBehind) void this.#catchUp();
    else this.#settle();
    this.#foldWhereLong();
  }

  /** Takes in rows that were decided elsewhere and are in the log, and tells everybody. */
  follow(rows: readonly LogRow[]): void {
    if (rows.length > 0 && (!this.isReady || !this.#takeIn(rows))) this.catchUp();
  }

  /** The log may hold rows that came from elsewhere: they are read, at once or when what is under way has ended. */
  catchUp(): void {
    this.#isBehind = true;
    if (this.isReady) void this.#catchUp();
  }

  /**
   * Reads the board again. Of what the log holds beyond a clock of the document, and beyond a row, everybody hears,
   * though nobody is answered.
   */
  async reload({ from, after }: { readonly from: number; readonly after: number }): Promise<void> {
    const { log, definition, tookIn } = this.#ports;
    const core = await loadCore(log, this.#id, this.#core.epoch, Object.keys(definition.tables));
    if (this.hasFailed) return;
    this.#core = core;
    if (documentClock(core) > from) this.tell(syncFrame('update', differenceSince(core, from)), from);
    for (let seq = after; seq < core.seq; ) {
      const rows = await log.read(this.#id, seq, Math.min(PAGE, core.seq - seq));
      if (rows.length === 0) break;
      tookIn(rows);
      seq += rows.length;
    }
    await this.#readOn();
    this.#settle();
  }

  /** Keeps the document as it stands by the end of this, on disk and for those who join. */
  snapshot(): Promise<void> {
    this.#folding ??= this.#fold().finally(() => {
      this.#folding = null;
    });
    return this.#folding;
  }

  /** Nobody may look any more, and everybody is let go of. Returns whether it was not so before. */
  fail(): boolean {
    if (this.hasFailed) return false;
    this.#phase = 'failed';
    for (const look of this.#waiting.splice(0)) look();
    for (const listener of this.#listeners) listener.failed();
    return true;
  }

  /** Nobody may look any more, and nobody is told. */
  retire(): void {
    this.#phase = 'failed';
  }

  #settle(): void {
    for (const look of this.#waiting.splice(0)) look();
    if (!this.hasFailed) this.#ports.settled();
  }

  /** Returns whether the rows came next. */
  #takeIn(rows: readonly LogRow[]): boolean {
    const followed = followRows(this.#core, rows);
    if (!followed) return false;
    const { frame, from } = followed;
    if (frame) this.tell(frame, from);
    this.#ports.tookIn(rows);
    this.#foldWhereLong();
    return true;
  }

  async #catchUp(): Promise<void> {
    this.#phase = 'busy';
    try {
      await this.#readOn();
      this.#settle();
    } catch (error) {
      this.#ports.abandon(error);
    }
  }

  /** Takes in what the log holds beyond this, until nothing more has come meanwhile. */
  async #readOn(): Promise<void> {
    const pause = new Pause();
    while (this.#isBehind && !this.hasFailed) {
      this.#isBehind = false;
      const { seq } = this.#core;
      const rows = await this.#ports.log.read(this.#id, seq, PAGE);
      if (rows.length === 0 || this.hasFailed) continue;
      if (!this.#takeIn(rows)) throw new LogConflict(this.#id, seq + 1, rows[0]?.seq ?? 0);
      this.#isBehind = true;
      await pause.take();
    }
    if (!this.hasFailed) this.#phase = 'ready';
  }

  #foldWhereLong(): void {
    if (this.#core.kept.isLong) void this.snapshot();
  }

  async #fold(): Promise<void> {
    const core = this.#core;
    if (!this.isReady || core.seq === core.snapshotSeq) return;
    const { snapshotSeq } = core;
    const folded = await fold(core, (look) => this.read(look));
    if (!folded || !this.#ports.keepsSnapshots()) return;
    try {
      await this.#ports.log.saveSnapshot(this.#id, folded);
    } catch (error) {
      core.snapshotSeq = snapshotSeq;
      this.#ports.reports.trouble(this.#id, error);
    }
  }
}
