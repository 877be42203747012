import { CraftError, requireFinite, requireNotNegative } from './errors.ts';
import { type FrameRate, framesPerSecond, nominalFramesPerSecond } from './rate.ts';
import {
  droppedPerMinute,
  formatTimecode,
  framesPerDay,
  type TimecodeFormat,
  timecodeExists,
  timecodeFromFrames,
} from './timecode.ts';

/** Bits that linear time code spends on a frame (SMPTE ST 12-1). */
export const LTC_BITS_PER_FRAME = 80;

const SECONDS_PER_DAY = 86_400;
/** Part of a frame that a product of decimal seconds and an exact rate may miss a whole frame by. */
const FRAME_ROUNDING = 1e-6;

/**
 * Real time that a number of frames takes.
 *
 * @param frames frames
 * @param rate frame rate
 * @unit s
 * @formula s = frames · den / num
 * @source exact rationals
 * @note An hour of 29.97 non-drop labels takes 3603.6 s, an hour of drop-frame ones 3599.9964 s.
 * @throws CraftError when frames is not finite
 */
export function secondsFromFrames(frames: number, rate: FrameRate): number {
  framesPerSecond(rate);
  return (requireFinite('frames', frames) * rate.den) / rate.num;
}

/**
 * Whole frames that pass in a real time.
 *
 * @param seconds real time, s; 0 or above
 * @param rate frame rate
 * @unit frame
 * @formula ⌊s · num / den⌋
 * @source exact rationals
 * @throws CraftError when seconds is negative
 */
export function framesFromSeconds(seconds: number, rate: FrameRate): number {
  framesPerSecond(rate);
  return Math.floor((requireNotNegative('seconds', seconds) * rate.num) / rate.den + FRAME_ROUNDING);
}

/**
 * Label of a clock that was set to 00:00:00:00 at midnight and ran at the exact rate: what a recorder shows that is
 * jammed to the time of day.
 *
 * @param secondsSinceMidnight local time of day, s, 0 or above
 * @param format rate and drop-frame
 * @unit text
 * @formula label of ⌊s · num / den⌋
 * @source SMPTE ST 12-1
 * @throws CraftError when the time is negative
 */
export function timecodeFromElapsed(secondsSinceMidnight: number, format: TimecodeFormat): string {
  return timecodeFromFrames(framesFromSeconds(secondsSinceMidnight, format.rate), format);
}

/**
 * Label that reads like a time of day: the hours, minutes and seconds of the clock and the frame within the second.
 * This is how a clock is set by hand; at 23.976 and non-drop 29.97 it falls behind from then on.
 *
 * @param secondsSinceMidnight local time of day, s, 0 up to 86 400
 * @param format rate and drop-frame
 * @unit text; a label that drop-frame skips moves to the next that exists
 * @formula ⌊fraction of the second · nominal⌋ frames
 * @source SMPTE ST 12-1
 * @throws CraftError when the time is not within the day
 */
export function timecodeFromTimeOfDay(secondsSinceMidnight: number, format: TimecodeFormat): string {
  const time = requireNotNegative('secondsSinceMidnight', secondsSinceMidnight);
  if (time >= SECONDS_PER_DAY) {
    throw new CraftError('secondsSinceMidnight', time, 'below 86400');
  }
  const nominal = nominalFramesPerSecond(format.rate);
  const count = Math.min(Math.floor(time * nominal + FRAME_ROUNDING), SECONDS_PER_DAY * nominal - 1);
  const whole = Math.floor(count / nominal);
  const fields = {
    hours: Math.floor(whole / 3600),
    minutes: Math.floor(whole / 60) % 60,
    seconds: whole % 60,
    frames: count % nominal,
  };
  if (timecodeExists(fields, format)) {
    return formatTimecode(fields, format);
  }
  return formatTimecode({ ...fields, frames: droppedPerMinute(format) }, format);
}

/**
 * How far 24 hours of labels fall short of (or outlast) 24 hours of the clock.
 *
 * @param format rate and drop-frame
 * @unit s; positive when the labels come round before the clock does
 * @formula 86 400 − frames in 24 h · den / num
 * @source SMPTE ST 12-1
 * @throws CraftError when drop-frame is asked of a rate that has none
 */
export function labelsAheadOfClockSeconds(format: TimecodeFormat): number {
  return SECONDS_PER_DAY - secondsFromFrames(framesPerDay(format), format.rate);
}

/** How far two clocks have run apart. */
export interface ClockDrift {
  readonly seconds: number;
  readonly frames: number;
}

/**
 * How far two free-running clocks run apart.
 *
 * @param partsPerMillion difference of their rates, ppm
 * @param elapsedSeconds time since they agreed, s; 0 or above
 * @param rate frame rate
 * @unit s and frames
 * @formula drift = ppm · 10⁻⁶ · elapsed
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function clockDrift(partsPerMillion: number, elapsedSeconds: number, rate: FrameRate): ClockDrift {
  const seconds =
    requireFinite('partsPerMillion', partsPerMillion) *
    1e-6 *
    requireNotNegative('elapsedSeconds', elapsedSeconds);
  return { seconds, frames: seconds * framesPerSecond(rate) };
}

/**
 * Frames that two free-running clocks run apart in an hour.
 *
 * @param partsPerMillion difference of their rates, ppm
 * @param rate frame rate
 * @unit frame/h
 * @formula ppm · 10⁻⁶ · 3600 · fps
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function driftFramesPerHour(partsPerMillion: number, rate: FrameRate): number {
  return clockDrift(partsPerMillion, 3600, rate).frames;
}

/**
 * Bit rate of linear time code.
 *
 * @param rate frame rate
 * @unit bit/s
 * @formula 80 · fps
 * @constants 80 bit in a frame
 * @source SMPTE ST 12-1
 * @throws CraftError when the rate is no fraction above 0
 */
export function ltcBitRate(rate: FrameRate): number {
  framesPerSecond(rate);
  return (LTC_BITS_PER_FRAME * rate.num) / rate.den;
}
