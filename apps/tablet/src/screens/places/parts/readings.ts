import { exposureValueOfIlluminance, INCIDENT_C_FLAT } from '@plumbline/craft';
import type { ShootReader } from '@plumbline/shared';
import { localTimeOfDay } from './times.ts';

/** A reading of a place, ready to be listed. */
export interface ListedReading {
  readonly id: string;
  readonly takenAt: number | null;
}

/** The readings of a place in use, by the time of day, since that is what they are asked for. */
export function readingsOf(
  reader: ShootReader,
  table: 'lightReadings' | 'soundReadings',
  place: string,
  zone: string | undefined,
): ListedReading[] {
  return reader
    .records(table)
    .filter((id) => id.startsWith(`${place}.`) && reader.value(table, id, 'retired') !== true)
    .map((id) => ({ id, takenAt: reader.value(table, id, 'takenAt') ?? null }))
    .sort((a, b) => order(a, zone) - order(b, zone) || (a.takenAt ?? 0) - (b.takenAt ?? 0));
}

function order({ takenAt }: ListedReading, zone: string | undefined): number {
  return takenAt === null ? Number.MAX_VALUE : localTimeOfDay(takenAt, zone);
}

/** Illuminance that a reading in EV at ISO 100 stands for, incident, C = 250 lx s (ISO 2720). */
export function luxOfEv(ev: number): number {
  return (2 ** ev * INCIDENT_C_FLAT) / 100;
}

/** EV at ISO 100 that an illuminance reads as. */
export function evOfLux(lux: number): number {
  return exposureValueOfIlluminance(lux);
}
