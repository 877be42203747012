import { namePart, type RightQuestion } from '@plumbline/replica';
import * as z from 'zod/mini';
import { signature } from './department.ts';
import {
  between,
  choice,
  field,
  moment,
  momentSchema,
  number,
  reference,
  retired,
  shortText,
  table,
  text,
  wholeBetween,
} from './field.ts';
import { CHECKSUMS, checksumSchema } from './media.ts';
import { CHROMA_SAMPLINGS, SCANS } from './picture.ts';

const all = ['director', 'camera', 'sound'] as const;

/** What a recorded file holds. */
export const RECORDING_KINDS = [
  { value: 'picture', label: 'Picture' },
  { value: 'sound', label: 'Sound' },
  { value: 'other', label: 'Neither' },
] as const;

const count = (most: number) => wholeBetween(1, most);

/** What a recorded file says of itself. What it does not say is left out. */
export const recordingFactsSchema = z.strictObject(
  {
    /** The wrapper, such as `MPEG-4`, `MXF`, `Wave`. */
    container: z.exactOptional(shortText(40)),
    durationSeconds: z.exactOptional(between(0, 1_000_000)),
    /** As the board writes it: `23.976`. */
    frameRate: z.exactOptional(shortText(12)),
    /** As an exact fraction: `24000/1001`. */
    frameRateExact: z.exactOptional(shortText(16)),
    widthPx: z.exactOptional(count(100_000)),
    heightPx: z.exactOptional(count(100_000)),
    scan: z.exactOptional(
      z.enum(
        SCANS.map(({ value }) => value),
        'progressive or interlaced',
      ),
    ),
    codec: z.exactOptional(shortText(60)),
    chroma: z.exactOptional(
      z.enum(
        CHROMA_SAMPLINGS.map(({ value }) => value),
        '420, 422 or 444',
      ),
    ),
    bitDepth: z.exactOptional(count(64)),
    bitRateMbps: z.exactOptional(between(0, 1_000_000)),
    /** Label of the first frame, and of the frame after the last. */
    timecodeIn: z.exactOptional(shortText(14)),
    timecodeOut: z.exactOptional(shortText(14)),
    /** The rate that the labels count, exactly. */
    timecodeRate: z.exactOptional(shortText(16)),
    dropFrame: z.exactOptional(z.boolean('yes or no')),
    /** ms since 1970, where the file says it in UTC. */
    createdAt: z.exactOptional(momentSchema),
    /** Local date and time as the device wrote it, without a zone: `2027-05-14T09:12:00`. */
    createdOn: z.exactOptional(shortText(24)),
    /** The sound in it. */
    audio: z.exactOptional(
      z.strictObject(
        {
          channels: z.exactOptional(count(1000)),
          sampleRateHz: z.exactOptional(count(10_000_000)),
          bitDepth: z.exactOptional(count(64)),
        },
        'channels, sampleRateHz, bitDepth',
      ),
    ),
    /** Samples since midnight of the first. */
    startSamples: z.exactOptional(wholeBetween(0, Number.MAX_SAFE_INTEGER)),
    scene: z.exactOptional(shortText(60)),
    take: z.exactOptional(shortText(20)),
    soundRoll: z.exactOptional(shortText(60)),
    tracks: z.exactOptional(z.array(shortText(40), 'a list of names').check(z.maxLength(32, 'at most 32'))),
  },
  'what a recorded file says of itself',
);

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
    recordingFactsSchema,
    { kind: 'object' },
    {
      ...by,
      label: 'What the file says',
      help: 'Frame rate, raster, coding, length, timecode and sound of it.',
    },
  ),
  settled: field(
    z.record(z.string(), z.enum(['file', 'board'], 'file or board'), 'whose word counts, by field'),
    { kind: 'object' },
    {
      ...by,
      label: 'Whose word counts',
      help: 'Where file and board differ: the file’s word or the board’s.',
    },
  ),
  checksums: field(
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
