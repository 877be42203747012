import { type Edit, syncFrame, type Writer } from '@plumbline/replica';
import * as Y from 'yjs';
import type { Epoch } from '../accounts/port.ts';
import type { Batch, LogRow } from '../log/port.ts';
import { type Core, documentClock, loadCore } from './core.ts';
import { refuseItem } from './elsewhere.ts';
import { Held } from './held.ts';
import { type Answer, answerOf, type BaseValue } from './judge.ts';
import type { BoardListener, BoardPorts } from './ports.ts';
import { giveUp, type Item, Turn } from './turn.ts';

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
  readonly #held: Held;
  #queue: Item[] = [];
  /** Edits that the document did not take. */
  readonly #poisoned = new WeakSet<Edit>();
  #turn: Turn | null = null;
  /** Who decides edits, where that is not done here. */
  #relay: ((item: Item) => void) | null = null;

  private constructor(id: string, ports: BoardPorts, core: Core) {
    const { definition, log, reports, fleet } = ports;
    this.id = id;
    this.#ports = ports;
    this.#held = new Held(
      id,
      {
        definition,
        log,
        reports,
        tookIn: (rows) => fleet?.tookIn(this, rows),
        settled: () => this.#goOn(),
        abandon: (error) => this.abandon(error),
        // Of the nodes that keep a board, the one that decides it keeps its snapshots.
        keepsSnapshots: () => this.#relay === null,
      },
      core,
    );
  }

  /** Reads a board from its log. @throws LogCorrupt */
  static async load(id: string, epoch: Epoch, ports: BoardPorts): Promise<Board> {
    const tables = Object.keys(ports.definition.tables);
    return new Board(id, ports, await loadCore(ports.log, id, epoch, tables));
  }

  get epoch(): Epoch {
    return this.#held.core.epoch;
  }

  get listeners(): number {
    return this.#held.listeners;
  }

  /** Whether nothing is queued or under way. */
  get isIdle(): boolean {
    return this.hasFailed || (this.#held.isReady && this.#queue.length === 0);
  }

  get hasFailed(): boolean {
    return this.#held.hasFailed;
  }

  /** Whether it is kept for another base: nothing is decided here. */
  get isElsewhere(): boolean {
    return this.#ports.isElsewhere?.(this.id) ?? false;
  }

  /** Returns a function that stops listening. */
  listen(listener: BoardListener): () => void {
    return this.#held.listen(listener);
  }

  /** The last of a writer's edits that is answered. */
  lastAnswered(writer: string): Promise<number> {
    return this.read((core) => core.last.get(writer) ?? 0);
  }

  /** Queues an edit. `reply` is called once, after the disk has it. */
  submit(writer: Writer, edit: Edit, reply: (answer: Answer) => void): void {
    this.take({ kind: 'edit', writer, edit, reply });
  }

  /** Writes values in the base's own name, on behalf of a person or nobody. Resolves when they are on disk. */
  write(person: string | null, values: readonly BaseValue[]): Promise<void> {
    return new Promise((resolve, reject) => {
      this.take({ kind: 'base', person, values, done: resolve, failed: reject });
    });
  }

  /** Takes something to be decided: queues it, or passes it on to whoever decides. */
  take(item: Item): void {
    if (this.hasFailed) giveUp(item);
    else if (this.isElsewhere) refuseItem(item);
    else if (this.#relay) this.#relay(item);
    else {
      this.#queue.push(item);
      if (this.#held.isReady) this.#ports.schedule(this);
    }
  }

  /** From now on edits go to whoever decides them, those first that wait here; `null`: they are decided here. */
  passTo(relay: ((item: Item) => void) | null): void {
    this.#relay = relay;
    if (relay) for (const item of this.#queue.splice(0)) relay(item);
  }

  /** Looks at the board as the disk has it: at once, or when the turn that is under way has ended. */
  read<T>(look: (core: Core) => T): Promise<T> {
    return this.#held.read(look);
  }

  /**
   * Gives the sync frames that answer somebody who holds the document up to a clock, at once where that is quick. What
   * takes long is encoded while the board goes on, so `give` gets more than there was when this was called.
   */
  since(clock: number, give: (frames: readonly Uint8Array[]) => void): Promise<void> {
    return this.#held.since(clock, give);
  }

  /** Decides everything queued. Returns the rows to be logged, empty where there are none; `null`: not now. */
  beginTurn(): Batch | null {
    if (!this.#held.isReady || this.#queue.length === 0) return null;
    if (this.#ports.fleet?.mayDecide(this) === false) return null;
    const turn = this.#newTurn();
    this.#held.begin();
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
    return { board: this.id, epoch: this.epoch.id, rows: turn.rows };
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
    try {
      await this.#held.reload(turn);
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
    this.#held.end(() => {
      const updates = turn.rows.flatMap(({ update }) => (update ? [update] : []));
      const [first] = updates;
      if (first) {
        const update = updates.length === 1 ? first : Y.mergeUpdates(updates);
        this.#held.core.kept.add(update);
        this.#held.tell(syncFrame('update', update), turn.from);
      }
      turn.stored();
    });
  }

  /** The log did not take the turn, or nobody knows whether it did: the board is read again, and nobody is answered. */
  async turnFailed(error: unknown): Promise<void> {
    const turn = this.#turn;
    if (!turn) return;
    this.#turn = null;
    this.#ports.reports.trouble(this.id, error);
    turn.failed();
    if (this.hasFailed) return;
    try {
      await this.#ports.fleet?.recover(this);
      await this.#held.reload(turn);
    } catch (again) {
      this.abandon(again);
    }
  }

  /** Keeps the document as it stands by the end of this, on disk and for those who join. Edits go on meanwhile. */
  snapshot(): Promise<void> {
    return this.#held.snapshot();
  }

  /** Gives the board up, since nobody knows any more how it stands: its sockets close, and the next look reads its log. */
  abandon(error: unknown): void {
    this.#ports.reports.trouble(this.id, error);
    this.leave();
  }

  /** Takes in rows that another base has decided and that are on disk here, and tells everybody. */
  follow(rows: readonly LogRow[]): void {
    this.#held.follow(rows);
  }

  /** The log may hold rows that came from elsewhere: they are read, at once or when what is under way has ended. */
  catchUp(): void {
    this.#held.catchUp();
  }

  /** Resolves once the board has all that any node had stored when this was called. @throws where that cannot be known */
  async current(): Promise<void> {
    await this.#ports.fleet?.current(this);
  }

  /** Lets go of everybody, since the board is another from now on: their sockets close, and find it anew. */
  leave(): void {
    if (!this.#held.fail()) return;
    for (const item of this.#queue.splice(0)) giveUp(item);
    this.#ports.fleet?.gone(this, false);
  }

  /** Puts the board away for good: whoever still holds it can do nothing with it any more. */
  retire(): void {
    this.#held.retire();
    this.#ports.fleet?.gone(this, true);
  }

  #newTurn(): Turn {
    const { definition, clock, reports } = this.#ports;
    const { core } = this.#held;
    return new Turn(documentClock(core), core.seq, {
      definition,
      core,
      clock,
      isPoisoned: (edit) => this.#poisoned.has(edit),
      decided: reports.decided,
      failed: (writer, edit, error) => reports.poisoned(this.id, writer.id, edit.n, error),
      answerAgain: (writer, edit, reply) => void this.#answerAgain(writer, edit, reply),
    });
  }

  async #answerAgain(writer: Writer, { n, stamp }: Edit, reply: (answer: Answer) => void): Promise<void> {
    try {
      const first = await this.#ports.log.answer(this.id, writer.id, n);
      if (!first) reply({ kind: 'failed' });
      else if (first.stamp === stamp || !this.#ports.fleet) reply(answerOf(n, first.outcome));
      // Another edit under a number that was taken: some node has told its author too little of what is stored.
      else reply({ kind: 'gap', n, last: this.#held.core.last.get(writer.id) ?? n });
    } catch (error) {
      this.#ports.reports.trouble(this.id, error);
      reply({ kind: 'failed' });
    }
  }

  /** The board stands as the disk has it: what waits is decided, or passed on. */
  #goOn(): void {
    if (this.#relay) this.passTo(this.#relay);
    else if (this.#queue.length > 0) this.#ports.schedule(this);
  }
}
