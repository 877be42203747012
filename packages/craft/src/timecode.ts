import { CraftError, requireInteger } from './errors.ts';
import { type FrameRate, framesPerSecond, nominalFramesPerSecond } from './rate.ts';

/** How labels are counted. */
export interface TimecodeFormat {
  /** Frames that pass in a second. */
  readonly rate: FrameRate;
  /** Skip labels so that 29.97 and its multiples keep step with the clock. */
  readonly dropFrame: boolean;
}

/** A label in its four fields. */
export interface TimecodeFields {
  readonly hours: number;
  readonly minutes: number;
  readonly seconds: number;
  readonly frames: number;
}

/** Labels that drop-frame skips in an hour at 29.97: two a minute, six minutes excepted. */
export const DROPPED_LABELS_PER_HOUR_2997 = 108;

const SECONDS_PER_DAY = 86_400;

/**
 * Frame labels that drop-frame skips at the start of a minute: 2 at 29.97, 4 at 59.94, 8 at 119.88, none without it.
 *
 * @param format rate and drop-frame
 * @unit label
 * @formula 2 · nominal / 30
 * @source SMPTE ST 12-1 (29.97) and ST 12-3 (59.94 and above)
 * @throws CraftError when drop-frame is asked of a rate that has none
 */
export function droppedPerMinute(format: TimecodeFormat): number {
  const nominal = nominalFramesPerSecond(format.rate);
  if (!format.dropFrame) {
    return 0;
  }
  if (nominal % 30 !== 0 || format.rate.num * 1001 !== nominal * 1000 * format.rate.den) {
    throw new CraftError(
      'dropFrame',
      true,
      'false at this rate: only 29.97, 59.94 and 119.88 have drop-frame',
    );
  }
  return (2 * nominal) / 30;
}

/**
 * Labels in 24 hours, and so the count at which a label comes round.
 *
 * @param format rate and drop-frame
 * @unit frame
 * @formula 86 400 · nominal − dropped · (1440 − 144)
 * @source SMPTE ST 12-1
 * @throws CraftError when drop-frame is asked of a rate that has none
 */
export function framesPerDay(format: TimecodeFormat): number {
  return SECONDS_PER_DAY * nominalFramesPerSecond(format.rate) - droppedPerMinute(format) * (1440 - 144);
}

/**
 * Does such a label exist?
 *
 * @param fields hours, minutes, seconds, frames
 * @param format rate and drop-frame
 * @unit yes or no
 * @formula fields in range, and not one of the first labels of a minute that is no multiple of ten in drop-frame
 * @source SMPTE ST 12-1
 * @throws CraftError when drop-frame is asked of a rate that has none
 */
export function timecodeExists(fields: TimecodeFields, format: TimecodeFormat): boolean {
  const { hours, minutes, seconds, frames } = fields;
  const inRange = (value: number, below: number) => Number.isInteger(value) && value >= 0 && value < below;
  const isSkipped = minutes % 10 !== 0 && seconds === 0 && frames < droppedPerMinute(format);
  return (
    inRange(hours, 24) &&
    inRange(minutes, 60) &&
    inRange(seconds, 60) &&
    inRange(frames, nominalFramesPerSecond(format.rate)) &&
    !isSkipped
  );
}

/**
 * Reads the four fields of a label, whatever stands before the frames (`:`, `;`, `.` or `,`).
 *
 * @param label `10:00:00:00` or `10:00:00;02`
 * @unit hours, minutes, seconds, frames
 * @source SMPTE ST 12-1
 * @throws CraftError when it is not written like a label
 */
export function parseTimecode(label: string): TimecodeFields {
  const match = /^\s*(\d{1,2}):(\d{1,2})[:;](\d{1,2})[:;.,](\d{1,3})\s*$/.exec(label);
  if (!match) {
    throw new CraftError('timecode', label, 'written as HH:MM:SS:FF or HH:MM:SS;FF');
  }
  const [, hours, minutes, seconds, frames] = match;
  return { hours: Number(hours), minutes: Number(minutes), seconds: Number(seconds), frames: Number(frames) };
}

/**
 * Is this the written form of a label that exists?
 *
 * @param label `10:00:00:00` or `10:00:00;02`
 * @param format rate and drop-frame
 * @unit yes or no
 * @source SMPTE ST 12-1
 * @throws CraftError when drop-frame is asked of a rate that has none
 */
export function isTimecode(label: string, format: TimecodeFormat): boolean {
  let fields: TimecodeFields;
  try {
    fields = parseTimecode(label);
  } catch (error) {
    if (error instanceof CraftError) {
      return false;
    }
    throw error;
  }
  return timecodeExists(fields, format);
}

/**
 * Writes a label; a semicolon before the frames says drop-frame.
 *
 * @param fields hours, minutes, seconds, frames
 * @param format rate and drop-frame
 * @unit text
 * @source SMPTE ST 12-1
 * @throws CraftError when there is no such label
 */
