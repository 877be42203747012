import {
  HORIZON_REFRACTION_ARCMIN,
  localIso,
  polarDay,
  polarNight,
  SUN_SEMIDIAMETER_ARCMIN,
  SUN_ZENITHS,
  sunDayFrom,
  sunPosition,
} from '@plumbline/craft';
import type { Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import { placeOf } from './place.ts';

const DEFINITIONS: Readonly<Record<string, Result>> = {
  sunrise_zenith: SUN_ZENITHS.sunriseAndSunset,
  sunset_zenith: SUN_ZENITHS.sunriseAndSunset,
  civil: SUN_ZENITHS.civilTwilight,
  nautical: SUN_ZENITHS.nauticalTwilight,
  astronomical: SUN_ZENITHS.astronomicalTwilight,
  horizon_refraction: HORIZON_REFRACTION_ARCMIN,
  refraction: HORIZON_REFRACTION_ARCMIN,
  semidiameter: SUN_SEMIDIAMETER_ARCMIN,
};

const DAY_MS = 86_400_000;
/** Year in which a season is looked for when the case names none: the tolerance of such cases is days. */
const ANY_YEAR = 2024;

/** Worked positions, worked days and seasons of a place, and what sunrise and twilight mean. */
export function solarFact(name: string, inputs: Inputs): Result {
  if (inputs.has('local_time') || inputs.has('utc')) {
    return worked(name, inputs);
  }
  if (inputs.has('utc_day') || inputs.has('date')) {
    return eventOfDay(name, inputs);
  }
  if (inputs.has('latitude')) {
    return season(name, inputs);
  }
  return DEFINITIONS[name];
}

function worked(name: string, inputs: Inputs): Result {
  const at = new Date(inputs.has('utc') ? inputs.text('utc') : inputs.text('local_time'));
  const position = sunPosition(placeOf(inputs), at, {
    pressureHPa: inputs.numOr('pressure', 1010),
    celsius: inputs.numOr('temperature', 10),
  });
  const values: Readonly<Record<string, Result>> = {
    azimuth: position.azimuthDeg,
    true_elevation: position.trueHeightDeg,
    true_zenith: 90 - position.trueHeightDeg,
    apparent_elevation: position.apparentHeightDeg,
    apparent_zenith: 90 - position.apparentHeightDeg,
    declination_topocentric: position.declinationDeg,
  };
  return values[name];
}

/** Day events on clocks of a fixed offset; the days are those of the place, not those of UTC. */
function eventOfDay(name: string, inputs: Inputs): Result {
  const offsetHours = inputs.numOr('utc_offset', 0, 'h');
  const date = inputs.has('utc_day') ? inputs.text('utc_day') : inputs.text('date');
  const start = Date.parse(`${date}T00:00:00Z`) - offsetHours * 3_600_000;
  const text = (moment: Date | null) => (moment === null ? null : withOffset(moment, offsetHours));
  const day = sunDayFrom(placeOf(inputs), new Date(start));
  switch (name) {
    case 'sunrise':
      return text(day.sunrise);
    case 'transit':
    case 'solar_noon':
      return text(day.solarNoon);
    case 'sunset':
      return text(day.sunset);
    case 'sunset_of_the_local_day_before':
      return text(sunDayFrom(placeOf(inputs), new Date(start - DAY_MS)).sunset);
    default:
      return undefined;
  }
}

function withOffset(moment: Date, offsetHours: number): string {
  const shifted = localIso('UTC', new Date(moment.getTime() + offsetHours * 3_600_000)).slice(0, -6);
  const minutes = Math.round(Math.abs(offsetHours) * 60);
  const two = (value: number) => String(value).padStart(2, '0');
  return `${shifted}${offsetHours < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

function season(name: string, inputs: Inputs): Result {
  const year = inputs.numOr('year', ANY_YEAR);
  const night = /without_sunrise|polar_night/.test(name);
  const day = /without_sunset|polar_day/.test(name);
  if (!night && !day) {
    return undefined;
  }
  const span = night ? polarNight(placeOf(inputs), year) : polarDay(placeOf(inputs), year);
  if (!span) {
    return null;
  }
  return (/^last|_end$/.test(name) ? span.lastDay : span.firstDay).slice(5);
}
