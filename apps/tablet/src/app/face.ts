import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from './device.ts';

const KEY = 'plumbline.face';

/**
 * Fetches the typeface of the board. Until it is here, and where it cannot be had, the device's own is read: on a weak
 * line the board comes first.
 */
export async function fetchFace(): Promise<void> {
  await import('@fontsource-variable/atkinson-hyperlegible-next/index.css');
  writeNote(localNotes, KEY, true);
}

/** Whether it was fetched before, so that it is on this device and can be read from the first word on. */
export const hasFace = (): boolean => readNote(localNotes, KEY, z.boolean()) === true;
