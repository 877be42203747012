/** How often something may be done: so many a second, and a burst at once after a rest. */
export class Allowance {
  readonly #perSecond: number;
  readonly #burst: number;
  #left: number;
  #at: number;

  /** @param now milliseconds on any clock that does not run back */
  constructor(perSecond: number, burst: number, now: number) {
    this.#perSecond = perSecond;
    this.#burst = burst;
    this.#left = burst;
    this.#at = now;
  }

  /** Takes one if there is one left. */
  take(now: number): boolean {
    this.#refill(now);
    if (this.#left < 1) return false;
    this.#left--;
    return true;
  }

  /** Gives one back that turned out not to count. */
  giveBack(): void {
    this.#left = Math.min(this.#burst, this.#left + 1);
  }

  /** Milliseconds until there is one to take; 0 if there is. */
  wait(now: number): number {
    this.#refill(now);
    return this.#left >= 1 ? 0 : Math.ceil(((1 - this.#left) / this.#perSecond) * 1000);
  }

  #refill(now: number): void {
    const elapsed = Math.max(0, now - this.#at);
    this.#at = Math.max(this.#at, now);
    this.#left = Math.min(this.#burst, this.#left + (elapsed / 1000) * this.#perSecond);
  }
}
