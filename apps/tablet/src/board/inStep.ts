import { effect, type ReadonlySignal } from '@preact/signals';
import { type TextStore, writeNote } from '../app/device.ts';
import { inStepKey } from './storing.ts';

/** What is asked and told while a board is followed. */
export interface InStepWorld {
  readonly board: string;
  /** Whether this page has all that the base has, and what is kept on the device is as fresh. */
  readonly isInStep: ReadonlySignal<boolean>;
  /** The base's clock, ms since 1970. */
  readonly now: () => number;
  readonly notes: () => TextStore;
  readonly every: (milliseconds: number, act: () => void) => () => void;
  /** Hears `pagehide`. */
  readonly window: EventTarget;
}

/** A greeting comes before what was missed: it is noted when the first of these has passed, and again after each, ms. */
const NOTE_MS = 3_000;

/**
 * Keeps on the device when its copy of a board was last in step, for whoever opens it with the base out of reach.
 *
 * @returns how to stop
 */
export function noteInStep({ board, isInStep, now, notes, every, window }: InStepWorld): () => void {
  const note = (): void => {
    writeNote(notes, inStepKey(board), Math.round(now()));
  };
  return effect(() => {
    if (!isInStep.value) return;
    let isNoted = false;
    const last = (): void => {
      if (isNoted) note();
    };
    const stop = every(NOTE_MS, () => {
      isNoted = true;
      note();
    });
    window.addEventListener('pagehide', last);
    return () => {
      last();
      stop();
      window.removeEventListener('pagehide', last);
    };
  });
}
