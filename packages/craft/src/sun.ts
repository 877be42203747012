import {
  Body,
  Equator,
  Horizon,
  Observer,
  SearchAltitude,
  SearchHourAngle,
  SearchRiseSet,
} from 'astronomy-engine';
import { CraftError, requirePositive, requireWithin } from './errors.ts';
import { startOfDay } from './zones.ts';

/** Shown wherever the board says where the sun will be. */
export const SUN_CAUTION =
  'Never look at the sun through a viewfinder or a long lens, and cap the lens between takes: the sun in the picture can burn an eye, a shutter and a sensor.';

/** Distances from the zenith that sunrise and the twilights are defined by, degree (U.S. Naval Observatory). */
export const SUN_ZENITHS = {
  /** 90° and 50′: 34′ of refraction and 16′ of the sun's radius. */
  sunriseAndSunset: 90 + 50 / 60,
  civilTwilight: 96,
  nauticalTwilight: 102,
  astronomicalTwilight: 108,
} as const;
/** Refraction at the horizon that sunrise counts with, minute of arc. */
export const HORIZON_REFRACTION_ARCMIN = 34;
/** Mean radius of the sun's disc, minute of arc. */
export const SUN_SEMIDIAMETER_ARCMIN = 16;

/** Standard air that refraction is given for. */
export const STANDARD_AIR = { pressureHPa: 1010, celsius: 10 } as const;

/** A place on the Earth. */
export interface Place {
  /** Degrees, north positive. */
  readonly latitude: number;
  /** Degrees, east positive. */
  readonly longitude: number;
  /** Height above the sea, m; 0 when left out. It moves the sun by less than can be seen. */
  readonly heightMetres?: number;
}

/** Where the sun stands. */
export interface SunPosition {
  /** Bearing from true north, clockwise, degree. */
  readonly azimuthDeg: number;
  /** Height of the centre above a level horizon, without the air, degree. */
  readonly trueHeightDeg: number;
  /** The same as seen through the air; below the horizon no refraction is applied. */
  readonly apparentHeightDeg: number;
  /** Declination as seen from the place, degree. */
  readonly declinationDeg: number;
}

/** The eight moments of a day, and what kind of day it is. A moment is null when it does not happen. */
export interface SunDay {
  readonly solarNoon: Date;
  readonly noonHeightDeg: number;
  readonly sunrise: Date | null;
  readonly sunset: Date | null;
  readonly civilDawn: Date | null;
  readonly civilDusk: Date | null;
  readonly nauticalDawn: Date | null;
  readonly nauticalDusk: Date | null;
  readonly astronomicalDawn: Date | null;
  readonly astronomicalDusk: Date | null;
  /** From sunrise to sunset, s; null when one of them does not happen. */
  readonly dayLengthSeconds: number | null;
  readonly state: 'rises and sets' | 'polar day' | 'polar night';
}

const HALF_DAY_MS = 43_200_000;

/** The place as the astronomy library wants it; throws `CraftError` when it is not on the Earth. */
export function requirePlace(place: Place): Observer {
  return new Observer(
    requireWithin('latitude', place.latitude, -90, 90),
    requireWithin('longitude', place.longitude, -180, 180),
    requireWithin('heightMetres', place.heightMetres ?? 0, -500, 9000),
  );
}

function requireDate(field: string, at: Date): Date {
  const ms = at.getTime();
  if (!Number.isFinite(ms)) {
    throw new CraftError(field, String(at), 'a valid date');
  }
  return at;
}

/**
 * Where the sun stands at a moment.
 *
 * @param place latitude, longitude, height above the sea
 * @param at moment
 * @param air pressure and temperature for the refraction; 1010 hPa and 10 °C when left out
 * @unit degree
 * @formula apparent place of the date, as seen from the place; refraction after Saemundsson, in proportion to pressure over absolute temperature
 * @source astronomy-engine 2.1.19; within 0.0003° of astropy 5.2.1 and PyEphem 4.1.4 in height, 0.0024° in bearing at 86° height, and 0.01° of the NOAA equations
 * @note `SUN_CAUTION` belongs beside every figure of this function.
 * @throws CraftError when the place or the moment is out of range
 */
