import { type IntervalHistogram, monitorEventLoopDelay } from 'node:perf_hooks';

/** Beyond these a base opens no further boards, so that those it has go on as they are. */
export interface Capacity {
  readonly boards: number;
  /** How late the event loop is, 99 times of a hundred, ms. */
  readonly delayMs: number;
  /** What the process takes of the machine's memory. */
  readonly memoryMegabytes: number;
}

export const CAPACITY: Capacity = { boards: 2000, delayMs: 250, memoryMegabytes: 1500 };

/** A base with fewer boards open than this is late, or large, for other reasons than its boards. */
const FEW_BOARDS = 16;

/** What a base uses of it. */
export interface Use {
  readonly boards: number;
  readonly delayMs: number;
  readonly memoryMegabytes: number;
}

/** The base has as much to do as it can: it opens no further board. */
export class AtCapacity extends Error {
  override readonly name = 'AtCapacity';
  readonly what: keyof Capacity;
  constructor(what: keyof Capacity) {
    super('This base has as many boards open as it can serve well. Try again in a moment, or at another.');
    this.what = what;
  }
}

/** What stands against opening another board; `null`: nothing. */
export function limitReached(limits: Capacity, use: Use): keyof Capacity | null {
  if (use.boards >= limits.boards) return 'boards';
  if (use.boards < FEW_BOARDS) return null;
  if (use.delayMs > limits.delayMs) return 'delayMs';
  if (use.memoryMegabytes > limits.memoryMegabytes) return 'memoryMegabytes';
  return null;
}

/** How often what was measured before is forgotten, ms. */
const WINDOW_MS = 5000;

/** Measures this process. */
export class Load {
  readonly #histogram: IntervalHistogram = monitorEventLoopDelay({ resolution: 20 });
  readonly #forgetting: NodeJS.Timeout;
  #delayMs = 0;

  constructor() {
    this.#histogram.enable();
    this.#forgetting = setInterval(() => {
      this.#delayMs = this.#histogram.percentile(99) / 1e6;
      this.#histogram.reset();
    }, WINDOW_MS);
    this.#forgetting.unref();
  }

  /** The event loop's delay in the last few seconds, ms. */
  get delayMs(): number {
    return this.#delayMs;
  }

  get memoryMegabytes(): number {
    return process.memoryUsage.rss() / 1e6;
  }

  stop(): void {
    this.#histogram.disable();
    clearInterval(this.#forgetting);
  }
}
