import { BEXT_FIELD_BYTES, BEXT_LOUDNESS_STEP, BEXT_LOUDNESS_UNUSED } from '@plumbline/craft';

/** Reads a part of a file: the file may be larger than memory. Fewer bytes than asked for: the file ends there. */
export type ReadAt = (offset: number, length: number) => Promise<Uint8Array>;

/** What is wrong with a file that calls itself a wave file. */
export class WaveProblem extends Error {
  override readonly name = 'WaveProblem';
}

/** The fields of a `bext` chunk that hold something. */
export interface BextNotes {
  readonly description: string;
  readonly originator: string;
  readonly originatorReference: string;
  /** As written, usually `yyyy-mm-dd` and `hh:mm:ss`. */
  readonly originationDate: string;
  readonly originationTime: string;
  /** Samples since midnight. */
  readonly timeReferenceSamples: number;
  readonly version: number;
  /** In hexadecimal; `null` in version 0 and where it is empty. */
  readonly umid: string | null;
  /** LUFS, LU and dBTP; `null` before version 2 and where not measured. */
  readonly loudness: {
    readonly integratedLufs: number | null;
    readonly rangeLu: number | null;
    readonly maxTruePeakDbtp: number | null;
    readonly maxMomentaryLufs: number | null;
    readonly maxShortTermLufs: number | null;
  } | null;
  readonly codingHistory: string;
}

/** What a wave file says of itself. */
export interface WaveNotes {
  readonly form: 'RIFF' | 'RF64' | 'BW64';
  readonly channels: number;
  readonly sampleRateHz: number;
  readonly bitDepth: number;
  /** Samples of each channel. */
  readonly samples: number;
  readonly bext: BextNotes | null;
  /** The text of the iXML chunk. */
  readonly ixml: string | null;
}

const MOST_CHUNKS = 1000;
const MOST_CHUNK_BYTES = 4 * 1024 * 1024;
/** Stands in a 32-bit size whose true value is in `ds64` (EBU Tech 3306, ITU-R BS.2088). */
const SIZE_ELSEWHERE = 0xffff_ffff;

/**
 * Reads the notes of a Broadcast Wave file, and of the audio only the place.
 *
 * @param size of the whole file, byte
 * @throws WaveProblem where it is no wave file or its chunks do not fit
 * @source EBU Tech 3285 (RIFF, bext), EBU Tech 3306 and ITU-R BS.2088 (RF64, BW64)
 */
export async function readWave(read: ReadAt, size: number): Promise<WaveNotes> {
  const head = await part(read, 0, 12);
  const form = ascii(head, 0, 4);
  if ((form !== 'RIFF' && form !== 'RF64' && form !== 'BW64') || ascii(head, 8, 4) !== 'WAVE') {
    throw new WaveProblem('This is no wave file.');
  }
  let format: { channels: number; sampleRateHz: number; blockBytes: number; bitDepth: number } | null = null;
  let dataBytes: number | null = null;
  let wideDataBytes: number | null = null;
  let bext: BextNotes | null = null;
  let ixml: string | null = null;
  let at = 12;
  for (let count = 0; at + 8 <= size; count++) {
    if (count >= MOST_CHUNKS) throw new WaveProblem('It has more chunks than a recording has.');
    const header = await part(read, at, 8);
    const id = ascii(header, 0, 4);
    const told = view(header).getUint32(4, true);
    const bytes = told === SIZE_ELSEWHERE && id === 'data' ? (wideDataBytes ?? size - at - 8) : told;
    const body = at + 8;
    const chunk = async (least: number): Promise<Uint8Array> => {
      if (body + bytes > size) throw new WaveProblem('The file ends too early.');
      if (bytes < least || bytes > MOST_CHUNK_BYTES)
        throw new WaveProblem(`Its ${id.trim()} chunk has ${bytes} bytes.`);
      return part(read, body, bytes);
    };
    if (id === 'ds64') {
      const words = view(await chunk(28));
      wideDataBytes = wide(words.getUint32(8, true), words.getUint32(12, true));
    } else if (id === 'fmt ') {
      const words = view(await chunk(16));
      format = {
        channels: words.getUint16(2, true),
        sampleRateHz: words.getUint32(4, true),
        blockBytes: words.getUint16(12, true),
        bitDepth: words.getUint16(14, true),
      };
    } else if (id === 'bext') bext = bextOf(await chunk(602));
    else if (id === 'iXML') ixml = utf8(await chunk(0));
    else if (id === 'data') dataBytes = Math.min(bytes, size - body);
    at = body + bytes + (bytes % 2);
  }
  if (!format || format.channels === 0 || format.sampleRateHz === 0 || format.blockBytes === 0) {
    throw new WaveProblem('It does not say how its sound is coded.');
  }
  if (dataBytes === null) throw new WaveProblem('It has no sound in it.');
  const { channels, sampleRateHz, bitDepth, blockBytes } = format;
  return { form, channels, sampleRateHz, bitDepth, samples: Math.floor(dataBytes / blockBytes), bext, ixml };
}

