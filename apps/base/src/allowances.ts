import { Allowance } from '@plumbline/replica';

/** Keys remembered; beyond that the one longest unused is forgotten. */
const MOST_KEYS = 10_000;

/** Allowances by address, session or whatever else may be asked too much of. */
export class Allowances {
  readonly #perSecond: number;
  readonly #burst: number;
  readonly #byKey = new Map<string, Allowance>();

  constructor(perSecond: number, burst: number) {
    this.#perSecond = perSecond;
    this.#burst = burst;
  }

  /** The allowance of a key. @param now ms on a clock that does not run back */
  of(key: string, now: number): Allowance {
    const allowance = this.#byKey.get(key) ?? new Allowance(this.#perSecond, this.#burst, now);
    this.#byKey.delete(key);
    this.#byKey.set(key, allowance);
    const oldest = this.#byKey.keys().next();
    if (this.#byKey.size > MOST_KEYS && !oldest.done) this.#byKey.delete(oldest.value);
    return allowance;
  }
}
