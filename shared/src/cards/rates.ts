import { activePictureRate, SAMPLES_PER_PIXEL, type Sampling } from '@plumbline/craft/media';
import { joinId } from '@plumbline/replica';
import type { ShootReader, ShootRecord } from '../tables/index.ts';
import { rateOf } from '../views/picture.ts';
import { channelsOf } from '../views/sound.ts';
import type { Device } from './standing.ts';

/** How fast a device fills its card, and how that is known. */
export interface RecordingRate {
  readonly bitsPerSecond: number;
  /** `entered`; `counted` from channels, samples and bits; `atMost`: as if it were not compressed at all. */
  readonly basis: 'entered' | 'counted' | 'atMost';
}

const BITS_PER_MEGABIT = 1e6;

function samplingOf(chroma: string | undefined): Sampling | null {
  const digits = (sampling: string): string => sampling.replaceAll(':', '');
  return Object.keys(SAMPLES_PER_PIXEL).find((known): known is Sampling => digits(known) === chroma) ?? null;
}

/** The rate of a camera's settings: its bit rate or, without one, that of the picture uncompressed, which is a bound. */
export function pictureRate(
  { bitRateMbps, raster, frameRate, bitDepth, chroma }: ShootRecord<'picture'>,
  shootRate: string | undefined,
): RecordingRate | null {
  if (bitRateMbps !== undefined) {
    return { bitsPerSecond: bitRateMbps * BITS_PER_MEGABIT, basis: 'entered' };
  }
  const rate = rateOf(frameRate ?? shootRate);
  const sampling = samplingOf(chroma);
  if (raster === undefined || rate === undefined || bitDepth === undefined || sampling === null) return null;
  const [width = 0, height = 0] = raster.split('x').map(Number);
  const { bitsPerSecond } = activePictureRate({ width, height, rate, bits: bitDepth, sampling });
  return { bitsPerSecond, basis: 'atMost' };
}

/** The rate of a recorder: channels by samples by bits, as PCM is recorded. */
export function soundRate(
  { channels, sampleRateHz, bitDepth }: ShootRecord<'recorders'>,
  openChannels: number,
): RecordingRate | null {
  const count = openChannels > 0 ? openChannels : channels;
  if (count === undefined || sampleRateHz === undefined || bitDepth === undefined) return null;
  return { bitsPerSecond: count * sampleRateHz * bitDepth, basis: 'counted' };
}

/** The rate at which a device records a setup; `null` where too little is entered. */
export function rateOn(reader: ShootReader, { table, id }: Device, setup: string): RecordingRate | null {
  if (table === 'cameras') {
    const picture = reader.view('picture', joinId(setup, id));
    return pictureRate(picture, reader.value('shoot', 'shoot', 'frameRate'));
  }
  const open = channelsOf(reader, setup).filter((channel) => channel.open && channel.recorder === id);
  return soundRate(reader.view('recorders', id), open.length);
}

/** Whether a device shoots a setup: its settings or channels are entered, or those of none are yet. */
export function isOnSetup(reader: ShootReader, { table, id }: Device, setup: string): boolean {
  const devices = reader.records(table).filter((device) => hasSettings(reader, { table, id: device }, setup));
  return devices.length === 0 || devices.includes(id);
}

function hasSettings(reader: ShootReader, { table, id }: Device, setup: string): boolean {
  return table === 'cameras'
    ? Object.keys(reader.view('picture', joinId(setup, id))).length > 0
    : channelsOf(reader, setup).some(({ recorder }) => recorder === id);
}
