import {
  addFrames,
  CraftError,
  formatFrameRate,
  framesBetween,
  framesFromSeconds,
  framesPerDay,
  parseFrameRate,
  sameFrameRate,
  type TimecodeFormat,
  timecodeFromFrames,
} from '@plumbline/craft';
import type { Json } from '@plumbline/replica';
import type { ShootReader } from '../tables/index.ts';
import { sameCoding } from './codecs.ts';
import { LENGTH_TOLERANCE_PART, LENGTH_TOLERANCE_SECONDS, lengthTolerance } from './evidence.ts';
import { type Expected, expectedOf } from './expected.ts';
import { nameKey, type RecordedFile, stemOf } from './model.ts';
import { clipKeys, type Slot } from './slots.ts';

/** What can differ between a file and the board. */
export const DIFFERENCE_FIELDS = [
  'frameRate',
  'raster',
  'scan',
  'codec',
  'chroma',
  'bitDepth',
  'bitRate',
  'duration',
  'timecodeRate',
  'dropFrame',
  'timecodeIn',
  'timecodeOut',
  'channels',
  'sampleRate',
  'soundBitDepth',
  'clip',
] as const;
export type DifferenceField = (typeof DIFFERENCE_FIELDS)[number];

/** One thing in which a file and the board do not agree. */
export interface Difference {
  readonly field: DifferenceField;
  readonly label: string;
  /** In words with units; `null` where the board does not say. */
  readonly board: string | null;
  readonly file: string;
  /** How much may differ before it is said. */
  readonly tolerance: string;
  /** For what can be written into the take itself: its field and the file's value. */
  readonly take: { readonly field: 'clip' | 'timecodeIn' | 'timecodeOut'; readonly value: Json } | null;
  /** Whose word was taken; `null` while that is open. */
  readonly settled: 'file' | 'board' | null;
}

type Unsettled = Omit<Difference, 'settled'>;

const EXACT = 'none';
const TIMECODE_TOLERANCE_FRAMES = 1;
/** Of the bit rate: cameras write variable rates around the one that is set. Common practice, no source. */
const BIT_RATE_TOLERANCE_PART = 0.3;
/** A mix may be recorded in front of the tracks. Common practice, no source. */
const MIX_CHANNELS = 2;

function difference(
  field: DifferenceField,
  label: string,
  board: string | null,
  file: string,
  tolerance: string = EXACT,
  take: Unsettled['take'] = null,
): Unsettled {
  return { field, label, board, file, tolerance, take };
}

const seconds = (value: number): string => `${Number(value.toFixed(2))} s`;
const chromaWords = (value: string): string => value.split('').join(':');

