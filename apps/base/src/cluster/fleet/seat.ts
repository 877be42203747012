import type { Board } from '../../board/board.ts';
import type { Item } from '../../board/turn.ts';
import type { LogRow } from '../../log/port.ts';
import type { LineEntry, NodeId } from '../port.ts';
import { SharedQuestion } from '../sharedQuestion.ts';
import { Claim } from './claim.ts';
import { Errands } from './errands.ts';
import { type EditInLine, forward } from './forward.ts';
import { Given } from './given.ts';
import type { AskedItem, AskedResult } from './messages.ts';
import type { SeatPorts } from './ports.ts';

/** What has waited so long is looked for in the line, ms. */
const DOUBT_MS = 4000;
/** What has waited so long is given up, so that its author sends it again, ms. */
const PATIENCE_MS = 20_000;
/** After a failure it is tried again so much later, ms. */
const RETRY_MS = 500;
/** A node that is finding out who decides is asked again so much later, ms. */
const WAIT_MS = 50;

/**
 * The place of one board on this node: who decides it, and what is to be given to them. Safety rests on the engine alone,
 * which takes nothing from a node that has not seen all of the line; here it is only settled who tries.
 */
export class Seat {
  readonly id: string;
  readonly #ports: SeatPorts;
  readonly #errands: Errands;
  readonly #given = new Given();
  readonly #claim: Claim;
  /** How the line stands. */
  readonly #end = new SharedQuestion(() => this.#readLine());
  #board: Board | null = null;
  #role: 'finding' | 'deciding' | 'following' = 'finding';
  /** What was begun under an earlier number has been overtaken. */
  #round = 0;
  #isBusy = false;
  /** Who has been given something and has not answered yet. */
  #sendingTo: NodeId | null = null;
  #pauseUntil = 0;
  #askAgainAt = 0;
  #stopFollowing: (() => Promise<void>) | null = null;
  #closed: Promise<void> | null = null;

  constructor(id: string, ports: SeatPorts) {
    this.id = id;
    this.#ports = ports;
    this.#errands = new Errands(ports.now);
    this.#claim = new Claim(ports.bus.node, ports.now);
  }

  get isDeciding(): boolean {
    return this.#role === 'deciding';
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
    this.#claim.found((await log.refresh(this.id)).owner);
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
    const { members, now, isLeaving } = this.#ports;
    if (this.#closed || !this.#board || this.#role !== 'following') return;
    // Whoever is dead will not answer what is under way to them.
    if (this.#sendingTo !== null && members.state(this.#sendingTo) === 'dead') this.#standBack('following');
    if (this.#isBusy || now() < this.#pauseUntil) return;
    const isWaiting = this.#errands.size > 0;
    if (!isWaiting && this.#board.listeners === 0) return;
    const owner = this.#claim.other;
    const state = owner === null ? 'dead' : members.state(owner);
    if (owner === null || state === 'dead') {
      const held = this.#claim.missed();
      if (held > 0) this.#pause(held);
      else if (!isLeaving()) void this.#alone(() => this.#takeOver());
    } else if (isWaiting || (state === 'unknown' && now() >= this.#askAgainAt)) {
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

  /** Takes in all that any node had stored when this was called. */
  current(): Promise<void> {
    return this.#end.answered();
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
    return Promise.all(items.map((item) => this.#given.decide(board, from, item)));
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
      this.#claim.set(null);
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
    if (this.#given.giveBack(item)) return;
    this.#errands.add(item);
    if (this.#closed) this.#errands.giveUpAll();
    else this.consider();
  };

  /** Entries are taken in at once, whatever is under way: nothing here waits for the engine. */
  #hear(entry: LineEntry): void {
    if (entry.kind === 'rows') {
      // Somebody else has written, who must have claimed the board.
      if (this.#follow(entry)) this.doubt();
    } else if (entry.node !== this.#ports.bus.node) {
      this.#owned(entry.node);
    }
  }

  /** Returns whether there was anything new. */
  #follow({ commit }: Extract<LineEntry, { readonly kind: 'rows' }>): boolean {
    const board = this.#board;
    try {
      const rows = commit();
      if (rows.length === 0) return false;
      if (rows.every(({ epoch }) => epoch === board?.epoch.id)) board?.follow(rows.map(({ row }) => row));
      else this.#ports.putAway(this.id);
    } catch (error) {
      board?.abandon(error);
    }
    return true;
  }

  /** Another decides, or nobody does. */
  #owned(owner: NodeId | null): void {
    if (this.#role === 'deciding') this.#ports.reports.lost(this.id, owner);
    this.#claim.set(owner);
    if (this.#role !== 'finding') this.#standBack('following');
    this.consider();
  }

  #standBack(role: 'finding' | 'following'): void {
    this.#role = role;
    this.#round++;
    this.#isBusy = false;
    this.#sendingTo = null;
    this.#given.forget();
    this.#errands.unsend();
    this.#board?.passTo(this.#take);
  }

  async #readLine(): Promise<void> {
    const { owner } = await this.#ports.log.refresh(this.id);
    this.#board?.catchUp();
    // A claim that was read is not heard any more.
    if (this.isDeciding && owner !== this.#ports.bus.node) this.#owned(owner);
    else this.#claim.set(owner);
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
    this.#sendingTo = null;
    this.consider();
  }

  async #takeOver(): Promise<void> {
    const { log, bus, tookOver, reports } = this.#ports;
    const board = this.#board;
    const round = this.#round;
    if (!board) return;
    if (!(await log.claim(this.id, bus.node))) {
      await this.#readLine();
      return;
    }
    // The log has all that stands before the claim, and the board once it can be read.
    board.catchUp();
    const withoutMs = await board.read(() => {
      if (round !== this.#round || this.#closed) return null;
      this.#role = 'deciding';
      board.passTo(null);
      for (const item of this.#errands.takeAll()) board.take(item);
      return this.#claim.taken();
    });
    if (withoutMs === null) return;
    reports.claimed(this.id, withoutMs);
    tookOver(board);
  }

  /** Gives what waits to the node that decides. */
  async #send(owner: NodeId): Promise<void> {
    const { bus, members, now, reports } = this.#ports;
    const round = this.#round;
    // Where nothing waits it is only asked whether it is there; not all the time.
    this.#askAgainAt = now() + RETRY_MS;
    this.#sendingTo = owner;
    const isOvertaken = (): boolean => round !== this.#round || this.#closed !== null;
    const came = await forward(owner, this.id, this.#errands, bus, isOvertaken);
    if (!came) return;
    this.#sendingTo = null;
    if (came.kind === 'told') {
      reports.forwarded(came.items);
      for (const edit of came.inLine) void this.#lookUp(edit);
      if (!came.isAll) await this.#readLine();
    } else if (came.kind === 'nobody') members.nobodyAt(owner);
    else if (came.kind === 'late') await this.#readLine();
    else if (came.kind === 'wait') this.#pause(WAIT_MS);
    else {
      await this.#readLine();
      // Its claim stands and it does not decide: it has let go of the board without a word.
      if (this.#claim.owner === owner && !this.#ports.isLeaving()) await this.#takeOver();
    }
  }

  /** An edit that is in the line may have been taken in long ago, under an earlier socket. */
  async #lookUp({ writer, edit }: EditInLine): Promise<void> {
    const first = await this.#ports.log.answer(this.id, writer.id, edit.n).catch(() => null);
    if (first) this.#errands.answered(writer.id, edit.n, first);
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
}
