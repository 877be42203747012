import { type ReadonlySignal, signal } from '@preact/signals';

const state = signal(false);

/** Whether this page has painted a screen: once for each page. What is not needed for that waits for it. */
export const painted: ReadonlySignal<boolean> = state;

/** A screen has been drawn and is painted with the next frame. */
export function noteDrawn(): void {
  if (state.peek()) return;
  requestAnimationFrame(() => {
    setTimeout(() => {
      state.value = true;
    });
  });
}
