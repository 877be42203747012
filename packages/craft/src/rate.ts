import { CraftError, requireInteger, requirePositive } from './errors.ts';

/** A frame rate as an exact fraction in lowest terms: 23.976 is 24000/1001. */
export interface FrameRate {
  readonly num: number;
  readonly den: number;
}

/** The frame rates that pictures are made at, as exact fractions. */
export const FRAME_RATES = {
  '23.976': { num: 24000, den: 1001 },
  '24': { num: 24, den: 1 },
  '25': { num: 25, den: 1 },
  '29.97': { num: 30000, den: 1001 },
  '30': { num: 30, den: 1 },
  '47.952': { num: 48000, den: 1001 },
  '48': { num: 48, den: 1 },
  '50': { num: 50, den: 1 },
  '59.94': { num: 60000, den: 1001 },
  '60': { num: 60, den: 1 },
  '100': { num: 100, den: 1 },
  '119.88': { num: 120000, den: 1001 },
  '120': { num: 120, den: 1 },
} as const satisfies Record<string, FrameRate>;

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

/**
 * A frame rate from a fraction, reduced to lowest terms.
 *
 * @param num numerator, whole, 1 or above
 * @param den denominator, whole, 1 or above
 * @unit frame/s
 * @source exact rationals; SMPTE ST 12-1 for the 1000/1001 families
 * @throws CraftError when one of them is not a whole number above 0
 */
export function frameRate(num: number, den = 1): FrameRate {
  requireInteger('num', num, 1);
  requireInteger('den', den, 1);
  const divisor = gcd(num, den);
  return { num: num / divisor, den: den / divisor };
}

/**
 * Reads a frame rate as it is written, and gives the exact fraction that is meant.
 *
 * @param text `25`, `23.976`, `23.98`, `29.97`, `24000/1001`, `12.5`
 * @unit frame/s
 * @formula a decimal that is n · 1000/1001 rounded to its own places (two or more) means that fraction
 * @source SMPTE ST 12-1 for the 1000/1001 families
 * @throws CraftError when it cannot be read or is not above 0
 */
export function parseFrameRate(text: string): FrameRate {
  const match = /^\s*(\d{1,9})(?:\.(\d{1,6})|\s*\/\s*(\d{1,9}))?\s*(?:fps|p)?\s*$/.exec(text);
  if (!match) {
    throw new CraftError('frame rate', text, 'written as 25, 23.976 or 24000/1001');
  }
  const [, whole = '', decimals = '', denominator] = match;
  if (denominator !== undefined) {
    return frameRate(Number(whole), Number(denominator));
  }
  if (decimals === '') {
    return frameRate(Number(whole));
  }
  const value = Number(`${whole}.${decimals}`);
  const nominal = Math.ceil(value);
  const isFamily =
    decimals.length >= 2 &&
    ((nominal * 1000) / 1001).toFixed(decimals.length) === `${Number(whole)}.${decimals}`;
  if (isFamily) {
    return frameRate(nominal * 1000, 1001);
  }
  const scale = 10 ** decimals.length;
  return frameRate(Math.round(value * scale), scale);
}

/**
 * Writes a frame rate the way people say it: `25`, `23.976`, `29.97`, `12.5`.
 *
 * @param rate frame rate
 * @unit text
 * @formula num / den to three decimals, trailing zeros dropped
 * @source common practice, no source
 * @throws CraftError when the rate is no fraction above 0
 */
export function formatFrameRate(rate: FrameRate): string {
  return String(Number(framesPerSecond(rate).toFixed(3)));
}

/**
 * A frame rate as a number. Count frames with the fraction, not with this.
 *
 * @param rate frame rate
 * @unit frame/s
 * @formula num / den
 * @source definition
 * @throws CraftError when the rate is no fraction above 0
 */
export function framesPerSecond(rate: FrameRate): number {
  return requireInteger('frameRate.num', rate.num, 1) / requireInteger('frameRate.den', rate.den, 1);
}

/**
 * Time from one frame to the next.
 *
 * @param rate frame rate
 * @unit s
 * @formula den / num
 * @source definition
 * @throws CraftError when the rate is no fraction above 0
 */
export function frameSeconds(rate: FrameRate): number {
  return requireInteger('frameRate.den', rate.den, 1) / requireInteger('frameRate.num', rate.num, 1);
}

/**
 * Frames a clock of this rate counts as one second: 24 for 23.976, 30 for 29.97.
 *
 * @param rate frame rate
 * @unit frame
 * @formula ⌈num / den⌉, at least 1
 * @source SMPTE ST 12-1
 * @throws CraftError when the rate is no fraction above 0
 */
export function nominalFramesPerSecond(rate: FrameRate): number {
  return Math.max(1, Math.ceil(framesPerSecond(rate) - 1e-9));
}

/**
 * Are two rates the same fraction?
 *
 * @param a one rate
 * @param b the other
 * @unit yes or no
 * @formula a.num · b.den = b.num · a.den
 * @source exact rationals
 */
export function sameFrameRate(a: FrameRate, b: FrameRate): boolean {
  return a.num * b.den === b.num * a.den;
}

/**
 * Do two rates differ only by 1000/1001 (24 and 23.976, 30 and 29.97)?
 *
 * @param a one rate
 * @param b the other
 * @unit yes or no
 * @formula equal nominal rate, different fraction
 * @source SMPTE ST 12-1
 * @throws CraftError when a rate is no fraction above 0
 */
export function differByPull(a: FrameRate, b: FrameRate): boolean {
  const [slow, fast] = framesPerSecond(a) < framesPerSecond(b) ? [a, b] : [b, a];
  return slow.num * 1001 * fast.den === fast.num * 1000 * slow.den;
}

/**
 * The fraction behind a frame rate that came as a bare number, such as 23.976 out of a file.
 *
 * @param fps frames in a second
 * @unit frame/s
 * @formula whole numbers stay; a number within 0.005 of n · 1000/1001 becomes that; others are taken to a thousandth
 * @source SMPTE ST 12-1 for the 1000/1001 families
 * @throws CraftError when it is not above 0
 */
export function frameRateFromNumber(fps: number): FrameRate {
  requirePositive('fps', fps);
  if (Number.isInteger(fps)) {
    return frameRate(fps);
  }
  const nominal = Math.ceil(fps);
  if (Math.abs((nominal * 1000) / 1001 - fps) < 0.005) {
    return frameRate(nominal * 1000, 1001);
  }
  return frameRate(Math.max(1, Math.round(fps * 1000)), 1000);
}
