import { type ReadonlySignal, type Signal, signal } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from './device.ts';

const KEY = 'plumbline.bare';

const seen: Signal<boolean> = signal(readNote(localNotes, KEY, z.boolean()) ?? false);

/** Whether the sentence below has been read and put away on this device. */
export const bareSeen: ReadonlySignal<boolean> = seen;

/** Puts the sentence away for good; it still stands on the unit's page. */
export function seeBare(): void {
  seen.value = true;
  writeNote(localNotes, KEY, true);
}

/**
 * Whether browsers withhold from this page what they give to secure ones: the service worker, so that it does not open
 * with the base gone; the promise to keep what is stored; the wake lock.
 */
export function isBare(): boolean {
  return !globalThis.isSecureContext;
}

/** What is missing and how to mend it. */
export const BARE_SENTENCE =
  'Over plain http this page works, but it does not open without the base, may lose its copy, and lets the screen go dark; ' +
  'npx plumbline certificate, run where the base is, mends that.';
