import { setImmediate as nextTurn } from 'node:timers/promises';

/** Long work holds the event loop no longer than this at a time, ms. */
const SLICE_MS = 8;

/** Work that says where it may be interrupted, and comes to something in the end. */
export type InSteps<T> = Generator<void, T, void>;

/** Lets everybody else have their turn now and then while something long is done. */
export class Pause {
  #since = performance.now();

  /** Whether this piece of work has lasted long enough. */
  get isDue(): boolean {
    return performance.now() - this.#since >= SLICE_MS;
  }

  /** Waits a turn of the event loop where that is due. */
  async take(): Promise<void> {
    if (this.isDue) await this.now();
  }

  /** Waits a turn of the event loop. */
  async now(): Promise<void> {
    await nextTurn();
    this.#since = performance.now();
  }
}

/** Does work in steps, the others' turns in between. */
export async function doInSteps<T>(work: InSteps<T>): Promise<T> {
  const pause = new Pause();
  for (;;) {
    const step = work.next();
    if (step.done) return step.value;
    if (pause.isDue) await pause.now();
  }
}
