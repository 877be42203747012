import { CraftError, requireInteger, requireNotNegative, requireWithin } from './errors.ts';

/** Solar illuminance outside the atmosphere at the mean distance, lx (IES 1984). */
export const SOLAR_ILLUMINANCE_LUX = 127_500;

/** How the sky looks, in the three steps of the IES model. */
export type Sky = 'clear' | 'partly cloudy' | 'overcast';

/** Constants of the IES model by sky: extinction of the sun's beam, and A, B, C of the sky's light in lx. */
export const IES_SKIES = {
  clear: { extinction: 0.21, baseLux: 800, gainLux: 15_500, power: 0.5 },
  'partly cloudy': { extinction: 0.8, baseLux: 300, gainLux: 45_000, power: 1 },
  overcast: { extinction: Number.POSITIVE_INFINITY, baseLux: 300, gainLux: 21_000, power: 1 },
} as const satisfies Record<Sky, { extinction: number; baseLux: number; gainLux: number; power: number }>;

/** Orders of magnitude outdoors, lx. Published tables differ by a factor of ten for cloud and for moonlight. */
export const OUTDOOR_LUX = {
  openClearSummerSky: 100_000,
  directSun: 100_000,
  shadeClearSky: 15_000,
  overcast: 10_000,
  heavilyOvercast: 5000,
  sunriseOrSunset: 400,
  endOfCivilTwilight: 3.4,
  fullMoonClear: 0.25,
  clearStarlight: 0.001,
} as const;

function sinOfHeight(heightDeg: number): number {
  return Math.sin((requireWithin('heightDeg', heightDeg, -90, 90) * Math.PI) / 180);
}

/**
 * Number of a date in its year.
 *
 * @param year calendar year
 * @param month 1 to 12
 * @param day 1 to 31
 * @unit day; 1 January is 1
 * @source Gregorian calendar
 * @throws CraftError when there is no such date
 */
export function dayOfYear(year: number, month: number, day: number): number {
  const start = Date.UTC(requireInteger('year', year, 1), 0, 1);
  const at = Date.UTC(year, requireInteger('month', month, 1) - 1, requireInteger('day', day, 1));
  const date = new Date(at);
  if (date.getUTCFullYear() !== year || date.getUTCMonth() !== month - 1 || date.getUTCDate() !== day) {
    throw new CraftError('date', `${year}-${month}-${day}`, 'a date of the calendar');
  }
  return (at - start) / 86_400_000 + 1;
}

/**
 * Solar illuminance outside the atmosphere, across the beam.
 *
 * @param day number of the day in its year, 1 to 366
 * @unit lx
 * @formula E = 127 500 (1 + 0.034 cos(2π (J − 2) / 365))
 * @constants 127.5 klx
 * @source IES, Calculation of Daylight Availability, J. IES 13 (1984) 381–392
 * @throws CraftError when the day is out of range
 */
export function extraterrestrialLux(day: number): number {
  const J = requireWithin('day', day, 1, 366);
  return SOLAR_ILLUMINANCE_LUX * (1 + 0.034 * Math.cos((2 * Math.PI * (J - 2)) / 365));
}

/** Sunlight after the air has taken its part. */
export interface DirectSun {
  /** Illuminance across the beam, lx. */
  readonly normalLux: number;
  /** Illuminance on level ground, lx. */
  readonly horizontalLux: number;
}

/**
 * Illuminance of the sun's own beam.
 *
 * @param heightDeg sun's height above the horizon, degree; at or below 0 there is no beam
 * @param day number of the day in its year, 1 to 366
 * @param extinction extinction of the beam; 0.21 (clear) when left out, 0.80 partly cloudy
 * @unit lx
 * @formula m = 1 / sin h; E_normal = E_ext e^(−c m); E_horizontal = E_normal sin h
 * @constants c = 0.21 clear, 0.80 partly cloudy, no beam when overcast
 * @source IES, Calculation of Daylight Availability, J. IES 13 (1984) 381–392
 * @throws CraftError when an argument is out of range
 */
