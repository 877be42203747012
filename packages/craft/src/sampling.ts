import { CraftError, requireInteger, requirePositive, requireWithin } from './errors.ts';
import { type FrameRate, framesPerSecond } from './rate.ts';

/** Preferred sampling frequency of programme sound and the other common ones, Hz (AES5). */
export const SAMPLE_RATES_HZ = {
  preferred: 48_000,
  consumer: 44_100,
  doubled: 96_000,
  quadrupled: 192_000,
  speech: 32_000,
} as const;

/** Accuracy of a reference clock by its grade, parts per million (AES11, from memory). */
export const AES11_GRADE_PPM = { grade1: 1, grade2: 10 } as const;

/** Bits of one AES3 frame: two subframes of 32. */
export const AES3_BITS_PER_FRAME = 64;

/** Ratio by which 29.97 differs from 30. */
export const PULL_RATIO = { num: 1000, den: 1001 } as const;

/** Returns a sampling frequency that sound can be filtered at, 8 to 768 kHz, and throws `CraftError` for any other. */
export function requireSampleRate(sampleRateHz: number): number {
  return requireWithin('sampleRateHz', sampleRateHz, 8000, 768_000);
}

/**
 * Samples that pass in one frame.
 *
 * @param sampleRateHz sampling frequency, Hz
 * @param rate frame rate
 * @unit sample, often no whole number
 * @formula fs · den / num
 * @source AES11; Poynton, Digital Video and HDTV, p. 380
 * @note 48 kHz at 29.97 is 1601.6 samples: only every fifth frame starts with a sample.
 * @throws CraftError when a rate is not above 0
 */
export function samplesPerFrame(sampleRateHz: number, rate: FrameRate): number {
  framesPerSecond(rate);
  return (requirePositive('sampleRateHz', sampleRateHz) * rate.den) / rate.num;
}

/**
 * Samples from midnight to a frame.
 *
 * @param frames frames since 00:00:00:00
 * @param rate frame rate
 * @param sampleRateHz sampling frequency, Hz
 * @unit sample, may be no whole number
 * @formula frames · den · fs / num
 * @source exact rationals
 * @throws CraftError when frames is not whole
 */
export function samplesFromFrames(frames: number, rate: FrameRate, sampleRateHz: number): number {
  framesPerSecond(rate);
  return (
    (requireInteger('frames', frames) * rate.den * requirePositive('sampleRateHz', sampleRateHz)) / rate.num
  );
}

/**
 * Frame that a sample falls into.
 *
 * @param samples samples since midnight, whole, 0 or above
 * @param rate frame rate
 * @param sampleRateHz sampling frequency, whole, Hz
 * @unit frame
 * @formula ⌊samples · num / (den · fs)⌋, in whole numbers of any size
 * @source exact rationals
 * @throws CraftError when an argument is not whole
 */
export function framesFromSamples(samples: number, rate: FrameRate, sampleRateHz: number): number {
  framesPerSecond(rate);
  const product = BigInt(requireInteger('samples', samples, 0)) * BigInt(rate.num);
  return Number(product / (BigInt(rate.den) * BigInt(requireInteger('sampleRateHz', sampleRateHz, 1))));
}

/**
 * A sampling frequency pulled up or down by 0.1 %.
 *
 * @param sampleRateHz sampling frequency, Hz
 * @param direction `down` for sound of 24 or 30 played at 23.976 or 29.97, `up` for the way back
 * @unit Hz
 * @formula down fs · 1000 / 1001; up fs · 1001 / 1000
 * @source AES5 (1000/1001)
 * @throws CraftError when the frequency is not above 0 or the direction neither
 */
export function pulledSampleRateHz(sampleRateHz: number, direction: 'up' | 'down'): number {
  requirePositive('sampleRateHz', sampleRateHz);
  switch (direction) {
    case 'down':
      return (sampleRateHz * PULL_RATIO.num) / PULL_RATIO.den;
    case 'up':
      return (sampleRateHz * PULL_RATIO.den) / PULL_RATIO.num;
    default:
      throw new CraftError('direction', direction, 'up or down');
  }
}

/**
 * Bit rate of an AES3 line.
 *
 * @param sampleRateHz sampling frequency, Hz
 * @unit bit/s
 * @formula 64 · fs
 * @constants 64 bit in a frame
 * @source AES3
 * @throws CraftError when the frequency is not above 0
 */
export function aes3BitRate(sampleRateHz: number): number {
  return AES3_BITS_PER_FRAME * requirePositive('sampleRateHz', sampleRateHz);
}

/** Layout of linear PCM. */
export interface PcmFormat {
  readonly sampleRateHz: number;
  readonly channels: number;
  /** Bits of a sample; 20 bits are stored in three bytes. */
  readonly bits: number;
}

/**
 * Bytes of one sample of every channel together.
 *
 * @param format sampling frequency, channels, bits
 * @unit byte
 * @formula channels · ⌈bits / 8⌉
 * @source WAVE fmt chunk (block align)
 * @throws CraftError when a figure is not a whole number above 0
 */
export function pcmBlockAlign(format: PcmFormat): number {
  return (
    requireInteger('channels', format.channels, 1) * Math.ceil(requireInteger('bits', format.bits, 1) / 8)
  );
}

/**
 * Bytes that PCM takes in a second.
 *
 * @param format sampling frequency, channels, bits
 * @unit byte/s
 * @formula fs · channels · ⌈bits / 8⌉
 * @source WAVE fmt chunk (byte rate)
 * @throws CraftError when a figure is out of range
 */
export function pcmBytesPerSecond(format: PcmFormat): number {
  return requirePositive('sampleRateHz', format.sampleRateHz) * pcmBlockAlign(format);
}

/** Largest file that a 32-bit RIFF size field can state, byte. */
export const RIFF_LIMIT_BYTES = 2 ** 32;
/** Where careful recorders start a new file: many programs read the field as signed, byte. Common practice, no source. */
export const RIFF_SIGNED_LIMIT_BYTES = 2 ** 31;

/**
 * Longest recording that a plain WAV file can hold.
 *
 * @param format sampling frequency, channels, bits
 * @param limitBytes size limit, byte; 2³² when left out
 * @unit s
 * @formula 2³² / (fs · channels · bytes)
 * @source RIFF WAVE: the size field has 32 bits; EBU Tech 3306 (RF64) exists because of it
 * @throws CraftError when a figure is out of range
 */
export function longestWavSeconds(format: PcmFormat, limitBytes: number = RIFF_LIMIT_BYTES): number {
  return requirePositive('limitBytes', limitBytes) / pcmBytesPerSecond(format);
}

/**
 * Dynamic range of uniform quantisation, for a full-scale sine.
 *
 * @param bits bits of a sample
 * @unit dB
 * @formula 20 log10(2ⁿ √1.5) = 6.02 n + 1.76
 * @source Bennett 1948; textbooks
 * @throws CraftError when bits is not a whole number above 0
 */
export function quantisationDynamicRangeDb(bits: number): number {
  return 20 * (requireInteger('bits', bits, 1) * Math.log10(2) + Math.log10(Math.sqrt(1.5)));
}
