import type { Change } from '@plumbline/replica';
import { sentence } from '@plumbline/shared';
import type { Desk } from '../../board/desk.ts';

/** What belongs to one setup alone: how it was lit and read, where the camera stood, what was remarked. */
const NOT_COPIED: ReadonlySet<string> = new Set([
  'keyLux',
  'fillLux',
  'meteredAt',
  'whiteBalancedAt',
  'focalLengthMm',
  'focusDistanceM',
  'lensHeightM',
  'bearingDeg',
  'support',
  'note',
]);

/** Copies a camera's settings from one setup to another, readings and lens apart. One edit, taken back as one. */
export function copyPicture(desk: Desk, from: string, to: string, label: string): void {
  const changes: Change[] = [];
  for (const [field, [value]] of desk.live.replica.shown.fields('picture', from)) {
    if (value === null || NOT_COPIED.has(field)) continue;
    changes.push({ table: 'picture', record: to, field, value });
  }
  desk.set(sentence`Copied from ${label}`, changes);
}