export function sunPosition(
  place: Place,
  at: Date,
  air: { readonly pressureHPa: number; readonly celsius: number } = STANDARD_AIR,
): SunPosition {
  const observer = requirePlace(place);
  const moment = requireDate('at', at);
  const pressure = requirePositive('pressureHPa', air.pressureHPa) / STANDARD_AIR.pressureHPa;
  const temperature = (273 + STANDARD_AIR.celsius) / (273 + requireWithin('celsius', air.celsius, -90, 60));
  const equator = Equator(Body.Sun, moment, observer, true, true);
  const bare = Horizon(moment, observer, equator.ra, equator.dec);
  const seen = Horizon(moment, observer, equator.ra, equator.dec, 'normal');
  const isUp = bare.altitude > 90 - SUN_ZENITHS.sunriseAndSunset;
  const refraction = isUp ? (seen.altitude - bare.altitude) * pressure * temperature : 0;
  return {
    azimuthDeg: bare.azimuth,
    trueHeightDeg: bare.altitude,
    apparentHeightDeg: bare.altitude + refraction,
    declinationDeg: equator.dec,
  };
}

/**
 * Sunrise, sunset, noon and the three twilights of a date.
 *
 * @param place latitude, longitude, height above the sea
 * @param zone IANA name of the place's time zone, such as `Europe/Oslo`
 * @param date `2024-06-21`, a date at the place
 * @unit moments (`localIso` shows them on the place's clocks), degree, s
 * @formula noon of that date, then the half day before it and the half day after it; upper limb with 34′ of refraction for sunrise and sunset, centre at −6°, −12°, −18° without refraction for the twilights
 * @source definitions of the U.S. Naval Observatory; astronomy-engine 2.1.19, within 10 s of PyEphem and 16 s of the NOAA equations up to 65° of latitude; level horizon
 * @note A sunset can fall on the next date. Hills and houses are not known to it: see `sunAtHeight`.
 * @throws CraftError when the place, the zone or the date is out of range
 */
export function sunDay(place: Place, zone: string, date: string): SunDay {
  return sunDayFrom(place, startOfDay(zone, date));
}

/**
 * The same for the day that starts at a moment.
 *
 * @param place latitude, longitude, height above the sea
 * @param dayStart moment from which the next noon is looked for
 * @unit moments, degree, s
 * @formula as `sunDay`
 * @source as `sunDay`
 * @throws CraftError when the place or the moment is out of range
 */
export function sunDayFrom(place: Place, dayStart: Date): SunDay {
  const observer = requirePlace(place);
  const noon = SearchHourAngle(Body.Sun, observer, 0, requireDate('dayStart', dayStart)).time.date;
  const morning = new Date(noon.getTime() - HALF_DAY_MS);
  const rise = SearchRiseSet(Body.Sun, observer, +1, morning, 0.5)?.date ?? null;
  const set = SearchRiseSet(Body.Sun, observer, -1, noon, 0.5)?.date ?? null;
  const dawn = (height: number) => SearchAltitude(Body.Sun, observer, +1, morning, 0.5, height)?.date ?? null;
  const dusk = (height: number) => SearchAltitude(Body.Sun, observer, -1, noon, 0.5, height)?.date ?? null;
  const noonHeightDeg = sunPosition(place, noon).trueHeightDeg;
  return {
    solarNoon: noon,
    noonHeightDeg,
    sunrise: rise,
    sunset: set,
    civilDawn: dawn(90 - SUN_ZENITHS.civilTwilight),
    civilDusk: dusk(90 - SUN_ZENITHS.civilTwilight),
    nauticalDawn: dawn(90 - SUN_ZENITHS.nauticalTwilight),
    nauticalDusk: dusk(90 - SUN_ZENITHS.nauticalTwilight),
    astronomicalDawn: dawn(90 - SUN_ZENITHS.astronomicalTwilight),
    astronomicalDusk: dusk(90 - SUN_ZENITHS.astronomicalTwilight),
    dayLengthSeconds: rise && set ? (set.getTime() - rise.getTime()) / 1000 : null,
    state: dayState(rise !== null || set !== null, noonHeightDeg),
  };
}