function rates(board: string | undefined, file: string | undefined): boolean | null {
  if (board === undefined || file === undefined) return null;
  try {
    return sameFrameRate(parseFrameRate(board), parseFrameRate(file));
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}

function pictureDifferences(expected: Expected, { facts }: RecordedFile): Unsettled[] {
  if (!facts) return [];
  const found: Unsettled[] = [];
  const { frameRate, raster, scan, codec, chroma, bitDepth, bitRateMbps } = expected;
  if (rates(frameRate, facts.frameRateExact) === false) {
    found.push(difference('frameRate', 'Frame rate', `${frameRate} frames/s`, `${facts.frameRate} frames/s`));
  }
  if (raster !== undefined && facts.widthPx !== undefined && facts.heightPx !== undefined) {
    const own = `${facts.widthPx}x${facts.heightPx}`;
    if (own !== raster) {
      found.push(
        difference('raster', 'Raster', `${raster.replace('x', ' × ')} px`, `${own.replace('x', ' × ')} px`),
      );
    }
  }
  if (scan !== undefined && facts.scan !== undefined && scan !== facts.scan) {
    found.push(difference('scan', 'Scan', scan, facts.scan));
  }
  if (codec !== undefined && facts.codec !== undefined && sameCoding(codec, facts.codec) === false) {
    found.push(difference('codec', 'Codec', codec, facts.codec, 'other names of the same coding'));
  }
  if (chroma !== undefined && facts.chroma !== undefined && chroma !== facts.chroma) {
    found.push(difference('chroma', 'Chroma sampling', chromaWords(chroma), chromaWords(facts.chroma)));
  }
  if (bitDepth !== undefined && facts.bitDepth !== undefined && bitDepth !== facts.bitDepth) {
    found.push(difference('bitDepth', 'Bit depth', `${bitDepth} bit`, `${facts.bitDepth} bit`));
  }
  // A recording of a second or two has no rate to speak of: the last picture weighs as much as the first.
  const isLong = (facts.durationSeconds ?? 0) >= 2;
  if (isLong && bitRateMbps !== undefined && facts.bitRateMbps !== undefined) {
    if (Math.abs(facts.bitRateMbps / bitRateMbps - 1) > BIT_RATE_TOLERANCE_PART) {
      const tolerance = `${BIT_RATE_TOLERANCE_PART * 100} %`;
      found.push(
        difference('bitRate', 'Bit rate', `${bitRateMbps} Mbit/s`, `${facts.bitRateMbps} Mbit/s`, tolerance),
      );
    }
  }
  return found;
}

function soundDifferences(expected: Expected, { facts }: RecordedFile): Unsettled[] {
  const found: Unsettled[] = [];
  const { channels, sampleRateHz, bitDepth } = facts?.audio ?? {};
  if (
    expected.sampleRateHz !== undefined &&
    sampleRateHz !== undefined &&
    expected.sampleRateHz !== sampleRateHz
  ) {
    found.push(difference('sampleRate', 'Sample rate', `${expected.sampleRateHz} Hz`, `${sampleRateHz} Hz`));
  }
  if (expected.soundBitDepth !== undefined && bitDepth !== undefined && expected.soundBitDepth !== bitDepth) {
    found.push(
      difference(
        'soundBitDepth',
        'Bit depth of the sound',
        `${expected.soundBitDepth} bit`,
        `${bitDepth} bit`,
      ),
    );
  }
  const few = expected.channels ?? expected.channelsOfRecorder;
  if (few !== undefined && channels !== undefined) {
    const fits =
      (channels >= few && channels <= few + MIX_CHANNELS) || channels === expected.channelsOfRecorder;
    if (!fits) {
      const tolerance = `a mix of up to ${MIX_CHANNELS} more, or all that the recorder has`;
      found.push(difference('channels', 'Channels', String(few), String(channels), tolerance));
    }
  }
  return found;
}

function durationDifference({ durationSeconds }: Expected, { facts }: RecordedFile): Unsettled[] {
  const own = facts?.durationSeconds;
  if (durationSeconds === undefined || own === undefined) return [];
  if (Math.abs(own - durationSeconds) <= lengthTolerance(durationSeconds)) return [];
  const tolerance = `${LENGTH_TOLERANCE_SECONDS} s, or ${LENGTH_TOLERANCE_PART * 100} % of the take`;
  return [difference('duration', 'Duration', seconds(durationSeconds), seconds(own), tolerance)];
}

/** Labels of a file: its own or, for sound that does not say a rate, counted at the rate that the board says. */
function labelsOf({ facts }: RecordedFile, expected: Expected) {
  if (!facts) return null;
  const { timecodeIn, timecodeOut, timecodeRate, dropFrame, startSamples, audio, durationSeconds } = facts;
  try {
    if (timecodeIn !== undefined && timecodeRate !== undefined) {
      const format: TimecodeFormat = { rate: parseFrameRate(timecodeRate), dropFrame: dropFrame ?? false };
      return { format, timecodeIn, timecodeOut };
    }
    if (
      startSamples === undefined ||
      audio?.sampleRateHz === undefined ||
      expected.timecodeRate === undefined
    ) {
      return null;
    }
    const format = { rate: parseFrameRate(expected.timecodeRate), dropFrame: expected.dropFrame ?? false };
    const first = framesFromSeconds(startSamples / audio.sampleRateHz, format.rate);
    const label = timecodeFromFrames(first, format);
    const length = durationSeconds === undefined ? null : framesFromSeconds(durationSeconds, format.rate);
    return {
      format,
      timecodeIn: label,
      timecodeOut: length === null ? undefined : addFrames(label, length, format),
    };
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}

/** Whether a label of the board is the file's, within a frame; a label that the file's rate has not is another. */
function sameLabel(board: string, file: string, format: TimecodeFormat): boolean {
  try {
    const apart = framesBetween(board, file, format);
    return Math.min(apart, framesPerDay(format) - apart) <= TIMECODE_TOLERANCE_FRAMES;
  } catch (error) {
    if (error instanceof CraftError) return board === file;
    throw error;
  }
}

function timecodeDifferences(expected: Expected, file: RecordedFile): Unsettled[] {
  const found: Unsettled[] = [];
  const { facts } = file;
  if (rates(expected.timecodeRate, facts?.timecodeRate) === false) {
    const own = formatFrameRate(parseFrameRate(facts?.timecodeRate ?? '1'));
    found.push(
      difference('timecodeRate', 'Timecode rate', `${expected.timecodeRate} frames/s`, `${own} frames/s`),
    );
  }
  const { dropFrame } = facts ?? {};
  if (expected.dropFrame !== undefined && dropFrame !== undefined && expected.dropFrame !== dropFrame) {
    const words = (drop: boolean) => (drop ? 'drop-frame' : 'non-drop');
    found.push(difference('dropFrame', 'Drop-frame', words(expected.dropFrame), words(dropFrame)));
  }
  const labels = labelsOf(file, expected);
  if (!labels) return found;
  const tolerance = `${TIMECODE_TOLERANCE_FRAMES} frame`;
  for (const [field, label] of [
    ['timecodeIn', 'Timecode in'],
    ['timecodeOut', 'Timecode out'],
  ] as const) {
    const own = labels[field];
    const board = expected[field];
    if (own === undefined || (board !== undefined && sameLabel(board, own, labels.format))) continue;
    // A recorder is rolled before the camera and cut after it: the take's labels are the picture's.
    if (file.kind === 'sound' && board !== undefined) continue;
    found.push(difference(field, label, board ?? null, own, tolerance, { field, value: own }));
  }
  return found;
}

function clipDifference({ clip }: Expected, { take }: Slot, { name }: RecordedFile): Unsettled[] {
  const own = stemOf(name);
  const said = clipKeys(clip);
  if (said.includes(nameKey(own)) || own.length > 60) return [];
  const cameras = Object.keys(take.view.asShotPicture ?? {}).filter((camera) => camera !== 'leftOut');
  // One name for two cameras says nothing of the other.
  const board = said.length === 0 || said.length < cameras.length ? null : (clip ?? null);
  return [
    difference('clip', 'Clip', board, own, 'spaces, signs and the ending', { field: 'clip', value: own }),
  ];
}

/**
 * Where a file differs from what the board says of its slot, what the board leaves open included (`board: null`) where
 * the take itself can take it in.
 *
 * @param settled whose word was taken before, by field
 */
export function differencesOf(
  reader: ShootReader,
  slot: Slot,
  file: RecordedFile,
  settled: Readonly<Record<string, 'file' | 'board'>> = {},
): Difference[] {
  if (!file.facts) return [];
  const expected = expectedOf(reader, slot);
  const found = [
    ...(file.kind === 'picture' ? pictureDifferences(expected, file) : []),
    ...durationDifference(expected, file),
    ...timecodeDifferences(expected, file),
    ...soundDifferences(expected, file),
    ...(slot.table === 'cameras' ? clipDifference(expected, slot, file) : []),
  ];
  return found.map((each) => ({ ...each, settled: settled[each.field] ?? null }));
}

/** Whether a difference is one, open, and not merely what the board leaves open. */
export function isOpenDifference({ board, settled }: Difference): boolean {
  return board !== null && settled === null;
}
