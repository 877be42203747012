import { effect } from '@preact/signals';
import { useEffect, useState } from 'preact/hooks';

/** Long enough for what was touched to be on the screen first, short enough not to be waited for, ms. */
const AFTER_MS = 40;

/** While what it reads changes again and again it is worked out this seldom, ms. */
const APART_MS = 400;

/**
 * A value derived from signals that is worked out once the screen is painted: at first, and again when something that
 * it read has changed. What is touched shows at once, and this a moment later; until it is known, `null`.
 */
export function useAfterPaint<T>(derive: () => T, inputs: readonly unknown[]): T | null {
  const [value, setValue] = useState<T | null>(null);
  useEffect(() => {
    let stop = (): void => {};
    let frame = 0;
    let timer: ReturnType<typeof setTimeout> | undefined;
    let worked = Number.NEGATIVE_INFINITY;
    const later = (): void => {
      frame = requestAnimationFrame(() => {
        timer = setTimeout(work, Math.max(AFTER_MS, worked + APART_MS - performance.now()));
      });
    };
    const work = (): void => {
      worked = performance.now();
      stop();
      let isChange = false;
      stop = effect(() => {
        // On a change nothing is read, and so nothing is followed, until it is worked out again.
        if (isChange) later();
        else {
          isChange = true;
          const now = derive();
          setValue(() => now);
        }
      });
    };
    later();
    return () => {
      stop();
      cancelAnimationFrame(frame);
      clearTimeout(timer);
      setValue(null);
    };
  }, inputs);
  return value;
}
