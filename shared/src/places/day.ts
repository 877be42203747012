import {
  CraftError,
  daylightLux,
  dayOfYear,
  exposureValueOfIlluminance,
  instantsOfLocalTime,
  localDate,
  localIso,
  OUTDOOR_LUX,
  type Place,
  type Sky,
  SUN_ZENITHS,
  type SunDay,
  shadow,
  startOfDay,
  sunDay,
  sunPosition,
} from '@plumbline/craft';
import type { ShootRecord } from '../tables/index.ts';
import { type Span, SUN_UP_DEG } from './track.ts';

/** A place of the board where the sun can be worked out. */
export interface Located {
  readonly place: Place;
  /** IANA name of its time zone. */
  readonly zone: string;
}

/** Zones that were asked for and are some: asking takes long, and the rules ask with every edit. */
const zones = new Set<string>();

/** Whether there is such a time zone. */
export function isZone(zone: string): boolean {
  if (zones.has(zone)) return true;
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    zones.add(zone);
    return true;
  } catch {
    return false;
  }
}

/** Where a place lies and what its clocks show; `null` while its position or its time zone is not known. */
export function locate(record: ShootRecord<'places'>, otherwiseZone?: string): Located | null {
  const { latitudeDeg, longitudeDeg, timeZone = otherwiseZone } = record;
  if (latitudeDeg === undefined || longitudeDeg === undefined || timeZone === undefined) return null;
  if (!isZone(timeZone)) return null;
  return { place: { latitude: latitudeDeg, longitude: longitudeDeg }, zone: timeZone };
}

/** The day after or before a date, `2027-05-14`. */
export function dateAfter(date: string, days: number): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}

/** A date at a place, from its first moment to the next date's; 23 or 25 hours where the clocks are changed. */
export function spanOfDate(zone: string, date: string): Span {
  return {
    from: startOfDay(zone, date).getTime(),
    to: startOfDay(zone, dateAfter(date, 1)).getTime(),
  };
}

/**
 * The moment at which the clocks of a zone show a time of a date: the first one where they show it twice, and as much
 * later as they are set forward where they skip it.
 */
export function momentOf(zone: string, date: string, clock: string): number {
  const [first] = instantsOfLocalTime(zone, `${date}T${clock}`);
  if (first) return first.getTime();
  const before = localOffsetMs(zone, startOfDay(zone, date).getTime());
  return Date.parse(`${date}T${clock}:00Z`) - before;
}

function localOffsetMs(zone: string, at: number): number {
  const iso = localIso(zone, new Date(at));
  return Date.parse(`${iso.slice(0, 19)}Z`) - Math.floor(at / 1000) * 1000;
}

/** The time of day at a place, `07:30`. */
export function clockAt(zone: string, at: number): string {
  return localIso(zone, new Date(at)).slice(11, 16);
}

/** The date at a place. */
export function dateAt(zone: string, at: number): string {
  return localDate(zone, new Date(at));
}

/** Whether the sun is up, and if not, how deep the night is, by the heights of the U.S. Naval Observatory. */
export type Phase = 'day' | 'civil twilight' | 'nautical twilight' | 'astronomical twilight' | 'night';

/** @param heightDeg true height of the sun's centre, degree */
export function phaseOf(heightDeg: number): Phase {
  if (heightDeg >= SUN_UP_DEG) return 'day';
  if (heightDeg >= 90 - SUN_ZENITHS.civilTwilight) return 'civil twilight';
  if (heightDeg >= 90 - SUN_ZENITHS.nauticalTwilight) return 'nautical twilight';
  return heightDeg >= 90 - SUN_ZENITHS.astronomicalTwilight ? 'astronomical twilight' : 'night';
}

/** How much daylight is to be expected on level ground. An estimate for planning: meter before the take. */
export type Daylight =
  | { readonly kind: 'estimate'; readonly lux: number; readonly ev100: number }
  /** Between two figures, lx, where the model of daylight ends: the sun is down. */
  | { readonly kind: 'between'; readonly most: number; readonly least: number };

/** The sun at one moment, with all that is drawn and said of it. */
export interface SunMoment {
  readonly at: number;
  readonly azimuthDeg: number;
  /** As seen through the air, degree. */
  readonly apparentHeightDeg: number;
  readonly trueHeightDeg: number;
  readonly phase: Phase;
  readonly daylight: Daylight;
  /** Length of a shadow in heights of what throws it, and where it points; `null` with the sun down. */
  readonly shadow: { readonly ratio: number; readonly towardsDeg: number } | null;
}

/** The sun over a place at a moment. @throws CraftError when the place or the moment is out of range */
export function sunMoment({ place, zone }: Located, at: number, sky: Sky): SunMoment {
  const { azimuthDeg, apparentHeightDeg, trueHeightDeg } = sunPosition(place, new Date(at));
  const phase = phaseOf(trueHeightDeg);
  const isHigh = apparentHeightDeg > 0.1;
  const thrown = isHigh ? shadow(1, apparentHeightDeg, azimuthDeg) : null;
  return {
    at,
    azimuthDeg,
    apparentHeightDeg,
    trueHeightDeg,
    phase,
    daylight: daylightOf(phase, apparentHeightDeg, dateAt(zone, at), sky),
    shadow: thrown && { ratio: thrown.lengthMetres, towardsDeg: thrown.directionDeg },
  };
}

function daylightOf(phase: Phase, heightDeg: number, date: string, sky: Sky): Daylight {
  if (phase === 'civil twilight') {
    return { kind: 'between', most: OUTDOOR_LUX.sunriseOrSunset, least: OUTDOOR_LUX.endOfCivilTwilight };
  }
  if (phase !== 'day') {
    return { kind: 'between', most: OUTDOOR_LUX.endOfCivilTwilight, least: OUTDOOR_LUX.clearStarlight };
  }
  const [year = 0, month = 0, day = 0] = date.split('-').map(Number);
  const lux = daylightLux(Math.max(0, heightDeg), dayOfYear(year, month, day), sky);
  return { kind: 'estimate', lux, ev100: exposureValueOfIlluminance(lux) };
}

/** Sunrise, sunset, noon and twilights of a date at a place; `null` where they cannot be worked out. */
export function sunDayAt({ place, zone }: Located, date: string): SunDay | null {
  try {
    return sunDay(place, zone, date);
  } catch (error) {
    if (error instanceof CraftError) return null;
    throw error;
  }
}
