/**
 * A stamp is when an edit was made: a hybrid logical clock on the base's time, milliseconds x 1024 + counter, as one
 * non-negative safe integer. Stamps order edits; the counter keeps two within one millisecond apart.
 */
export type Stamp = number;

const TICKS_PER_MILLISECOND = 1024;

/** The first stamp of a millisecond. */
export function stampAt(milliseconds: number): Stamp {
  return Math.floor(milliseconds) * TICKS_PER_MILLISECOND;
}

/** Milliseconds since 1970 on the base's clock. */
export function stampMilliseconds(stamp: Stamp): number {
  return Math.floor(stamp / TICKS_PER_MILLISECOND);
}

/** Whether a number can be a stamp at all. */
export function isStamp(value: unknown): value is Stamp {
  return Number.isSafeInteger(value) && Number(value) >= 0;
}

/** Hands out stamps that only ever grow, whatever the clock underneath does. */
export class StampClock {
  readonly #now: () => number;
  #highest: Stamp;

  /**
   * @param now milliseconds since 1970 on the base's clock (on a tablet: its own clock plus the estimated offset)
   * @param highest the highest stamp known so far, kept across restarts
   */
  constructor(now: () => number, highest: Stamp = 0) {
    this.#now = now;
    this.#highest = highest;
  }

  /** The highest stamp handed out or seen. */
  get highest(): Stamp {
    return this.#highest;
  }

  /** Takes note of somebody else's stamp, so that the next one made here is greater. Only tablets do this. */
  see(stamp: Stamp): void {
    if (stamp > this.#highest) this.#highest = stamp;
  }

  /** A new stamp, greater than any made or seen here. */
  next(): Stamp {
    this.#highest = Math.max(this.#highest + 1, stampAt(this.#now()));
    return this.#highest;
  }
}
