/** One exchange of the clock message: sent and received here, received and sent at the base, in milliseconds. */
export interface ClockSample {
  readonly t0: number;
  readonly t1: number;
  readonly t2: number;
  readonly t3: number;
}

/** What a tablet knows of the base's clock. */
export interface ClockEstimate {
  /** Add this to the tablet's own clock to get the base's, ms. */
  readonly offset: number;
  /** The truth lies within this many ms of the estimate (half the delay of the best exchange). */
  readonly uncertainty: number;
}

/**
 * Estimates the offset between two clocks from exchanges of four times, as in RFC 5905 section 8:
 * offset = ((t1 - t0) + (t2 - t3)) / 2, delay = (t3 - t0) - (t2 - t1). Of the last exchanges the one with the lowest
 * delay is believed, since queueing only ever adds delay.
 */
export class ClockOffset {
  readonly #samples: { offset: number; delay: number }[] = [];
  readonly #keep: number;
  #guess: number | null = null;

  constructor(keep = 8) {
    this.#keep = keep;
  }

  /** Takes an exchange in; one whose times run backwards (the device slept or was set) is ignored. */
  add({ t0, t1, t2, t3 }: ClockSample): void {
    const delay = t3 - t0 - (t2 - t1);
    if (!Number.isFinite(delay) || delay < 0) return;
    this.#samples.push({ offset: (t1 - t0 + (t2 - t3)) / 2, delay });
    if (this.#samples.length > this.#keep) this.#samples.shift();
  }

  /** A one-way hint of the offset, believed only until the first whole exchange. */
  guess(offset: number): void {
    this.#guess = offset;
  }

  /** Forgets everything: after sleep the old exchanges say nothing about now. */
  reset(): void {
    this.#samples.length = 0;
    this.#guess = null;
  }

  /** The offset to reckon with: the best exchange's, or the hint, or none. */
  get offset(): number {
    return this.estimate()?.offset ?? this.#guess ?? 0;
  }

  /** `null` until the first exchange. */
  estimate(): ClockEstimate | null {
    let best = this.#samples[0];
    for (const sample of this.#samples) if (best && sample.delay < best.delay) best = sample;
    return best ? { offset: best.offset, uncertainty: best.delay / 2 } : null;
  }
}