function dayState(crossesHorizon: boolean, noonHeightDeg: number): SunDay['state'] {
  if (crossesHorizon) {
    return 'rises and sets';
  }
  return noonHeightDeg > 90 - SUN_ZENITHS.sunriseAndSunset ? 'polar day' : 'polar night';
}

/** When the sun climbs to a height and when it sinks to it again; null when it does not. */
export interface SunAtHeight {
  readonly rising: Date | null;
  readonly sinking: Date | null;
}

/**
 * When the sun reaches a height, for example the top of a hill or a roof.
 *
 * @param place latitude, longitude, height above the sea
 * @param zone IANA name of the place's time zone
 * @param date `2024-06-21`, a date at the place
 * @param heightDeg true height of the sun's centre, degree, −90 to 90
 * @unit moments
 * @formula the half day before noon and the half day after it
 * @source astronomy-engine 2.1.19
 * @throws CraftError when an argument is out of range
 */
export function sunAtHeight(place: Place, zone: string, date: string, heightDeg: number): SunAtHeight {
  const observer = requirePlace(place);
  const height = requireWithin('heightDeg', heightDeg, -90, 90);
  const noon = SearchHourAngle(Body.Sun, observer, 0, startOfDay(zone, date)).time.date;
  const morning = new Date(noon.getTime() - HALF_DAY_MS);
  return {
    rising: SearchAltitude(Body.Sun, observer, +1, morning, 0.5, height)?.date ?? null,
    sinking: SearchAltitude(Body.Sun, observer, -1, noon, 0.5, height)?.date ?? null,
  };
}

/** A moment at which the sun stands at a bearing. */
export interface SunAtBearing {
  readonly at: Date;
  readonly position: SunPosition;
}

/** Step of the walk along the day in which a bearing is looked for, ms. Even in the tropics the sun turns less than half round in it. */
const BEARING_STEP_MS = 240_000;

/**
 * When the sun reaches a bearing, for example the line of a street or a window.
 *
 * @param place latitude, longitude, height above the sea
 * @param from first moment
 * @param to last moment, at most 32 days later
 * @param azimuthDeg bearing from true north, clockwise, 0 to 360
 * @unit moments, with the sun's position (it may be below the horizon)
 * @formula walk in steps of four minutes, then halving to 0.1 s
 * @source astronomy-engine 2.1.19
 * @throws CraftError when an argument is out of range
 */
export function sunAtBearing(place: Place, from: Date, to: Date, azimuthDeg: number): SunAtBearing[] {
  const bearing = requireWithin('azimuthDeg', azimuthDeg, 0, 360);
  const start = requireDate('from', from).getTime();
  const end = requireDate('to', to).getTime();
  if (end < start || end - start > 32 * 2 * HALF_DAY_MS) {
    throw new CraftError('to', to.toISOString(), 'at or after the first moment, and within 32 days of it');
  }
  const away = (ms: number) =>
    ((((sunPosition(place, new Date(ms)).azimuthDeg - bearing + 180) % 360) + 360) % 360) - 180;
  const found: SunAtBearing[] = [];
  let before = away(start);
  for (let ms = start; ms < end; ms += BEARING_STEP_MS) {
    const next = Math.min(ms + BEARING_STEP_MS, end);
    const after = away(next);
    // A change of sign at the far side of the circle is the wrap of the angle and no crossing.
    if (before * after <= 0 && Math.abs(before) < 90 && Math.abs(after) < 90 && after !== 0) {
      const at = new Date(crossing(away, ms, next));
      found.push({ at, position: sunPosition(place, at) });
    }
    before = after;
  }
  return found;
}

/** Halves the step until the change of sign is known to 0.1 s. */
function crossing(f: (ms: number) => number, from: number, to: number): number {
  let low = from;
  let high = to;
  const sign = Math.sign(f(low));
  while (high - low > 100) {
    const middle = (low + high) / 2;
    if (Math.sign(f(middle)) === sign) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return Math.round((low + high) / 2);
}
