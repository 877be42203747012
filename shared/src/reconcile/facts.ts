import * as z from 'zod/mini';
import { between, CHROMA_SAMPLINGS, momentSchema, SCANS, shortText, wholeBetween } from '../tables/index.ts';

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
