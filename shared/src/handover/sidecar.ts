import { CraftError, formatTimecode, parseFrameRate, timecodeFieldsFromFrames } from '@plumbline/craft';
import { type IxmlNotes, readIxml } from './ixml.ts';
import { type BextNotes, type ReadAt, readWave, WaveProblem } from './wave.ts';

/** What a recorded wave file says of itself, to lie beside it. */
export interface WaveSidecar {
  readonly form: 'plumbline-wave';
  readonly version: 1;
  readonly file: string;
  readonly channels: number;
  readonly sampleRateHz: number;
  readonly bitDepth: number;
  readonly samples: number;
  readonly seconds: number;
  /** Samples since midnight of the first: what iXML says, else `bext`. */
  readonly startSamples: number | null;
  /** The label of the first frame, where iXML says the rate. */
  readonly startTimecode: string | null;
  readonly bext: BextNotes | null;
  readonly ixml: IxmlNotes | null;
  /** What could not be read, or does not agree within the file. */
  readonly problems: readonly string[];
}

/**
 * Reads a recorded wave file into what can lie beside it as JSON.
 *
 * @param file its name
 * @param size byte
 * @throws WaveProblem where it is no wave file
 */
export async function waveSidecar(file: string, read: ReadAt, size: number): Promise<WaveSidecar> {
  const wave = await readWave(read, size);
  const problems: string[] = [];
  let ixml: IxmlNotes | null = null;
  if (wave.ixml !== null) {
    try {
      ixml = readIxml(wave.ixml);
    } catch (error) {
      if (!(error instanceof WaveProblem)) throw error;
      problems.push(error.message);
    }
  }
  const { bext, channels, sampleRateHz, bitDepth, samples } = wave;
  const byBext = bext?.timeReferenceSamples ?? null;
  const byIxml = ixml?.samplesSinceMidnight ?? null;
  if (byBext !== null && byIxml !== null && byBext !== byIxml) {
    problems.push(`It begins at sample ${byIxml} by its iXML and at ${byBext} by its bext chunk.`);
  }
  if (ixml && ixml.sampleRateHz !== null && ixml.sampleRateHz !== sampleRateHz) {
    problems.push(`Its iXML says ${ixml.sampleRateHz} Hz, the sound is at ${sampleRateHz} Hz.`);
  }
  if (ixml && ixml.tracks.length > channels) {
    problems.push(`Its iXML names ${ixml.tracks.length} tracks, the sound has ${channels}.`);
  }
  const startSamples = byIxml ?? byBext;
  return {
    form: 'plumbline-wave',
    version: 1,
    file,
    channels,
    sampleRateHz,
    bitDepth,
    samples,
    seconds: samples / sampleRateHz,
    startSamples,
    startTimecode: startSamples === null ? null : labelAt(startSamples, sampleRateHz, ixml),
    bext,
    ixml,
    problems,
  };
}

/** The timecode label of a sample, counted exactly: a float would be a frame out late in the day. */
function labelAt(samples: number, sampleRateHz: number, ixml: IxmlNotes | null): string | null {
  if (!ixml?.timecodeRate) return null;
  try {
    const rate = parseFrameRate(ixml.timecodeRate);
    const format = { rate, dropFrame: ixml.dropFrame ?? false };
    const frames = (BigInt(samples) * BigInt(rate.num)) / (BigInt(sampleRateHz) * BigInt(rate.den));
    return formatTimecode(timecodeFieldsFromFrames(Number(frames), format), format);
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}