async function part(read: ReadAt, offset: number, length: number): Promise<Uint8Array> {
  const bytes = await read(offset, length);
  if (bytes.length < length) throw new WaveProblem('The file ends too early.');
  return bytes;
}

function view(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

/** Low and high 32 bits as one number, as far as numbers are exact. */
function wide(low: number, high: number): number {
  const value = low + high * 2 ** 32;
  if (!Number.isSafeInteger(value)) throw new WaveProblem('It gives a size that no file has.');
  return value;
}

function ascii(bytes: Uint8Array, offset: number, length: number): string {
  return String.fromCharCode(...bytes.subarray(offset, offset + length));
}

/** Text up to its first zero. Recorders write UTF-8 where the standard has ASCII; what is neither is read as Latin-1. */
function fieldText(bytes: Uint8Array): string {
  const zero = bytes.indexOf(0);
  const text = zero < 0 ? bytes : bytes.subarray(0, zero);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(text).trim();
  } catch {
    return new TextDecoder('latin1').decode(text).trim();
  }
}

function utf8(bytes: Uint8Array): string {
  return new TextDecoder().decode(bytes).replace(/\0+$/, '').trim();
}

function bextOf(bytes: Uint8Array): BextNotes {
  const offsets = new Map<string, number>();
  let at = 0;
  for (const [field, length] of Object.entries(BEXT_FIELD_BYTES)) {
    offsets.set(field, at);
    at += length;
  }
  const words = view(bytes);
  const place = (field: keyof typeof BEXT_FIELD_BYTES): number => offsets.get(field) ?? 0;
  const text = (field: keyof typeof BEXT_FIELD_BYTES): string =>
    fieldText(bytes.subarray(place(field), place(field) + BEXT_FIELD_BYTES[field]));
  const loudness = (field: keyof typeof BEXT_FIELD_BYTES): number | null => {
    const stored = words.getInt16(place(field), true);
    return stored === BEXT_LOUDNESS_UNUSED ? null : Math.round(stored) * BEXT_LOUDNESS_STEP;
  };
  const version = words.getUint16(place('Version'), true);
  const umid = bytes.subarray(place('UMID'), place('UMID') + BEXT_FIELD_BYTES.UMID);
  const time = place('TimeReference');
  return {
    description: text('Description'),
    originator: text('Originator'),
    originatorReference: text('OriginatorReference'),
    originationDate: text('OriginationDate'),
    originationTime: text('OriginationTime'),
    timeReferenceSamples: wide(words.getUint32(time, true), words.getUint32(time + 4, true)),
    version,
    umid:
      version < 1 || umid.every((byte) => byte === 0)
        ? null
        : Array.from(umid, (byte) => byte.toString(16).padStart(2, '0')).join(''),
    loudness:
      version < 2
        ? null
        : {
            integratedLufs: loudness('LoudnessValue'),
            rangeLu: loudness('LoudnessRange'),
            maxTruePeakDbtp: loudness('MaxTruePeakLevel'),
            maxMomentaryLufs: loudness('MaxMomentaryLoudness'),
            maxShortTermLufs: loudness('MaxShortTermLoudness'),
          },
    codingHistory: fieldText(bytes.subarray(at)),
  };
}
