import { type Stamp, StampClock, stampMilliseconds } from '@plumbline/replica';

/** The two clocks of the machine that the base's own is made of, in milliseconds. */
export interface MachineClock {
  /** Since 1970; may be set forward or back while we run. */
  wall(): number;
  /** Since any moment; only ever grows, but may stand still while the machine sleeps. */
  monotonic(): number;
}

/** The clocks of this machine. */
export const machineClock: MachineClock = { wall: () => Date.now(), monotonic: () => performance.now() };

/** The board's clock. It never runs back, not even over a restart, and no tablet's stamp advances it. */
export class BaseClock {
  readonly #machine: MachineClock;
  readonly #stamps: StampClock;
  #time: number;
  #monotonic: number;

  /** @param highest the highest stamp in the log */
  constructor(machine: MachineClock, highest: Stamp) {
    this.#machine = machine;
    this.#time = stampMilliseconds(highest);
    this.#monotonic = machine.monotonic();
    this.#stamps = new StampClock(() => this.now(), highest);
  }

  /** Whole milliseconds since 1970. Follows the wall clock forward; where that is set back, time runs on from where it was. */
  now(): number {
    const monotonic = this.#machine.monotonic();
    const elapsed = Math.max(0, monotonic - this.#monotonic);
    this.#monotonic = monotonic;
    this.#time = Math.max(this.#machine.wall(), this.#time + elapsed);
    return Math.floor(this.#time);
  }

  /** Takes note of a stamp of another base whose board this one goes on with: the next one given is greater. */
  see(stamp: Stamp): void {
    this.#stamps.see(stamp);
    this.#time = Math.max(this.#time, stampMilliseconds(stamp));
  }

  /** A stamp greater than any that the base ever gave. */
  stamp(): Stamp {
    return this.#stamps.next();
  }
}
