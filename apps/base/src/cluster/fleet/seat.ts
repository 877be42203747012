import type { Stamp } from '@plumbline/replica';
import type { Board } from '../../board/board.ts';
import type { Answer } from '../../board/judge.ts';
import { type Item, NotStored } from '../../board/turn.ts';
import type { LogRow } from '../../log/port.ts';
import { type Bus, type ClusterLog, type LineEntry, NobodyAnswers, type NodeId } from '../port.ts';
import { Errands } from './errands.ts';
import type { Members } from './members.ts';
import { type AskedItem, type AskedResult, decode, encode, replySchema, SUBJECTS } from './messages.ts';

/** How long the node that decides may take for an answer, ms: as long as the engine may keep it waiting. */
const REPLY_MS = 8000;
/** What has waited so long is looked for in the line, ms. */
const DOUBT_MS = 4000;
/** What has waited so long is given up, so that its author sends it again, ms. */
const PATIENCE_MS = 20_000;
/** Writes of other nodes that are remembered, so that none is done twice. */
const MOST_WRITES = 500;
/** After a failure it is tried again so much later, ms. */
const RETRY_MS = 500;
/**
 * A claim stands for so long at least, ms, even where nothing is heard of its node: two nodes that hear the engine and
 * not each other must not take a board from one another all the time.
 */
const HOLD_MS = 1000;
/** A node that is finding out who decides is asked again so much later, ms. */
const WAIT_MS = 50;

export interface SeatPorts {
  readonly log: ClusterLog;
  readonly bus: Bus;
  readonly members: Members;
  /** ms on a clock that does not run back. */
  readonly now: () => number;
  /** Whether this node takes no board over any more. */
  readonly isLeaving: () => boolean;
  readonly after: (milliseconds: number, act: () => void) => void;
  /** Takes note of the stamp of a row: what is decided here next must come after it. */
  readonly see: (stamp: Stamp) => void;
  /** The board is in another epoch from now on. */
  readonly putAway: (board: string) => void;
  /** This node decides the board from now on. */
  readonly tookOver: (board: Board) => void;
  readonly reports: SeatReports;
}

/** What a seat tells of itself. */
export interface SeatReports {
  /** This node decides a board from now on; `withoutMs`: for how long it knew that nobody did. */
  claimed(board: string, withoutMs: number): void;
  /** Another node decides a board that this one decided. */
  lost(board: string, to: NodeId | null): void;
  released(board: string): void;
  forwarded(items: number): void;
  trouble(board: string, error: unknown): void;
}

/**
 * The place of one board on this node: who decides it, and what is to be given to them. Safety rests on the engine alone,
 * which takes nothing from a node that has not seen all of the line; here it is only settled who tries.
 */
export class Seat {
  readonly id: string;
  readonly #ports: SeatPorts;
  readonly #errands: Errands;
  /** What other nodes gave to be decided here, and how they are told that it is not. */
  readonly #given = new WeakMap<Item, () => void>();
  readonly #writes = new Map<string, Promise<AskedResult>>();
  #board: Board | null = null;
  /** Whose claim stands, as far as this node has read the line. */
  #owner: NodeId | null = null;
  #role: 'finding' | 'deciding' | 'following' = 'finding';
  /** What was begun under an earlier number has been overtaken. */
  #round = 0;
  #isBusy = false;
  /** Who has been given something and has not answered yet. */
  #sendingTo: NodeId | null = null;
  #pauseUntil = 0;
  #claimedAt = Number.NEGATIVE_INFINITY;
  #withoutSince: number | null = null;
  #stopFollowing: (() => Promise<void>) | null = null;
  #closed: Promise<void> | null = null;

  constructor(id: string, ports: SeatPorts) {
    this.id = id;
    this.#ports = ports;
    this.#errands = new Errands(ports.now);
  }

  get isDeciding(): boolean {
    return this.#role === 'deciding';
  }

  get owner(): NodeId | null {
    return this.#owner;
  }

  get board(): Board | null {
    return this.#board;
  }

  /** Edits and writes that wait for another node. */
  get waiting(): number {
    return this.#errands.size;
  }

