/** Keeps what is sent under a rate in the long run, so that a weak uplink stays free for the set. */
export class Bucket {
  readonly #bytesPerMs: number;
  readonly #burstMs: number;
  readonly #now: () => number;
  readonly #sleep: (milliseconds: number) => Promise<void>;
  /** When all that was taken so far will have been paid for. */
  #paid = Number.NEGATIVE_INFINITY;

  /**
   * @param kbits kilobits a second
   * @param burstBytes that may go at once after a pause
   * @param now a clock that only grows, ms
   */
  constructor(
    kbits: number,
    burstBytes: number,
    now: () => number,
    sleep: (milliseconds: number) => Promise<void>,
  ) {
    this.#bytesPerMs = kbits / 8;
    this.#burstMs = burstBytes / this.#bytesPerMs;
    this.#now = now;
    this.#sleep = sleep;
  }

  /** Resolves when so many bytes may go. Whoever asks first is served first. */
  async take(bytes: number): Promise<void> {
    const now = this.#now();
    this.#paid = Math.max(this.#paid, now - this.#burstMs) + bytes / this.#bytesPerMs;
    const wait = this.#paid - now;
    if (wait > 0) await this.#sleep(wait);
  }
}
