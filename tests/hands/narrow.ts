import { openWay } from '../support/way.ts';

/** A narrow line to a base on this machine, which can be cut between a touch and its answer. */
export interface NarrowLine {
  readonly url: string;
  /** From now on nothing comes over, though nobody is told: what goes out and what comes back, or only what comes back. */
  lose(what: 'both ways' | 'answers'): void;
  /** Ends every connection and takes no new one. */
  cut(): void;
  mend(): void;
  close(): void;
}

/**
 * Opens a line.
 *
 * @param delayMs how much later an answer comes, the whole way there and back
 */
export async function openNarrow(
  baseUrl: string,
  { bitsPerSecond, delayMs }: { readonly bitsPerSecond: number; readonly delayMs: number },
): Promise<NarrowLine> {
  let lost: 'nothing' | 'answers' | 'both ways' = 'nothing';
  /** When all that was let through so far has come over, ms. */
  let free = 0;
  const way = await openWay(Number(new URL(baseUrl).port), (near, far) => {
    // each piece waits for the one before it, so that two timers of one millisecond cannot change places
    let last: Promise<void> = Promise.resolve();
    far.on('data', (bytes) => {
      free = Math.max(free, performance.now()) + (bytes.length * 8000) / bitsPerSecond;
      const at = free + delayMs;
      far.pause();
      setTimeout(() => far.resume(), free - performance.now());
      const wait = new Promise((go) => setTimeout(go, at - performance.now()));
      last = last.then(async () => {
        await wait;
        if (lost === 'nothing' && near.writable) near.write(bytes);
      });
    });
    near.on('data', (bytes) => {
      if (lost !== 'both ways' && far.writable) far.write(bytes);
    });
  });
  return {
    url: `http://127.0.0.1:${way.port}`,
    lose: (what) => {
      lost = what;
    },
    cut: way.cut,
    mend: () => {
      way.restore();
      lost = 'nothing';
    },
    close: () => void way.close(),
  };
}
