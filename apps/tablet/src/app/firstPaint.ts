import { type ReadonlySignal, signal } from '@preact/signals';

const state = signal(false);

/** Whether this page has painted a screen: once for each page. What is not needed for that waits for it. */
export const painted: ReadonlySignal<boolean> = state;

/** A page that is hidden has no frames: it counts as painted after so long, ms. */
const FRAME_BY_MS = 500;

/** A screen has been drawn and is painted with the next frame. */
export function noteDrawn(): void {
  if (state.peek()) return;
  const note = (): void => {
    state.value = true;
  };
  requestAnimationFrame(() => setTimeout(note));
  setTimeout(note, FRAME_BY_MS);
}
