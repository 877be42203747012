import type { MachineClock } from '../../clock.ts';
import type { Bus, NodeId } from '../port.ts';
import { type Beat, beatSchema, decode, encode, SUBJECTS } from './messages.ts';

/** A node that was not heard of for so long is taken for dead, ms. */
export const LEASE_MS = 3000;
export const BEAT_MS = 1000;
/** Clocks that differ by more than this are told of, and the node is not ready, ms. */
export const MOST_SKEW_MS = 1000;

/** Beats by which a clock is compared: the smallest difference of them has the least of the way in it. */
const COMPARED = 10;

export interface MemberPorts {
  readonly bus: Bus;
  readonly machine: MachineClock;
  /** What this node says of itself. */
  readonly about: () => Omit<Beat, 'node' | 'time'>;
}

interface Member {
  readonly beat: Beat;
  readonly heardAt: number;
  /** How far its clock is ahead of ours, ms; the last few. */
  readonly ahead: readonly number[];
}

/** The nodes that are alive, as far as this one knows. Nothing that must be safe rests on it. */
export class Members {
  readonly #ports: MemberPorts;
  readonly #members = new Map<NodeId, Member>();
  /** Those that nobody listens for. */
  readonly #gone = new Set<NodeId>();
  readonly #stop: () => void;
  #since: number;
  #looked: { readonly wall: number; readonly monotonic: number };
  #stoodStill = false;

  constructor(ports: MemberPorts) {
    const { bus, machine } = ports;
    this.#ports = ports;
    this.#since = machine.monotonic();
    this.#looked = { wall: machine.wall(), monotonic: this.#since };
    this.#stop = bus.subscribe(SUBJECTS.beat, ({ bytes }) => {
      const beat = decode(beatSchema, bytes);
      if (beat && beat.node !== bus.node) this.#heard(beat);
    });
  }

  /** The others that are alive. */
  get others(): readonly Beat[] {
    return [...this.#members].filter(([node]) => this.state(node) === 'alive').map(([, { beat }]) => beat);
  }

  /** By how much the clock of any other node differs from ours, at least, ms. */
  get skewMs(): number {
    const differences = this.others.map(({ node }) => {
      const ahead = this.#members.get(node)?.ahead ?? [];
      return Math.min(...ahead.map(Math.abs));
    });
    return Math.max(0, ...differences.filter(Number.isFinite));
  }

  /** `unknown`: nothing was heard of it, but this node has not listened for long. */
  state(node: NodeId): 'alive' | 'dead' | 'unknown' {
    this.#look();
    if (this.#gone.has(node)) return 'dead';
    const now = this.#ports.machine.monotonic();
    const heardAt = this.#members.get(node)?.heardAt;
    if (now - Math.max(heardAt ?? 0, this.#since) > LEASE_MS) return 'dead';
    return heardAt === undefined ? 'unknown' : 'alive';
  }

  /** Nobody listens for a node any more: it is dead unless it is heard of again. */
  nobodyAt(node: NodeId): void {
    this.#gone.add(node);
  }

  beat(): void {
    const { bus, machine, about } = this.#ports;
    bus.publish(SUBJECTS.beat, encode({ node: bus.node, time: machine.wall(), ...about() }));
  }

  /** Whether this node itself stood still for so long that the others may have taken it for dead. Says so once. */
  hasStoodStill(): boolean {
    this.#look();
    const stood = this.#stoodStill;
    this.#stoodStill = false;
    return stood;
  }

  /** Forgets those that have been dead for a while; returns who. Called now and then. */
  sweep(): readonly NodeId[] {
    const dead = [...this.#members.keys()].filter((node) => this.state(node) === 'dead');
    for (const node of dead) {
      this.#members.delete(node);
      this.#gone.add(node);
    }
    return dead;
  }

  stop(): void {
    this.#stop();
  }

  #heard(beat: Beat): void {
    this.#look();
    const { machine } = this.#ports;
    const ahead = [...(this.#members.get(beat.node)?.ahead ?? []), beat.time - machine.wall()];
    this.#gone.delete(beat.node);
    this.#members.set(beat.node, { beat, heardAt: machine.monotonic(), ahead: ahead.slice(-COMPARED) });
  }

  /** While this process stood still nothing was heard, which says nothing of the others. */
  #look(): void {
    const { machine } = this.#ports;
    const now = { wall: machine.wall(), monotonic: machine.monotonic() };
    // A machine that sleeps may stop the one clock, and a hand that sets it moves the other.
    const passed = Math.max(now.wall - this.#looked.wall, now.monotonic - this.#looked.monotonic);
    this.#looked = now;
    if (passed < LEASE_MS - BEAT_MS) return;
    this.#since = now.monotonic;
    if (passed >= LEASE_MS) this.#stoodStill = true;
  }
}