export function formatTimecode(fields: TimecodeFields, format: TimecodeFormat): string {
  const two = (value: number) => String(value).padStart(2, '0');
  const width = nominalFramesPerSecond(format.rate) > 100 ? 3 : 2;
  const label = `${two(fields.hours)}:${two(fields.minutes)}:${two(fields.seconds)}${format.dropFrame ? ';' : ':'}${String(fields.frames).padStart(width, '0')}`;
  if (!timecodeExists(fields, format)) {
    throw new CraftError('timecode', label, `a label that exists at ${rateInWords(format)}`);
  }
  return label;
}

function rateInWords(format: TimecodeFormat): string {
  const rate = Number(framesPerSecond(format.rate).toFixed(3));
  return format.dropFrame ? `${rate} drop-frame` : `${rate}`;
}

/**
 * Frames since the label 00:00:00:00.
 *
 * @param label written label, or its fields
 * @param format rate and drop-frame
 * @unit frame
 * @formula (3600h + 60m + s) · nominal + f − dropped · (minutes − ⌊minutes / 10⌋)
 * @source SMPTE ST 12-1
 * @throws CraftError when there is no such label
 */
export function framesFromTimecode(label: string | TimecodeFields, format: TimecodeFormat): number {
  const fields = typeof label === 'string' ? parseTimecode(label) : label;
  if (!timecodeExists(fields, format)) {
    const written = typeof label === 'string' ? label : JSON.stringify(fields);
    throw new CraftError('timecode', written, `a label that exists at ${rateInWords(format)}`);
  }
  const minutes = fields.hours * 60 + fields.minutes;
  const nominal = nominalFramesPerSecond(format.rate);
  const skipped = droppedPerMinute(format) * (minutes - Math.floor(minutes / 10));
  return (minutes * 60 + fields.seconds) * nominal + fields.frames - skipped;
}

/**
 * Fields of the label a number of frames after 00:00:00:00. Comes round after 24 hours of labels, both ways.
 *
 * @param frames frames, whole, may be negative
 * @param format rate and drop-frame
 * @unit hours, minutes, seconds, frames
 * @formula frames put back in at each minute that skipped them, then divided by nominal, 60, 60
 * @source SMPTE ST 12-1
 * @throws CraftError when frames is not whole
 */
export function timecodeFieldsFromFrames(frames: number, format: TimecodeFormat): TimecodeFields {
  const day = framesPerDay(format);
  const inDay = ((requireInteger('frames', frames) % day) + day) % day;
  const nominal = nominalFramesPerSecond(format.rate);
  const count = inDay + skippedBefore(inDay, format);
  const seconds = Math.floor(count / nominal);
  return {
    hours: Math.floor(seconds / 3600),
    minutes: Math.floor(seconds / 60) % 60,
    seconds: seconds % 60,
    frames: count % nominal,
  };
}

/** Labels that drop-frame skipped before a frame of the day. */
function skippedBefore(frame: number, format: TimecodeFormat): number {
  const dropped = droppedPerMinute(format);
  if (dropped === 0) {
    return 0;
  }
  const perMinute = nominalFramesPerSecond(format.rate) * 60 - dropped;
  const perTenMinutes = perMinute * 10 + dropped;
  const tens = Math.floor(frame / perTenMinutes);
  const rest = frame % perTenMinutes;
  // The first minute of each ten keeps all its labels, so it is longer by those that the others skip.
  const minutes = Math.max(0, Math.floor((rest - dropped) / perMinute));
  return dropped * (9 * tens + minutes);
}

/**
 * Label a number of frames after 00:00:00:00.
 *
 * @param frames frames, whole, may be negative
 * @param format rate and drop-frame
 * @unit text
 * @source SMPTE ST 12-1
 * @throws CraftError when frames is not whole
 */
export function timecodeFromFrames(frames: number, format: TimecodeFormat): string {
  return formatTimecode(timecodeFieldsFromFrames(frames, format), format);
}

/**
 * Label some frames after (or before) another. Comes round after 24 hours of labels.
 *
 * @param label written label
 * @param frames frames to add, whole, may be negative
 * @param format rate and drop-frame
 * @unit text
 * @source SMPTE ST 12-1
 * @throws CraftError when there is no such label or frames is not whole
 */
export function addFrames(label: string, frames: number, format: TimecodeFormat): string {
  return timecodeFromFrames(framesFromTimecode(label, format) + requireInteger('frames', frames), format);
}

/**
 * Frames from one label to another; the second is not counted. A later label that is smaller lies past midnight.
 *
 * @param from label in
 * @param to label out
 * @param format rate and drop-frame
 * @unit frame
 * @formula (out − in) mod one day
 * @source SMPTE ST 12-1
 * @throws CraftError when a label does not exist
 */
export function framesBetween(from: string, to: string, format: TimecodeFormat): number {
  const day = framesPerDay(format);
  return (framesFromTimecode(to, format) - framesFromTimecode(from, format) + day) % day;
}
