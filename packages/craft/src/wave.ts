import { CraftError, requireFinite, requireInteger, requirePositive, requireWithin } from './errors.ts';
import { type FrameRate, framesPerSecond } from './rate.ts';

/** Sizes of the fixed fields of a Broadcast Wave `bext` chunk, byte (EBU Tech 3285 version 2). */
export const BEXT_FIELD_BYTES = {
  Description: 256,
  Originator: 32,
  OriginatorReference: 32,
  OriginationDate: 10,
  OriginationTime: 8,
  TimeReference: 8,
  Version: 2,
  UMID: 64,
  LoudnessValue: 2,
  LoudnessRange: 2,
  MaxTruePeakLevel: 2,
  MaxMomentaryLoudness: 2,
  MaxShortTermLoudness: 2,
  Reserved: 180,
} as const;

/** Rules of the `bext` chunk beside its field sizes (EBU Tech 3285 version 2). */
export const BEXT = {
  chunkId: 'bext',
  version: 2,
  /** How OriginationDate is written; the separator may also be `_`, `:`, a space or a stop. */
  dateFormat: 'yyyy-mm-dd',
  /** How OriginationTime is written; the separator may also be `-`, `_`, a space or a stop. */
  timeFormat: 'hh:mm:ss',
  /** Bits of the TimeReference: samples since midnight. */
  timeReferenceBits: 64,
  /** Bytes of a basic UMID in the field of 64; the rest is zero. */
  basicUmidBytes: 32,
  /** Loudness fields came with version 2, the UMID with version 1. */
  loudnessSinceVersion: 2,
  umidSinceVersion: 1,
} as const;

/** Bytes kept free in version 1, which has no loudness fields (EBU Tech 3285 version 1, from memory). */
export const BEXT_RESERVED_BYTES_VERSION_1 = 190;
/** Bytes of a chunk's name and size in front of it. */
export const CHUNK_HEADER_BYTES = 8;
/** Unit that the loudness fields of `bext` count in: a hundredth of a LUFS, LU or dBTP. */
export const BEXT_LOUDNESS_STEP = 0.01;
/** What a loudness field holds when it was not measured (EBU Tech 3285 version 2, from memory). */
export const BEXT_LOUDNESS_UNUSED = 0x7fff;

/** Tags of an iXML chunk that this package knows of (iXML specification). */
export const IXML = {
  rootElement: 'BWFXML',
  chunkId: 'iXML',
  allParametersOptional: true,
  preferredOverBextDescription: true,
  tags: {
    version: 'IXML_VERSION',
    project: 'PROJECT',
    scene: 'SCENE',
    take: 'TAKE',
    soundRoll: 'TAPE',
    circled: 'CIRCLED',
    noGood: 'NO_GOOD',
    falseStart: 'FALSE_START',
    wildTrack: 'WILD_TRACK',
    note: 'NOTE',
    userBits: 'UBITS',
    fileUid: 'FILE_UID',
  },
  speed: {
    object: 'SPEED',
    note: 'NOTE',
    masterSpeed: 'MASTER_SPEED',
    currentSpeed: 'CURRENT_SPEED',
    timecodeRate: 'TIMECODE_RATE',
    timecodeFlag: 'TIMECODE_FLAG',
    fileSampleRate: 'FILE_SAMPLE_RATE',
    audioBitDepth: 'AUDIO_BIT_DEPTH',
    digitizerSampleRate: 'DIGITIZER_SAMPLE_RATE',
    samplesSinceMidnightHigh: 'TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI',
    samplesSinceMidnightLow: 'TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO',
    timestampSampleRate: 'TIMESTAMP_SAMPLE_RATE',
  },
  trackList: {
    object: 'TRACK_LIST',
    count: 'TRACK_COUNT',
    track: 'TRACK',
    channelIndex: 'CHANNEL_INDEX',
    interleaveIndex: 'INTERLEAVE_INDEX',
    name: 'NAME',
    function: 'FUNCTION',
  },
  dropFrame: 'DF',
  nonDropFrame: 'NDF',
} as const;

/** Bytes of a `bext` chunk. */
export interface BextSize {
  /** The fixed fields together. */
  readonly fixedBytes: number;
  /** What the chunk's size field says: fixed fields and coding history. */
  readonly chunkBytes: number;
  /** Bytes in the file, with the header and the pad byte of an odd length. */
  readonly bytesOnDisk: number;
}

