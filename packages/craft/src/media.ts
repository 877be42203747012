import { CraftError, requireInteger, requireNotNegative, requirePositive, requireWithin } from './errors.ts';
import { type FrameRate, frameRate, framesPerSecond } from './rate.ts';

/** Samples that each pixel carries by its sampling: luma and both colour differences, or one of a raw mosaic. */
export const SAMPLES_PER_PIXEL = {
  '4:4:4': 3,
  '4:4:4:4': 4,
  '4:2:2': 2,
  '4:2:0': 1.5,
  '4:1:1': 1.5,
  raw: 1,
} as const;
/** How colour is sampled. */
export type Sampling = keyof typeof SAMPLES_PER_PIXEL;

/** Bits of a 10-bit 4:2:2 sample pair, which is what a serial digital interface counts in. */
export const SDI_BITS_PER_SAMPLE = 20;

/** Nominal rates of the serial digital interfaces, bit/s. */
export const SDI_LINK_RATES = {
  /** SMPTE ST 259, 525 and 625 lines. */
  sd: 270_000_000,
  /** SMPTE ST 292-1; with 1/1.001 for the 23.976, 29.97 and 59.94 family. */
  hd: 1_485_000_000,
  hdPulledDown: 1_485_000_000 / 1.001,
  /** SMPTE ST 424. */
  threeG: 2_970_000_000,
  threeGPulledDown: 2_970_000_000 / 1.001,
  /** SMPTE ST 2081-1. */
  sixG: 5_940_000_000,
  /** SMPTE ST 2082-1. */
  twelveG: 11_880_000_000,
} as const;

/** Samples of a whole line and lines of a whole frame, blanking included (SMPTE ST 274, ST 296, ITU-R BT.601; from memory). */
export const TOTAL_RASTERS = {
  '525': { samplesPerLine: 858, lines: 525 },
  '625': { samplesPerLine: 864, lines: 625 },
  '720p24': { samplesPerLine: 4125, lines: 750 },
  '720p25': { samplesPerLine: 3960, lines: 750 },
  '720p30': { samplesPerLine: 3300, lines: 750 },
  '720p50': { samplesPerLine: 1980, lines: 750 },
  '720p60': { samplesPerLine: 1650, lines: 750 },
  '1080-24': { samplesPerLine: 2750, lines: 1125 },
  '1080-25': { samplesPerLine: 2640, lines: 1125 },
  '1080-30': { samplesPerLine: 2200, lines: 1125 },
  '1080p50': { samplesPerLine: 2640, lines: 1125 },
  '1080p60': { samplesPerLine: 2200, lines: 1125 },
} as const;

/** A picture as it is stored, uncompressed. */
export interface RasterFormat {
  readonly width: number;
  readonly height: number;
  readonly rate: FrameRate;
  /** Bits of a sample. */
  readonly bits: number;
  readonly sampling: Sampling;
}

/** What an uncompressed picture takes. */
export interface DataRate {
  readonly bitsPerFrame: number;
  readonly bitsPerSecond: number;
  /** Decimal megabytes. */
  readonly megabytesPerSecond: number;
}

/**
 * Data rate of the active picture, uncompressed.
 *
 * @param format width, height, whole frames in a second, bits, sampling
 * @unit bit, bit/s, MB/s (10⁶ byte)
 * @formula width · height · bits · samples per pixel · fps
 * @constants 4:4:4 3, 4:2:2 2, 4:2:0 1.5, raw mosaic 1 sample per pixel
 * @source common practice, no source (ITU-R BT.601 for the samplings)
 * @throws CraftError when a figure is out of range
 */
export function activePictureRate(format: RasterFormat): DataRate {
  const samples = SAMPLES_PER_PIXEL[format.sampling];
  if (samples === undefined) {
    throw new CraftError('sampling', format.sampling, Object.keys(SAMPLES_PER_PIXEL).join(', '));
  }
  const pixels = requireInteger('width', format.width, 1) * requireInteger('height', format.height, 1);
  const bitsPerFrame = pixels * requireInteger('bits', format.bits, 1) * samples;
  framesPerSecond(format.rate);
  const bitsPerSecond = (bitsPerFrame * format.rate.num) / format.rate.den;
  return { bitsPerFrame, bitsPerSecond, megabytesPerSecond: bitsPerSecond / 8e6 };
}

/**
 * Whole frames in a second of an interlaced format.
 *
 * @param fieldRate fields in a second
 * @unit frame/s
 * @formula fields / 2
 * @source common practice, no source
 * @throws CraftError when the rate is no fraction above 0
 */
export function framesFromFields(fieldRate: FrameRate): FrameRate {
  return frameRate(fieldRate.num, fieldRate.den * 2);
}

/**
 * Bit rate of a serial digital interface.
 *
 * @param samplesPerLine samples of a whole line, blanking included
 * @param lines lines of a whole frame, blanking included
 * @param rate whole frames in a second
 * @unit bit/s
 * @formula samples · lines · fps · 20
 * @constants 20 bit: one luma and one colour-difference sample of 10
 * @source SMPTE ST 259, ST 292-1, ST 424
 * @throws CraftError when a figure is not whole and above 0
 */
export function serialInterfaceRate(samplesPerLine: number, lines: number, rate: FrameRate): number {
  framesPerSecond(rate);
  return (
    (requireInteger('samplesPerLine', samplesPerLine, 1) *
      requireInteger('lines', lines, 1) *
      SDI_BITS_PER_SAMPLE *
      rate.num) /
    rate.den
  );
}

