import type { Random } from '../random.ts';

interface Due {
  readonly at: number;
  readonly order: number;
  readonly act: () => void;
}

/** A world whose time is moved by hand: what is to happen happens in order, and nothing in between. */
export class World {
  readonly random: Random;
  /** When it began, ms since 1970; `now` counts from there. */
  readonly start = Date.UTC(2030, 5, 1, 9);
  now = 0;
  #due: Due[] = [];
  #count = 0;
  /** What went wrong inside something that nobody waits for. */
  readonly troubles: unknown[] = [];

  constructor(random: Random) {
    this.random = random;
  }

  after(milliseconds: number, act: () => void): void {
    const due = { at: this.now + Math.max(0, milliseconds), order: ++this.#count, act };
    // Kept in order from the last to the first.
    let low = 0;
    let high = this.#due.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      const other = this.#due[middle];
      if (other && (other.at > due.at || (other.at === due.at && other.order > due.order))) low = middle + 1;
      else high = middle;
    }
    this.#due.splice(low, 0, due);
  }

  /** So many ms, more or less. */
  some(milliseconds: number): number {
    return Math.ceil(this.random.next() * milliseconds * 2);
  }

  /** Lets things happen until something holds, or for so many ms; returns whether it holds. */
  async run(milliseconds: number, holds: () => boolean = () => false): Promise<boolean> {
    const end = this.now + milliseconds;
    while (!holds()) {
      const next = this.#due.at(-1);
      if (!next || next.at > end) {
        this.now = end;
        return holds();
      }
      this.#due.pop();
      this.now = next.at;
      next.act();
      // Whatever waited for that goes on before anything else happens.
      await new Promise((resolve) => setImmediate(resolve));
    }
    return true;
  }
}
