import { namePart, type RightQuestion } from '@plumbline/replica';
import * as z from 'zod/mini';
import { signature } from './department.ts';
import { choice, field, moment, number, reference, retired, table, text } from './field.ts';
import { CHECKSUMS, checksumSchema } from './media.ts';

const all = ['director', 'camera', 'sound'] as const;

/** What a recorded file holds. */
export const RECORDING_KINDS = [
  { value: 'picture', label: 'Picture' },
  { value: 'sound', label: 'Sound' },
  { value: 'other', label: 'Neither' },
] as const;

/** A record begins with the letter of what the file holds: `p` picture, `s` sound, `o` other. */
function ownKind({ role, record }: RightQuestion): string | null {
  const other = role === 'camera' ? 's' : role === 'sound' ? 'p' : null;
  return other !== null && record.startsWith(other) ? 'That file belongs to another department.' : null;
}

const by = { by: all, restrict: ownKind };

/**
 * The files that camera and recorder wrote, as they were found: what each says of itself, which take it is, and whose
 * word was taken where file and board differ. The record's name is a hash of the file's name and size.
 */
export const recordings = table('Recorded files', [namePart(/^[pso]-[0-9a-f]{16}$/)], {
  name: text({ ...by, label: 'File', help: 'Its name, without the folder.' }, 160),
  bytes: number(
    { ...by, label: 'Size', help: 'Of the file.', unit: 'bytes' },
    { min: 0, max: Number.MAX_SAFE_INTEGER, step: 1, whole: true },
  ),
  kind: choice(RECORDING_KINDS, { ...by, label: 'Kind', help: 'What it holds.' }),
  card: reference('cards', { ...by, label: 'Card', help: 'The card it was copied from.' }),
  take: reference('takes', { ...by, label: 'Take', help: 'The take that it is.' }),
  device: text({ ...by, label: 'Recorded by', help: 'The camera or recorder, by its letter or number.' }, 8),
  facts: field(
    () => z.record(z.string(), z.json(), 'facts by their names'),
    { kind: 'object' },
    {
      ...by,
      label: 'What the file says',
      help: 'Frame rate, raster, coding, length, timecode and sound.',
    },
  ),
  settled: field(
    () => z.record(z.string(), z.enum(['file', 'board'], 'file or board'), 'whose word counts, by field'),
    { kind: 'object' },
    {
      ...by,
      label: 'Whose word counts',
      help: 'Where file and board differ: the file’s word or the board’s.',
    },
  ),
  checksums: field(
    () =>
      z
        .array(checksumSchema, 'a list of checksums')
        .check(z.maxLength(CHECKSUMS.length, `at most ${CHECKSUMS.length} of them`)),
    { kind: 'object' },
    { ...by, label: 'Checksums', help: 'Of the whole file, as it was first read.' },
  ),
  noticedAt: moment({ ...by, label: 'Noticed', help: 'When it was read, on the base’s clock.' }),
  noticedBy: reference('people', {
    ...by,
    label: 'Noticed by',
    help: 'Who read it and settled what differs; left open, the base’s own command did.',
    signedBy: signature,
  }),
  retired: retired(all),
});
