import { CraftError, requireFinite, requirePositive } from './errors.ts';

/** Smallest difference that an eye sees side by side on a face, mired. Common practice, no source. */
export const JUST_VISIBLE_MIRED = 5;

/**
 * Mired of a colour temperature.
 *
 * @param kelvin colour temperature, K
 * @unit mired
 * @formula M = 10⁶ / T
 * @source Priest 1932; Ohta & Robertson, Colorimetry, 2005, p. 84
 * @throws CraftError when it is not above 0
 */
export function mired(kelvin: number): number {
  return 1e6 / requirePositive('kelvin', kelvin);
}

/**
 * Colour temperature of a mired value.
 *
 * @param mireds mired, above 0
 * @unit K
 * @formula T = 10⁶ / M
 * @source Priest 1932
 * @throws CraftError when it is not above 0
 */
export function kelvinFromMired(mireds: number): number {
  return 1e6 / requirePositive('mireds', mireds);
}

/**
 * Mired shift that turns one colour temperature into another.
 *
 * @param fromK colour temperature that there is, K
 * @param toK colour temperature that is wanted, K
 * @unit mired; negative is bluer, positive is warmer
 * @formula shift = 10⁶ / T_to − 10⁶ / T_from
 * @source Priest 1932; Ohta & Robertson, Colorimetry, 2005, p. 84
 * @throws CraftError when one of them is not above 0
 */
export function miredDifference(fromK: number, toK: number): number {
  return mired(toK) - mired(fromK);
}

/**
 * Colour temperature behind a filter.
 *
 * @param fromK colour temperature in front of it, K
 * @param shiftMired the filter's shift, mired
 * @unit K
 * @formula T2 = 10⁶ / (10⁶ / T1 + shift)
 * @source Priest 1932: shifts add in mired, not in kelvin
 * @throws CraftError when the shift goes beyond what any colour temperature can reach
 */
export function afterShift(fromK: number, shiftMired: number): number {
  const result = mired(fromK) + requireFinite('shiftMired', shiftMired);
  if (!(result > 0)) {
    throw new CraftError('shiftMired', shiftMired, `above ${-mired(fromK)} mired for a source of ${fromK} K`);
  }
  return kelvinFromMired(result);
}

/**
 * Shift of filters one behind the other.
 *
 * @param shiftsMired shifts, mired
 * @unit mired
 * @formula shift = shift1 + shift2 + …
 * @source Priest 1932: shifts add in mired
 * @throws CraftError when a shift is not finite
 */
export function combinedShift(shiftsMired: readonly number[]): number {
  return shiftsMired.reduce((sum, shift) => sum + requireFinite('shiftMired', shift), 0);
}
