import { bytesOf, recordingBytes, recordingSeconds } from '@plumbline/craft/media';
import type { ShootReader } from '../tables/index.ts';
import type { TakeOnCard } from '../views/media.ts';
import { pictureRate, type RecordingRate, rateOn, soundRate } from './rates.ts';
import type { CardStanding, Device } from './standing.ts';

/** What is on a card, and what still goes on it. */
export interface CardRoom {
  readonly capacityBytes: number;
  /** What its takes take up, each at the rate it was shot at. */
  readonly usedBytes: number;
  readonly leftBytes: number;
  /** Takes whose length or rate is not known: they take up more than is counted. */
  readonly uncounted: number;
}

/** Which camera or recorder a card was in while a take was recorded on it; `null` where nobody knows. */
export function deviceOfTake({ take }: TakeOnCard, card: string): Device | null {
  const key = Object.entries(take.view.cardsIn ?? {}).find(([, id]) => id === card)?.[0];
  const [table, id] = key?.split('/') ?? [];
  return (table === 'cameras' || table === 'recorders') && id !== undefined ? { table, id } : null;
}

/** The rate that a take was shot at by a device, from the copy that the base made of its settings. */
function rateAsShot(reader: ShootReader, { take }: TakeOnCard, device: Device | null): RecordingRate | null {
  if (device === null) return null;
  const { asShotPicture = {}, asShotInputs = {} } = take.view;
  if (device.table === 'cameras') {
    const rate = asShotPicture[device.id]?.bitRateMbps;
    const entered = typeof rate === 'number' ? pictureRate({ bitRateMbps: rate }, undefined) : null;
    return entered ?? rateOn(reader, device, take.setup);
  }
  const channels = Object.keys(asShotInputs).filter((name) => name.startsWith(`${device.id}.`));
  return soundRate(reader.view('recorders', device.id), channels.length);
}

/** How full a card is; `null` where its capacity is not entered. */
export function roomOn(reader: ShootReader, standing: CardStanding): CardRoom | null {
  const { card, takes, device } = standing;
  if (card.capacityGB === undefined) return null;
  const capacityBytes = bytesOf(card.capacityGB, 'GB');
  let usedBytes = 0;
  let uncounted = 0;
  for (const on of takes) {
    const { seconds } = on.take;
    const rate = rateAsShot(reader, on, deviceOfTake(on, standing.id) ?? device);
    if (seconds === undefined || rate === null) uncounted += 1;
    else usedBytes += recordingBytes(seconds, rate.bitsPerSecond);
  }
  return { capacityBytes, usedBytes, leftBytes: Math.max(0, capacityBytes - usedBytes), uncounted };
}

/** Minutes that so many bytes last at a rate. */
export function minutesAt(bytes: number, { bitsPerSecond }: RecordingRate): number {
  return recordingSeconds(Math.max(0, bytes), bitsPerSecond) / 60;
}
