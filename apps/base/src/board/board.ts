import { type Edit, syncFrame, type Writer } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Epoch } from '../accounts/port.ts';
import { type Batch, LogConflict, type LogRow } from '../log/port.ts';
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
import { followRows, refuseItem } from './elsewhere.ts';
import { type Answer, answerOf, type BaseValue } from './judge.ts';
import type { BoardListener, BoardPorts } from './ports.ts';
import { giveUp, type Item, NotStored, Turn } from './turn.ts';

export type { BoardListener, BoardPorts, BoardReports } from './ports.ts';
export { NotStored } from './turn.ts';

/**
 * One board: the only writer of its document. What arrives is queued; in each turn the queue is decided in order and
 * given to the log; only when the log has it on disk does anybody hear of it. Between deciding and the log's word the
 * document is ahead of the disk, so nobody may look: {@link read} waits.
 */
export class Board {
  readonly id: string;
  readonly #ports: BoardPorts;
  readonly #listeners = new Set<BoardListener>();
  #core: Core;
  #queue: Item[] = [];
  #waitingReads: (() => void)[] = [];
  /** Edits that the document did not take. */
  readonly #poisoned = new WeakSet<Edit>();
  #turn: Turn | null = null;
  #folding: Promise<void> | null = null;
  #phase: 'ready' | 'storing' | 'reloading' | 'failed' = 'ready';
  /** Who decides edits, where that is not done here. */
  #relay: ((item: Item) => void) | null = null;
  /** The log may hold rows that this board has not. */
  #isBehind = false;

  private constructor(id: string, ports: BoardPorts, core: Core) {
    this.id = id;
    this.#ports = ports;
    this.#core = core;
  }

  /** Reads a board from its log. @throws LogCorrupt */
  static async load(id: string, epoch: Epoch, ports: BoardPorts): Promise<Board> {
    const tables = Object.keys(ports.definition.tables);
    return new Board(id, ports, await loadCore(ports.log, id, epoch, tables));
  }

  get epoch(): Epoch {
    return this.#core.epoch;
  }

  get listeners(): number {
    return this.#listeners.size;
  }

  /** Whether nothing is queued or under way. */
  get isIdle(): boolean {
    return this.#phase === 'failed' || (this.#phase === 'ready' && this.#queue.length === 0);
  }

  /** The last row taken in. */
  get seq(): number {
    return this.#core.seq;
  }

  get hasFailed(): boolean {
    return this.#phase === 'failed';
  }

  /** Whether it is kept for another base: nothing is decided here. */
  get isElsewhere(): boolean {
    return this.#ports.isElsewhere?.(this.id) ?? false;
  }