/** Bytes in the decimal prefixes (SI) and in the binary ones (IEC 80000-13). */
export const BYTES = {
  kB: 1e3,
  MB: 1e6,
  GB: 1e9,
  TB: 1e12,
  KiB: 2 ** 10,
  MiB: 2 ** 20,
  GiB: 2 ** 30,
  TiB: 2 ** 40,
} as const;
/** A unit of bytes. */
export type ByteUnit = keyof typeof BYTES;

/**
 * Bytes of an amount.
 *
 * @param amount how many; 0 or above
 * @param unit kB, MB, GB, TB (decimal) or KiB, MiB, GiB, TiB (binary)
 * @unit byte
 * @formula amount · 10³ⁿ or amount · 2¹⁰ⁿ
 * @source SI and IEC 80000-13 prefixes
 * @throws CraftError when the amount is negative or the unit unknown
 */
export function bytesOf(amount: number, unit: ByteUnit): number {
  return requireNotNegative('amount', amount) * bytesInUnit(unit);
}

/**
 * Bytes in a unit people read.
 *
 * @param bytes byte; 0 or above
 * @param unit kB, MB, GB, TB (decimal) or KiB, MiB, GiB, TiB (binary)
 * @unit the unit asked for
 * @formula bytes / 10³ⁿ or bytes / 2¹⁰ⁿ
 * @source SI and IEC 80000-13 prefixes
 * @note A card sold as 256 GB shows as 238.4 where a computer counts in GiB.
 * @throws CraftError when bytes is negative or the unit unknown
 */
export function inByteUnit(bytes: number, unit: ByteUnit): number {
  return requireNotNegative('bytes', bytes) / bytesInUnit(unit);
}

function bytesInUnit(unit: ByteUnit): number {
  const bytes = BYTES[unit];
  if (bytes === undefined) {
    throw new CraftError('unit', unit, Object.keys(BYTES).join(', '));
  }
  return bytes;
}

/**
 * Time that fits on a card.
 *
 * @param capacityBytes room on the card, byte; 0 or above
 * @param bitsPerSecond bit rate of all that is recorded on it, bit/s
 * @unit s
 * @formula t = 8 · bytes / rate
 * @source definition
 * @throws CraftError when the capacity is negative or the rate not above 0
 */
export function recordingSeconds(capacityBytes: number, bitsPerSecond: number): number {
  return (
    (requireNotNegative('capacityBytes', capacityBytes) * 8) / requirePositive('bitsPerSecond', bitsPerSecond)
  );
}

/**
 * Whole takes that fit on a card.
 *
 * @param capacityBytes room on the card, byte; 0 or above
 * @param bitsPerSecond bit rate, bit/s
 * @param takeSeconds length of one take, s
 * @unit take
 * @formula ⌊recording time / take⌋
 * @source definition
 * @throws CraftError when an argument is out of range
 */
export function takesLeft(capacityBytes: number, bitsPerSecond: number, takeSeconds: number): number {
  const takes = recordingSeconds(capacityBytes, bitsPerSecond) / requirePositive('takeSeconds', takeSeconds);
  return Math.floor(takes + 1e-9);
}

/**
 * Size of a recording.
 *
 * @param seconds length, s; 0 or above
 * @param bitsPerSecond bit rate, bit/s
 * @unit byte
 * @formula bytes = rate · t / 8
 * @source definition
 * @throws CraftError when the length is negative or the rate not above 0
 */
export function recordingBytes(seconds: number, bitsPerSecond: number): number {
  return (requireNotNegative('seconds', seconds) * requirePositive('bitsPerSecond', bitsPerSecond)) / 8;
}

/** Part that planning adds to the running time that is expected. Common practice, no source. */
export const CARD_MARGIN = 0.1;

/**
 * Cards that a shoot needs.
 *
 * @param seconds running time expected, s; 0 or above
 * @param bitsPerSecond bit rate, bit/s
 * @param capacityBytes room on one card, byte
 * @param margin part added for safety; 0.1 when left out
 * @unit card
 * @formula ⌈t · rate / 8 · (1 + margin) / capacity⌉
 * @constants margin 0.1 (common practice, no source)
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function cardsNeeded(
  seconds: number,
  bitsPerSecond: number,
  capacityBytes: number,
  margin: number = CARD_MARGIN,
): number {
  const bytes = recordingBytes(seconds, bitsPerSecond) * (1 + requireNotNegative('margin', margin));
  return Math.ceil(bytes / requirePositive('capacityBytes', capacityBytes) - 1e-9);
}

/**
 * Time to copy a card.
 *
 * @param bytes how much, byte; 0 or above
 * @param bytesPerSecond speed of the slowest part, byte/s
 * @param passes how often the data goes through: 1 to copy, 2 to copy and read back for checking; 1 when left out
 * @unit s
 * @formula t = passes · bytes / speed
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function copySeconds(bytes: number, bytesPerSecond: number, passes = 1): number {
  return (
    (requireInteger('passes', passes, 1) * requireNotNegative('bytes', bytes)) /
    requirePositive('bytesPerSecond', bytesPerSecond)
  );
}

/**
 * Bytes in a second that a link really carries.
 *
 * @param bitsPerSecond rate of the link, bit/s
 * @param efficiency part that is payload, above 0 up to 1; 0.8 when left out
 * @unit byte/s
 * @formula rate · efficiency / 8
 * @constants efficiency 0.8 (common practice, no source)
 * @source common practice, no source
 * @throws CraftError when an argument is out of range
 */
export function linkBytesPerSecond(bitsPerSecond: number, efficiency = 0.8): number {
  requirePositive('efficiency', efficiency);
  return (
    (requirePositive('bitsPerSecond', bitsPerSecond) * requireWithin('efficiency', efficiency, 0, 1)) / 8
  );
}
