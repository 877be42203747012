import { signal } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from './device.ts';

/** How bright the screen is. `system` follows the device. */
export const APPEARANCES = ['system', 'dark', 'daylight', 'night'] as const;

export type Appearance = (typeof APPEARANCES)[number];

const KEY = 'plumbline.appearance';

export const appearance = signal<Appearance>(readNote(localNotes, KEY, z.enum(APPEARANCES)) ?? 'system');

/** Chooses an appearance and keeps it on this device. */
export function chooseAppearance(chosen: Appearance): void {
  appearance.value = chosen;
  writeNote(localNotes, KEY, chosen);
}

/** The attribute of the root element that the stylesheet reads: `system` leaves it to the media queries. */
export function showAppearance(root: HTMLElement, chosen: Appearance): void {
  if (chosen === 'system') root.removeAttribute('data-appearance');
  else root.setAttribute('data-appearance', chosen);
}