  /** Returns a function that stops listening. */
  listen(listener: BoardListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** The last of a writer's edits that is answered. */
  lastAnswered(writer: string): Promise<number> {
    return this.read((core) => core.last.get(writer) ?? 0);
  }

  /** Queues an edit. `reply` is called once, after the disk has it. */
  submit(writer: Writer, edit: Edit, reply: (answer: Answer) => void): void {
    this.#add({ kind: 'edit', writer, edit, reply });
  }

  /** Writes values in the base's own name, on behalf of a person or nobody. Resolves when they are on disk. */
  write(person: string | null, values: readonly BaseValue[]): Promise<void> {
    return new Promise((resolve, reject) => {
      this.#add({ kind: 'base', person, values, done: resolve, failed: reject });
    });
  }

  /** Takes something to be decided that was given to another board before, or to this one. */
  take(item: Item): void {
    this.#add(item);
  }

  /** From now on edits go to whoever decides them, those first that wait here; `null`: they are decided here. */
  passTo(relay: ((item: Item) => void) | null): void {
    this.#relay = relay;
    if (relay) for (const item of this.#queue.splice(0)) relay(item);
  }

  /** Looks at the board as the disk has it: at once, or when the turn that is under way has ended. */
  read<T>(look: (core: Core) => T): Promise<T> {
    if (this.#phase === 'failed') return Promise.reject(new NotStored());
    return new Promise((resolve, reject) => {
      const act = (): void => {
        try {
          if (this.#phase === 'failed') throw new NotStored();
          resolve(look(this.#core));
        } catch (error) {
          reject(error instanceof Error ? error : new Error(String(error)));
        }
      };
      if (this.#phase === 'ready') act();
      else this.#waitingReads.push(act);
    });
  }

  /**
   * Gives the sync frames that answer somebody who holds the document up to a clock, at once where that is quick. What
   * takes long is encoded while the board goes on, so `give` gets more than there was when this was called.
   */
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

  /** Decides everything queued. Returns the rows to be logged, empty where there are none; `null`: not now. */
  beginTurn(): Batch | null {
    if (this.#phase !== 'ready' || this.#queue.length === 0) return null;
    if (this.#ports.fleet?.mayDecide(this) === false) return null;
    const turn = this.#newTurn();
    this.#phase = 'storing';
    this.#turn = turn;
    const items = this.#queue.splice(0);
    let judged = 0;
    try {
      for (; judged < items.length; judged++) {
        const item = items[judged];
        if (item) turn.judge(item);
      }
    } catch (error) {
      void this.#startOver(turn, items, judged, error);
      return null;
    }
    return { board: this.id, epoch: this.#core.epoch.id, rows: turn.rows };
  }

  /**
   * Something could not be written to the document, which may be half written now. Nothing of the turn is on disk and
   * nobody has been answered: the board is read again and the same turn is decided again, the culprit refused.
   */
  async #startOver(turn: Turn, items: readonly Item[], culprit: number, error: unknown): Promise<void> {
    const item = items[culprit];
    if (item?.kind === 'edit' && !this.#poisoned.has(item.edit)) {
      this.#poisoned.add(item.edit);
      this.#ports.reports.poisoned(this.id, item.writer.id, item.edit.n, error);
      this.#queue.unshift(...items);
    } else {
      if (item) giveUp(item);
      this.#queue.unshift(...items.filter((each) => each !== item));
    }
    this.#turn = null;
    this.#phase = 'reloading';
    try {
      await this.#reload(turn);
      this.#settled();
    } catch (again) {
      this.abandon(again);
    }
  }

  /** The turn's rows are on disk: now everybody may hear. */
  turnStored(): void {
    const turn = this.#turn;
    if (!turn) return;
    this.#turn = null;
    if (this.hasFailed) {
      turn.failed();
      return;
    }
    this.#phase = 'ready';
    const updates = turn.rows.flatMap(({ update }) => (update ? [update] : []));
    const [first] = updates;
    if (first) {
      const update = updates.length === 1 ? first : Y.mergeUpdates(updates);
      this.#core.kept.add(update);
      const frame = syncFrame('update', update);
      this.#tell(frame, turn.from);
    }
    turn.stored();
    if (this.#isBehind) void this.#catchUp();
    else this.#settled();
    if (this.#core.kept.isLong) void this.snapshot();
  }

  /** The log did not take the turn, or nobody knows whether it did: the board is read again, and nobody is answered. */
  async turnFailed(error: unknown): Promise<void> {
    const turn = this.#turn;
    if (!turn) return;
    this.#turn = null;
    this.#ports.reports.trouble(this.id, error);
    turn.failed();
    if (this.hasFailed) return;
    this.#phase = 'reloading';
    try {
      await this.#ports.fleet?.recover(this);
      await this.#reload(turn);
      this.#settled();
    } catch (again) {
      this.abandon(again);
    }
  }

  /** Keeps the document as it stands by the end of this, on disk and for those who join. Edits go on meanwhile. */
  snapshot(): Promise<void> {
    this.#folding ??= this.#fold().finally(() => {
      this.#folding = null;
    });
    return this.#folding;
  }

  async #fold(): Promise<void> {
    const core = this.#core;
    if (this.#phase !== 'ready' || core.seq === core.snapshotSeq) return;
    const { snapshotSeq } = core;
    const folded = await fold(core, (look) => this.read(look));
    // Of the nodes that keep a board, the one that decides it keeps its snapshots.
    if (!folded || this.#relay) return;
    try {
      await this.#ports.log.saveSnapshot(this.id, folded);
    } catch (error) {
      core.snapshotSeq = snapshotSeq;
      this.#ports.reports.trouble(this.id, error);
    }
  }

  /** Gives the board up, since nobody knows any more how it stands: its sockets close, and the next look reads its log. */
  abandon(error: unknown): void {
    this.#ports.reports.trouble(this.id, error);
    this.leave();
  }

  /** Takes in rows that another base has decided and that are on disk here, and tells everybody. */
  follow(rows: readonly LogRow[]): void {
    if (rows.length > 0 && (this.#phase !== 'ready' || !this.#takeIn(rows))) this.catchUp();
  }

  /** The log may hold rows that came from elsewhere: they are read, at once or when what is under way has ended. */
  catchUp(): void {
    this.#isBehind = true;
    if (this.#phase === 'ready') void this.#catchUp();
  }

  /** Lets go of everybody, since the board is another from now on: their sockets close, and find it anew. */
  leave(): void {
    if (this.hasFailed) return;
    this.#phase = 'failed';
    for (const item of this.#queue.splice(0)) giveUp(item);
    for (const look of this.#waitingReads.splice(0)) look();
    for (const listener of this.#listeners) listener.failed();
    this.#ports.fleet?.gone(this, false);
  }

  /** Puts the board away for good: whoever still holds it can do nothing with it any more. */
  retire(): void {
    this.#phase = 'failed';
    this.#ports.fleet?.gone(this, true);
  }

  /** Returns whether the rows came next. */
  #takeIn(rows: readonly LogRow[]): boolean {
    const followed = followRows(this.#core, rows);
    if (!followed) return false;
    const { frame, from } = followed;
    if (frame) this.#tell(frame, from);
    this.#ports.fleet?.tookIn(this, rows);
    if (this.#core.kept.isLong) void this.snapshot();
    return true;
  }

  async #catchUp(): Promise<void> {
    this.#phase = 'reloading';
    try {
      await this.#readOn();
      this.#settled();
    } catch (error) {
      this.abandon(error);
    }
  }

  /** Takes in what the log holds beyond this board, until nothing more has come meanwhile. */
  async #readOn(): Promise<void> {
    const pause = new Pause();
    while (this.#isBehind && !this.hasFailed) {
      this.#isBehind = false;
      const { seq } = this.#core;
      const rows = await this.#ports.log.read(this.id, seq, PAGE);
      if (rows.length === 0 || this.hasFailed) continue;
      if (!this.#takeIn(rows)) throw new LogConflict(this.id, seq + 1, rows[0]?.seq ?? 0);
      this.#isBehind = true;
      await pause.take();
    }
    if (!this.hasFailed) this.#phase = 'ready';
  }

  /** Reads the board again. Of what the log holds beyond the turn's beginning everybody hears, though nobody is answered. */
  async #reload({ from, after }: Turn): Promise<void> {
    const { log, definition, fleet } = this.#ports;
    const core = await loadCore(log, this.id, this.#core.epoch, Object.keys(definition.tables));
    if (this.hasFailed) return;
    this.#core = core;
    if (documentClock(core) > from) this.#tell(syncFrame('update', differenceSince(core, from)), from);
    for (let seq = after; fleet && seq < core.seq; ) {
      const rows = await log.read(this.id, seq, Math.min(PAGE, core.seq - seq));
      if (rows.length === 0) break;
      fleet.tookIn(this, rows);
      seq += rows.length;
    }
    await this.#readOn();
  }

  #tell(frame: Uint8Array, from: number): void {
    for (const listener of this.#listeners) listener.updated(frame, from);
  }

  #add(item: Item): void {
    if (this.#phase === 'failed') {
      giveUp(item);
      return;
    }
    if (this.isElsewhere) {
      refuseItem(item);
      return;
    }
    if (this.#relay) {
      this.#relay(item);
      return;
    }
    this.#queue.push(item);
    if (this.#phase === 'ready') this.#ports.schedule(this);
  }

  #newTurn(): Turn {
    const { definition, clock, reports } = this.#ports;
    return new Turn(documentClock(this.#core), this.#core.seq, {
      definition,
      core: this.#core,
      clock,
      isPoisoned: (edit) => this.#poisoned.has(edit),
      decided: reports.decided,
      failed: (writer, edit, error) => reports.poisoned(this.id, writer.id, edit.n, error),
      answerAgain: (writer, n, reply) => void this.#answerAgain(writer, n, reply),
    });
  }

  async #answerAgain(writer: Writer, n: number, reply: (answer: Answer) => void): Promise<void> {
    try {
      const outcome = await this.#ports.log.answer(this.id, writer.id, n);
      reply(outcome ? answerOf(n, outcome) : { kind: 'failed' });
    } catch (error) {
      this.#ports.reports.trouble(this.id, error);
      reply({ kind: 'failed' });
    }
  }

  #settled(): void {
    for (const look of this.#waitingReads.splice(0)) look();
    if (this.#relay) this.passTo(this.#relay);
    else if (this.#queue.length > 0) this.#ports.schedule(this);
  }
}
