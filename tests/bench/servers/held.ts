import { openSync, readSync } from 'node:fs';

/** How often the watch looks, ms: nothing shorter is seen. */
const RESOLUTION_MS = 1;

/**
 * Watches how long the event loop is held: how late a timer is, less the time for which the machine had given the
 * processor to somebody else although this thread could have run (`/proc/self/schedstat`, second figure, Linux). Waits
 * for the disk count: they hold the loop too.
 */
export class HeldWatch {
  readonly #schedule = openSchedule();
  #timer: NodeJS.Timeout | null = null;
  #longest = 0;
  #at = 0;
  #waited = 0;

  start(): void {
    this.stop();
    this.#longest = 0;
    this.#at = performance.now();
    this.#waited = this.#schedule();
    this.#timer = setInterval(() => this.#look(), RESOLUTION_MS);
  }

  /** The longest time since the start, ms. */
  stop(): number {
    if (this.#timer) clearInterval(this.#timer);
    this.#timer = null;
    return this.#longest;
  }

  #look(): void {
    const now = performance.now();
    const waited = this.#schedule();
    const held = now - this.#at - RESOLUTION_MS - (waited - this.#waited);
    this.#longest = Math.max(this.#longest, held);
    this.#at = now;
    this.#waited = waited;
  }
}

/** Reads how long this thread has waited for a processor so far, ms; 0 where the system does not tell. */
function openSchedule(): () => number {
  let file: number;
  try {
    file = openSync('/proc/self/schedstat', 'r');
  } catch {
    return () => 0;
  }
  const text = Buffer.alloc(64);
  return () => {
    const length = readSync(file, text, 0, text.length, 0);
    return Number(text.toString('latin1', 0, length).split(' ')[1] ?? 0) / 1e6;
  };
}