/**
 * Size of a `bext` chunk.
 *
 * @param codingHistoryBytes length of its CodingHistory, byte, whole, 0 or above
 * @unit byte
 * @formula 602 + history; in the file padded to an even length, with 8 bytes of header
 * @source EBU Tech 3285 version 2
 * @throws CraftError when the length is not whole or negative
 */
export function bextSize(codingHistoryBytes: number): BextSize {
  const fixedBytes = Object.values(BEXT_FIELD_BYTES).reduce((sum, bytes) => sum + bytes, 0);
  const chunkBytes = fixedBytes + requireInteger('codingHistoryBytes', codingHistoryBytes, 0);
  return { fixedBytes, chunkBytes, bytesOnDisk: CHUNK_HEADER_BYTES + chunkBytes + (chunkBytes % 2) };
}

/** A count of samples since midnight in the two words of the file. */
export interface TimeReference {
  readonly low: number;
  readonly high: number;
}

/**
 * The two 32-bit words of a TimeReference.
 *
 * @param samples samples since midnight, whole, 0 or above
 * @unit low and high word
 * @formula samples = low + high · 2³²
 * @source EBU Tech 3285
 * @note From 192 kHz on, an afternoon no longer fits the low word.
 * @throws CraftError when it is not whole or negative
 */
export function timeReferenceWords(samples: number): TimeReference {
  requireInteger('samples', samples, 0);
  return { low: samples % 2 ** 32, high: Math.floor(samples / 2 ** 32) };
}

/**
 * Samples since midnight of a TimeReference.
 *
 * @param words low and high word
 * @unit sample
 * @formula low + high · 2³²
 * @source EBU Tech 3285
 * @throws CraftError when a word is not a whole number of 32 bits, or the sum beyond exact numbers
 */
export function timeReferenceSamples(words: TimeReference): number {
  const low = requireInteger('low', words.low, 0);
  const high = requireInteger('high', words.high, 0);
  requireWithin('low', low, 0, 2 ** 32 - 1);
  return requireInteger('samples', low + requireWithin('high', high, 0, 2 ** 21 - 1) * 2 ** 32, 0);
}

/**
 * Time of day of a TimeReference.
 *
 * @param words low and high word
 * @param sampleRateHz sampling frequency, Hz
 * @unit s since midnight
 * @formula samples / fs
 * @source EBU Tech 3285
 * @throws CraftError when an argument is out of range
 */
export function timeReferenceSeconds(words: TimeReference, sampleRateHz: number): number {
  return timeReferenceSamples(words) / requirePositive('sampleRateHz', sampleRateHz);
}

/**
 * A loudness as `bext` stores it.
 *
 * @param value LUFS, LU or dBTP
 * @unit signed 16-bit number
 * @formula round(100 · value)
 * @source EBU Tech 3285 version 2
 * @throws CraftError when it does not fit
 */
export function bextLoudness(value: number): number {
  const scaled = requireFinite('value', value) * 100;
  // Half away from zero: Math.round alone would take -0.5 up.
  const rounded = Math.sign(scaled) * Math.round(Math.abs(scaled)) + 0;
  if (rounded < -0x8000 || rounded > 0x7fff) {
    throw new CraftError('value', value, 'from -327.68 to 327.67');
  }
  return rounded;
}

/**
 * The two bytes of a stored loudness, least significant first.
 *
 * @param stored signed 16-bit number
 * @unit byte
 * @formula two's complement, little-endian
 * @source EBU Tech 3285 version 2; RIFF is little-endian
 * @throws CraftError when it is no 16-bit number
 */
export function bextLoudnessBytes(stored: number): readonly [number, number] {
  const word = requireWithin('stored', requireInteger('stored', stored), -0x8000, 0x7fff) & 0xffff;
  return [word & 0xff, word >> 8];
}

/**
 * Frame rate as iXML writes it.
 *
 * @param rate frame rate
 * @unit text
 * @formula `24000/1001`, `25/1`
 * @source iXML specification, TIMECODE_RATE
 */
export function ixmlTimecodeRate(rate: FrameRate): string {
  framesPerSecond(rate);
  return `${rate.num}/${rate.den}`;
}

/**
 * Drop-frame flag as iXML writes it.
 *
 * @param dropFrame is it drop-frame?
 * @unit text
 * @formula `DF` or `NDF`
 * @source iXML specification, TIMECODE_FLAG
 */
export function ixmlTimecodeFlag(dropFrame: boolean): string {
  return dropFrame ? IXML.dropFrame : IXML.nonDropFrame;
}