  /** Reads the line into this node's log. @throws where the engine cannot be asked */
  async open(): Promise<void> {
    const { log, see } = this.#ports;
    this.#owner = (await log.refresh(this.id)).owner;
    see((await log.end(this.id)).stamp);
  }

  /** Takes in, from now on, what others write. */
  async join(board: Board): Promise<void> {
    this.#board = board;
    board.passTo(this.#take);
    this.#role = 'following';
    const stop = await this.#ports.log.follow(this.id, async (entry) => this.#hear(entry));
    if (this.#closed) await stop();
    else this.#stopFollowing = stop;
    this.consider();
  }

  /** Looks whether something is to be done. Called whenever anything has changed, and about once a second. */
  consider(): void {
    const { members, bus, now, isLeaving } = this.#ports;
    if (this.#closed || !this.#board || this.#role !== 'following') return;
    // Whoever is dead will not answer what is under way to them.
    if (this.#sendingTo !== null && members.state(this.#sendingTo) === 'dead') this.#standBack('following');
    if (this.#isBusy) return;
    if (now() < this.#pauseUntil) return;
    const isWanted = this.#errands.size > 0 || this.#board.listeners > 0;
    if (!isWanted) return;
    const owner = this.#owner;
    const state = owner === null || owner === bus.node ? 'dead' : members.state(owner);
    if (state === 'dead') {
      this.#withoutSince ??= now();
      const held = owner === null || owner === bus.node ? 0 : this.#claimedAt + HOLD_MS - now();
      if (held > 0) this.#pause(held);
      else if (!isLeaving()) void this.#alone(() => this.#takeOver());
    } else if (owner !== null && (this.#errands.size > 0 || state === 'unknown')) {
      void this.#alone(() => this.#send(owner));
    }
  }

  /** Called about once a second. */
  tick(): void {
    const since = this.#errands.since;
    const waited = since === null ? 0 : this.#ports.now() - since;
    const isFree = this.#role === 'following' && !this.#isBusy && this.#ports.now() >= this.#pauseUntil;
    if (waited > PATIENCE_MS) this.#errands.giveUpAll();
    else if (waited > DOUBT_MS && isFree) {
      void this.#alone(() => this.#lookAgain());
    }
    this.consider();
  }

  /** Stops deciding until a new claim has gone through: others may have taken the board over. */
  doubt(): void {
    if (this.#role !== 'deciding') return;
    this.#standBack('following');
    this.consider();
  }

  /** Finds out how the line stands after a turn whose fate nobody knows; the board is read again after this. */
  async recover(): Promise<void> {
    this.#standBack('finding');
    const round = this.#round;
    await this.#readLine();
    if (round !== this.#round || this.#closed) return;
    this.#role = 'following';
    this.consider();
  }

  /** Rows of others were taken in. */
  met(rows: readonly LogRow[]): void {
    for (const { stamp } of rows.slice(-1)) this.#ports.see(stamp);
    this.#errands.met(rows);
  }

  /** Decides for another node, where that is for this one to do. */
  decide(from: NodeId, items: readonly AskedItem[]): Promise<readonly AskedResult[]> | 'notMine' | 'wait' {
    const board = this.#board;
    if (this.#closed || !board || this.#role === 'following') return 'notMine';
    if (this.#role === 'finding') return 'wait';
    return Promise.all(items.map((item) => this.#decideOne(board, from, item)));
  }

  /** Lets go of the board, to whoever wants it next; this node is leaving. */
  async release(): Promise<void> {
    const board = this.#board;
    if (this.#role !== 'deciding' || !board) return;
    await board.snapshot();
    this.#standBack('following');
    // What is under way is stored before.
    await board.read(() => {});
    if (await this.#ports.log.claim(this.id, null)) {
      this.#owner = null;
      this.#ports.reports.released(this.id);
    }
    this.consider();
  }

  /** @param isReleased whether the others are told that the board is free */
  close(isReleased: boolean): Promise<void> {
    this.#closed ??= this.#close(isReleased);
    return this.#closed;
  }

  async #close(isReleased: boolean): Promise<void> {
    const wasDeciding = this.#role === 'deciding';
    this.#role = 'following';
    this.#round++;
    this.#errands.giveUpAll();
    const { log, reports } = this.#ports;
    try {
      if (isReleased && wasDeciding && (await log.claim(this.id, null))) reports.released(this.id);
      await this.#stopFollowing?.();
    } catch (error) {
      reports.trouble(this.id, error);
    }
  }

  readonly #take = (item: Item): void => {
    const pass = this.#given.get(item);
    if (pass) {
      // Whoever gave it will give it to the next: from here it would come there twice.
      pass();
      return;
    }
    if (this.#closed) {
      this.#errands.add(item);
      this.#errands.giveUpAll();
      return;
    }
    this.#errands.add(item);
    this.consider();
  };

  /** Entries are taken in at once, whatever is under way: nothing here waits for the engine. */
  #hear(entry: LineEntry): void {
    if (entry.kind === 'rows') {
      this.#follow(entry);
      // Somebody else has written, who must have claimed the board.
      this.doubt();
    } else if (entry.node !== this.#ports.bus.node) {
      this.#owned(entry.node);
    }
  }

  #follow({ commit }: Extract<LineEntry, { readonly kind: 'rows' }>): void {
    const board = this.#board;
    try {
      const rows = commit();
      if (rows.every(({ epoch }) => epoch === board?.epoch.id)) board?.follow(rows.map(({ row }) => row));
      else this.#ports.putAway(this.id);
    } catch (error) {
      board?.abandon(error);
    }
  }

  /** Another decides, or nobody does. */
  #owned(owner: NodeId | null): void {
    if (this.#role === 'deciding') this.#ports.reports.lost(this.id, owner);
    this.#setOwner(owner);
    if (this.#role !== 'finding') this.#standBack('following');
    this.consider();
  }

  #standBack(role: 'finding' | 'following'): void {
    this.#role = role;
    this.#round++;
    this.#isBusy = false;
    this.#sendingTo = null;
    this.#writes.clear();
    this.#errands.unsend();
    this.#board?.passTo(this.#take);
  }

  async #readLine(): Promise<void> {
    const { owner } = await this.#ports.log.refresh(this.id);
    this.#board?.catchUp();
    this.#setOwner(owner);
  }

  #setOwner(owner: NodeId | null): void {
    const { bus, now } = this.#ports;
    if (owner !== null && owner !== bus.node && owner !== this.#owner) {
      this.#withoutSince = null;
      this.#claimedAt = now();
    }
    this.#owner = owner;
  }

  /** Does something with the engine or another node, one after another. What failed is tried again a little later. */
  async #alone(act: () => Promise<void>): Promise<void> {
    this.#isBusy = true;
    const round = this.#round;
    try {
      await act();
    } catch (error) {
      if (round === this.#round && !this.#closed) {
        this.#ports.reports.trouble(this.id, error);
        // The engine does not answer: whoever waits is told that nothing was stored.
        this.#errands.giveUpAll();
        this.#pause(RETRY_MS);
      }
    }
    if (round !== this.#round || this.#closed) return;
    this.#isBusy = false;
    this.consider();
  }

  async #takeOver(): Promise<void> {
    const { log, bus, now, tookOver, reports } = this.#ports;
    const board = this.#board;
    const round = this.#round;
    if (!board) return;
    if (!(await log.claim(this.id, bus.node))) {
      await this.#readLine();
      return;
    }
    // The log has all that stands before the claim, and the board once it can be read.
    board.catchUp();
    const hasBegun = await board.read(() => {
      if (round !== this.#round || this.#closed) return false;
      this.#role = 'deciding';
      this.#owner = bus.node;
      board.passTo(null);
      for (const item of this.#errands.takeAll()) board.take(item);
      return true;
    });
    if (!hasBegun) return;
    reports.claimed(this.id, now() - (this.#withoutSince ?? now()));
    this.#withoutSince = null;
    tookOver(board);
  }

  /** Gives what waits to the node that decides. */
  async #send(owner: NodeId): Promise<void> {
    const { bus, members, reports } = this.#ports;
    const round = this.#round;
    const sent = this.#errands.next();
    if (sent.length === 0) this.#pause(RETRY_MS);
    reports.forwarded(sent.length);
    this.#sendingTo = owner;
    const ask = { from: bus.node, board: this.id, items: sent.map(({ asked }) => asked) };
    try {
      const bytes = await bus.request(SUBJECTS.edits(owner), encode(ask), REPLY_MS);
      if (round !== this.#round || this.#closed) return;
      this.#sendingTo = null;
      const reply = decode(replySchema, bytes);
      if (reply?.kind === 'done') await this.#told(sent, reply.results);
      else await this.#notTheirs(owner, reply?.kind === 'wait');
    } catch (error) {
      if (round !== this.#round || this.#closed) return;
      this.#sendingTo = null;
      this.#errands.unsend();
      if (!(error instanceof NobodyAnswers)) throw error;
      if (error.why === 'nobody') members.nobodyAt(owner);
      else await this.#readLine();
    }
  }

  async #told(sent: ReturnType<Errands['next']>, results: readonly AskedResult[]): Promise<void> {
    sent.forEach(({ id }, index) => {
      const edit = this.#errands.told(id, results[index] ?? { kind: 'failed' });
      if (edit) void this.#lookUp(edit.writer.id, edit.edit.n);
    });
    if (results.some(({ kind }) => kind === 'passed')) await this.#readLine();
  }

  /** An edit that is in the line may have been taken in long ago, under an earlier socket. */
  async #lookUp(writer: string, n: number): Promise<void> {
    const outcome = await this.#ports.log.answer(this.id, writer, n).catch(() => null);
    if (outcome) this.#errands.answered(writer, n, outcome);
  }

  /** The node whose claim stands does not decide the board: it has let go of it without a word. */
  async #notTheirs(owner: NodeId, isToWait: boolean): Promise<void> {
    this.#errands.unsend();
    if (isToWait) {
      this.#pause(WAIT_MS);
      return;
    }
    await this.#readLine();
    if (this.#owner === owner && !this.#ports.isLeaving()) await this.#takeOver();
  }

  /** What has waited for long may be in the line. */
  async #lookAgain(): Promise<void> {
    this.#pause(RETRY_MS);
    await this.#readLine();
    this.#errands.unsend();
  }

  #pause(milliseconds: number): void {
    const { now, after } = this.#ports;
    this.#pauseUntil = now() + milliseconds;
    after(milliseconds, () => this.consider());
  }

  #decideOne(board: Board, from: NodeId, asked: AskedItem): Promise<AskedResult> {
    const key = asked.kind === 'base' ? `${from}/${asked.id}` : null;
    const known = key !== null && this.#writes.get(key);
    if (known) return known;
    const decided = new Promise<AskedResult>((resolve) => {
      const item = itemOf(asked, resolve);
      this.#given.set(item, () => resolve({ kind: 'passed' }));
      board.take(item);
    });
    if (key !== null) this.#remember(key, decided);
    return decided;
  }

  #remember(key: string, decided: Promise<AskedResult>): void {
    this.#writes.set(key, decided);
    const oldest = this.#writes.keys().next();
    if (this.#writes.size > MOST_WRITES && !oldest.done) this.#writes.delete(oldest.value);
  }
}

function itemOf(asked: AskedItem, tell: (result: AskedResult) => void): Item {
  if (asked.kind === 'edit') {
    return { ...asked, reply: (answer) => tell(resultOf(answer)) };
  }
  return {
    kind: 'base',
    person: asked.person,
    values: asked.values,
    done: () => tell({ kind: 'inLine' }),
    failed: (error) =>
      tell(error instanceof NotStored ? { kind: 'failed' } : { kind: 'wrong', message: error.message }),
  };
}

function resultOf(answer: Answer): AskedResult {
  if (answer.kind === 'gap') return { kind: 'gap', last: answer.last };
  return { kind: answer.kind === 'failed' ? 'failed' : 'inLine' };
}
