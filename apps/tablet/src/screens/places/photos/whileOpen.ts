import { effect } from '@preact/signals';
import type { Desk } from '../../../board/desk.ts';

const BEGIN_AFTER_MS = 1600;

/** Sends what pictures this device still has for the base, as long as a board is open. Returns how to stop. */
export function sendWhileOpen(desk: Desk): () => void {
  let stop: (() => void) | null = null;
  let ended = false;
  const begin = async (): Promise<void> => {
    const { pictureQueue } = await import('./queue.ts');
    if (ended) return;
    stop = effect(() => {
      // the base is there again: no reason to wait out a pause
      if (desk.live.link.status.value.kind === 'live') pictureQueue().wake();
    });
  };
  const timer = setTimeout(() => void begin().catch(() => {}), BEGIN_AFTER_MS);
  return () => {
    ended = true;
    clearTimeout(timer);
    stop?.();
  };
}
