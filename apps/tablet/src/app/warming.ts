import { effect } from '@preact/signals';
import type { Desk } from '../board/desk.ts';

/** Ahead of this the first screen is still busy with itself, ms. */
const AFTER_MS = 2_000;

/** Reads ahead of time, in small parts, what a screen would otherwise read when it is opened. Returns how to stop. */
export function warmScreens(desk: Desk): () => void {
  let stopWarming = (): void => {};
  let timer: ReturnType<typeof setTimeout> | undefined;
  const begin = async (): Promise<void> => {
    const kit = await import('../screens/kit/custody/kitDesk.ts').catch(() => null);
    if (kit && timer !== undefined) stopWarming = kit.warmKit(desk);
  };
  // the rules read the same events first: after them reading costs little
  const stopWaiting = effect(() => {
    if (desk.judging.judged.value && timer === undefined) timer = setTimeout(() => void begin(), AFTER_MS);
  });
  return () => {
    stopWaiting();
    clearTimeout(timer);
    timer = undefined;
    stopWarming();
  };
}
