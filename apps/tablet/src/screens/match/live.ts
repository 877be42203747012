import { followMatch, type LiveMatch, type MatchFilter, NO_FILTER } from '@plumbline/shared/match';
import type { Findings } from '@plumbline/shared/rules';
import { signal } from '@preact/signals';
import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from '../../app/device.ts';

const followed = new WeakMap<Findings, LiveMatch>();

/** The match picture of a board as it changes. What was worked out once stays, so that the screen opens again at once. */
export function matchOf(findings: Findings): LiveMatch {
  const known = followed.get(findings) ?? followMatch(findings);
  followed.set(findings, known);
  return known;
}

const KEY = 'plumbline.match';

const noteSchema = z.object({
  department: z.nullable(z.enum(['camera', 'sound'])),
  camera: z.nullable(z.string()),
  asTable: z.boolean(),
});

/** How this device shows the match. */
export interface Shown {
  readonly filter: MatchFilter;
  /** In words instead of lines. */
  readonly asTable: boolean;
}

function remembered(): Shown {
  const note = readNote(localNotes, KEY, noteSchema);
  if (!note) return { filter: NO_FILTER, asTable: false };
  return { filter: { department: note.department, camera: note.camera }, asTable: note.asTable };
}

const current = signal<Shown>(remembered());

export const shown = current;

/** Shows the match in another way and keeps that on this device. */
export function show(now: Shown): void {
  current.value = now;
  writeNote(localNotes, KEY, { ...now.filter, asTable: now.asTable });
}
