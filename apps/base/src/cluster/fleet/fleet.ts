import type { Board } from '../../board/board.ts';
import type { BoardFleet } from '../../board/ports.ts';
import type { LogRow } from '../../log/port.ts';
import type { BusMessage } from '../port.ts';
import { BEAT_MS, Members, MOST_SKEW_MS } from './members.ts';
import { askSchema, decode, encode, type Reply, SUBJECTS } from './messages.ts';
import type { FleetPorts } from './ports.ts';
import { Seat } from './seat.ts';

/** How often a node looks around, ms. */
const LOOK_MS = 250;

/** This node among those that keep the boards together: of each board one decides, and the others pass on and follow. */
export class Fleet implements BoardFleet {
  readonly members: Members;
  readonly #ports: FleetPorts;
  readonly #seats = new Map<string, Seat>();
  readonly #closing = new Map<string, Promise<void>>();
  readonly #stop: () => void;
  #isLeaving = false;
  #hasStopped = false;
  #beatAt = Number.NEGATIVE_INFINITY;

  constructor(ports: FleetPorts) {
    const { bus, machine, about } = ports;
    this.#ports = ports;
    this.members = new Members({
      bus,
      machine,
      about: () => ({ ...about(), boards: this.#seats.size }),
    });
    this.#stop = bus.subscribe(SUBJECTS.edits(bus.node), (message) => this.#asked(message));
  }

  /** Begins to tell the others that it is there, and to look after its boards. */
  start(): void {
    this.#look();
  }

  get seats(): Iterable<Seat> {
    return this.#seats.values();
  }

  /** How many boards this node decides. */
  get deciding(): number {
    return [...this.#seats.values()].filter(({ isDeciding }) => isDeciding).length;
  }

  /** How much waits here for other nodes. */
  get waiting(): number {
    return [...this.#seats.values()].reduce((sum, { waiting }) => sum + waiting, 0);
  }

  /** Why this node should get no more tablets; `null`: it is well. */
  get trouble(): string | null {
    if (this.#isLeaving) return 'This node is leaving.';
    if (this.members.skewMs > MOST_SKEW_MS) {
      return `The clocks of the nodes differ by ${Math.round(this.members.skewMs)} ms.`;
    }
    return null;
  }

  async open(id: string): Promise<void> {
    await this.#seats.get(id)?.close(false);
    await this.#closing.get(id);
    const { log, bus, clock, machine, after, tookOver, putAway, reports } = this.#ports;
    const seat = new Seat(id, {
      log,
      bus,
      members: this.members,
      now: () => machine.monotonic(),
      after,
      see: (stamp) => clock.see(stamp),
      isLeaving: () => this.#isLeaving,
      putAway,
      tookOver,
      reports,
    });
    this.#seats.set(id, seat);
    try {
      await seat.open();
    } catch (error) {
      this.#drop(seat, false);
      throw error;
    }
  }

  async join(board: Board): Promise<void> {
    const seat = this.#seats.get(board.id);
    if (!seat) throw new Error(`board ${board.id} was not opened`);
    try {
      await seat.join(board);
    } catch (error) {
      this.#drop(seat, false);
      throw error;
    }
  }

  mayDecide(board: Board): boolean {
    this.#minds();
    const seat = this.#seatOf(board);
    return seat?.isDeciding ?? false;
  }

  async recover(board: Board): Promise<void> {
    await this.#seatOf(board)?.recover();
  }

  async current(board: Board): Promise<void> {
    await this.#seatOf(board)?.current();
  }

  tookIn(board: Board, rows: readonly LogRow[]): void {
    this.#seatOf(board)?.met(rows);
  }

  gone(board: Board, isFree: boolean): void {
    const seat = this.#seatOf(board);
    if (seat) this.#drop(seat, isFree);
  }

  /** Lets go of every board; this node takes none over any more, but still passes on. */
  async leave(): Promise<void> {
    this.#isLeaving = true;
    const seats = [...this.#seats.values()];
    const { reports } = this.#ports;
    await Promise.all(
      seats.map((seat) => seat.release().catch((error: unknown) => reports.trouble(seat.id, error))),
    );
  }

  /** Says nothing and hears nothing any more. */
  async stop(): Promise<void> {
    this.#isLeaving = true;
    this.#hasStopped = true;
    this.#stop();
    this.members.stop();
    for (const seat of [...this.#seats.values()]) this.#drop(seat, true);
    await Promise.all(this.#closing.values());
  }

  #seatOf(board: Board): Seat | null {
    const seat = this.#seats.get(board.id);
    return seat?.board === board ? seat : null;
  }

  #drop(seat: Seat, isFree: boolean): void {
    if (this.#seats.get(seat.id) === seat) this.#seats.delete(seat.id);
    const closing = seat.close(isFree).then(() => {
      if (this.#closing.get(seat.id) === closing) this.#closing.delete(seat.id);
    });
    this.#closing.set(seat.id, closing);
  }

  #asked(message: BusMessage): void {
    const ask = decode(askSchema, message.bytes);
    this.#minds();
    const answer = ask ? this.#seats.get(ask.board)?.decide(ask.from, ask.items) : null;
    const respond = (reply: Reply): void => message.respond(encode(reply));
    if (!answer || typeof answer === 'string') respond({ kind: answer ?? 'notMine' });
    else void answer.then((results) => respond({ kind: 'done', results: [...results] }));
  }

  /** Whether this node stood still for longer than the others wait: then it decides nothing until it has looked. */
  #minds(): void {
    if (!this.members.hasStoodStill()) return;
    this.#ports.reports.stoodStill();
    for (const seat of this.#seats.values()) seat.doubt();
  }

  #look(): void {
    if (this.#hasStopped) return;
    const { machine, after, died, reports } = this.#ports;
    this.#minds();
    const now = machine.monotonic();
    if (now - this.#beatAt >= BEAT_MS) {
      this.#beatAt = now;
      this.members.beat();
    }
    for (const node of this.members.sweep()) {
      reports.died(node);
      died(node);
    }
    for (const seat of [...this.#seats.values()]) seat.tick();
    after(LOOK_MS, () => this.#look());
  }
}