export function directSunLux(
  heightDeg: number,
  day: number,
  extinction: number = IES_SKIES.clear.extinction,
): DirectSun {
  const sine = sinOfHeight(heightDeg);
  const outside = extraterrestrialLux(day);
  if (!(extinction >= 0)) {
    throw new CraftError('extinction', extinction, 'a number, 0 or above');
  }
  if (sine <= 0) {
    return { normalLux: 0, horizontalLux: 0 };
  }
  const normalLux = outside * Math.exp(-extinction / sine);
  return { normalLux, horizontalLux: normalLux * sine };
}

/**
 * Illuminance of the sky alone on level ground, with an open horizon.
 *
 * @param heightDeg sun's height above the horizon, degree, 0 to 90
 * @param sky clear, partly cloudy or overcast
 * @unit lx
 * @formula E = A + B sin^C h
 * @constants clear 800, 15 500, 0.5; partly cloudy 300, 45 000, 1; overcast 300, 21 000, 1
 * @source IES, Calculation of Daylight Availability, J. IES 13 (1984) 381–392 (partly cloudy from memory)
 * @throws CraftError when the sun is below the horizon, where the model ends
 */
export function skyLux(heightDeg: number, sky: Sky): number {
  requireWithin('heightDeg', heightDeg, 0, 90);
  const { baseLux, gainLux, power } = iesSky(sky);
  return baseLux + gainLux * sinOfHeight(heightDeg) ** power;
}

function iesSky(sky: Sky): (typeof IES_SKIES)[Sky] {
  const model = IES_SKIES[sky];
  if (!model) {
    throw new CraftError('sky', sky, 'clear, partly cloudy or overcast');
  }
  return model;
}

/**
 * Daylight on level ground: sun and sky.
 *
 * @param heightDeg sun's height above the horizon, degree, 0 to 90
 * @param day number of the day in its year, 1 to 366
 * @param sky clear, partly cloudy or overcast; clear when left out
 * @unit lx
 * @formula sun's beam on level ground + sky
 * @source IES, Calculation of Daylight Availability, J. IES 13 (1984) 381–392
 * @note An estimate for planning: haze, shade and single clouds move it by a stop and more. Meter before the take.
 * @throws CraftError when the sun is below the horizon, where the model ends
 */
export function daylightLux(heightDeg: number, day: number, sky: Sky = 'clear'): number {
  return skyLux(heightDeg, sky) + directSunLux(heightDeg, day, iesSky(sky).extinction).horizontalLux;
}

/**
 * Part of a clear day's light that is left under cloud, when the sky is known in eighths.
 *
 * @param oktas eighths of the sky that are covered, 0 to 8
 * @unit 1
 * @formula factor = 1 − 0.75 (n / 8)^3.4
 * @source Kasten & Czeplak, Solar Energy 24 (1980) 177–189, from memory; made for irradiance, used here for light
 * @throws CraftError when it is not from 0 to 8
 */
export function cloudFactor(oktas: number): number {
  return 1 - 0.75 * (requireWithin('oktas', oktas, 0, 8) / 8) ** 3.4;
}

/**
 * Daylight on level ground with cloud as a factor on the clear day.
 *
 * @param heightDeg sun's height above the horizon, degree, 0 to 90
 * @param day number of the day in its year, 1 to 366
 * @param factor part of the clear day's light that comes through; `cloudFactor` gives one from the cover
 * @unit lx
 * @formula E = factor · (sun + clear sky)
 * @source IES 1984 for the clear day
 * @throws CraftError when the sun is below the horizon or the factor negative
 */
export function daylightUnderCloudLux(heightDeg: number, day: number, factor: number): number {
  return requireNotNegative('factor', factor) * daylightLux(heightDeg, day, 'clear');
}

/**
 * Thickness of air that the sun shines through, in units of the thickness straight up.
 *
 * @param heightDeg sun's height above the horizon, degree, 0 to 90
 * @unit 1
 * @formula m = 1 / (sin h + 0.50572 (h + 6.07995)^−1.6364)
 * @source Kasten & Young, Applied Optics 28 (1989) 4735–4738
 * @throws CraftError when the height is out of range
 */
export function airMass(heightDeg: number): number {
  requireWithin('heightDeg', heightDeg, 0, 90);
  return 1 / (sinOfHeight(heightDeg) + 0.50572 * (heightDeg + 6.07995) ** -1.6364);
}
