import {
  requireFinite,
  requireFiniteResult,
  requireNotNegative,
  requirePositive,
  requireWithin,
} from './errors.ts';

/**
 * Stops that a density takes.
 *
 * @param density optical density, the figure on the filter; 0 or above
 * @unit stop
 * @formula stops = D / log10 2
 * @source ISO 5-2, definition of transmission density
 * @note A filter marked 0.9 takes 2.990 stops, one marked 3.0 takes 9.966; tables round each 0.3 to a whole stop.
 * @throws CraftError when the density is negative or not finite
 */
export function ndStops(density: number): number {
  return requireNotNegative('density', density) / Math.log10(2);
}

/**
 * Density that takes a given number of stops.
 *
 * @param stops stops of light to take; 0 or above
 * @unit density
 * @formula D = stops · log10 2
 * @source ISO 5-2, definition of transmission density
 * @throws CraftError when stops is negative or not finite
 */
export function ndDensityForStops(stops: number): number {
  return requireNotNegative('stops', stops) * Math.log10(2);
}

/**
 * Part of the light that a density lets through.
 *
 * @param density optical density; 0 or above
 * @unit 1
 * @formula τ = 10^−D
 * @source ISO 5-2, definition of transmission density
 * @throws CraftError when the density is negative or not finite
 */
export function ndTransmittance(density: number): number {
  return 10 ** -requireNotNegative('density', density);
}

/**
 * Filter factor of a density: how many times more light is needed.
 *
 * @param density optical density; 0 or above
 * @unit 1
 * @formula factor = 10^D
 * @source ISO 5-2, definition of transmission density
 * @throws CraftError when the density is negative, not finite or beyond any filter
 */
export function ndFilterFactor(density: number): number {
  return requireFiniteResult('filter factor', 10 ** requireNotNegative('density', density));
}

/**
 * Density of a filter that is marked with its factor (ND8 is a factor of 8).
 *
 * @param factor filter factor; 1 or above
 * @unit density
 * @formula D = log10 factor
 * @source ISO 5-2, definition of transmission density
 * @throws CraftError when the factor is below 1 or not finite
 */
export function ndDensityForFactor(factor: number): number {
  return Math.log10(requireWithin('factor', factor, 1, Number.MAX_VALUE));
}

/**
 * Density of filters one behind the other.
 *
 * @param densities optical densities; each 0 or above, none at all gives 0
 * @unit density
 * @formula D = D1 + D2 + …
 * @source ISO 5-2: transmittances multiply, so densities add
 * @throws CraftError when a density is negative or not finite
 */
export function ndStack(densities: readonly number[]): number {
  return densities.reduce((sum, density) => sum + requireNotNegative('density', density), 0);
}

/**
 * Sensitivity after a gain over a base sensitivity.
 *
 * @param baseIso sensitivity at 0 dB, ISO
 * @param gainDb gain in dB; negative where the camera allows it
 * @unit ISO
 * @formula S = S0 · 10^(dB / 20)
 * @source IEC 60027-3, decibel of a field quantity (video level is a voltage)
 * @note 18 dB is 2.990 stops, not 3.
 * @throws CraftError when the base is not above 0, the gain not finite or the result out of range
 */
export function isoFromGain(baseIso: number, gainDb: number): number {
  const iso = requirePositive('baseIso', baseIso) * 10 ** (requireFinite('gainDb', gainDb) / 20);
  return requirePositive('iso', requireFiniteResult('iso', iso));
}

/**
 * Gain that turns one sensitivity into another.
 *
 * @param baseIso sensitivity at 0 dB, ISO
 * @param iso sensitivity wanted, ISO
 * @unit dB
 * @formula dB = 20 log10(S / S0)
 * @source IEC 60027-3, decibel of a field quantity
 * @throws CraftError when one of them is not above 0
 */
export function gainFromIso(baseIso: number, iso: number): number {
  return 20 * Math.log10(requirePositive('iso', iso) / requirePositive('baseIso', baseIso));
}

/**
 * Stops of a gain.
 *
 * @param gainDb gain in dB
 * @unit stop
 * @formula stops = dB / (20 log10 2)
 * @source IEC 60027-3, decibel of a field quantity
 * @throws CraftError when the gain is not finite
 */
export function gainStops(gainDb: number): number {
  return requireFinite('gainDb', gainDb) / (20 * Math.log10(2));
}

/**
 * Gain of a number of stops.
 *
 * @param stops stops; positive brightens
 * @unit dB
 * @formula dB = stops · 20 log10 2
 * @source IEC 60027-3, decibel of a field quantity
 * @throws CraftError when stops is not finite
 */
export function gainFromStops(stops: number): number {
  return requireFinite('stops', stops) * 20 * Math.log10(2);
}

/**
 * Light lost from one aperture to another.
 *
 * @param from f- or T-number before, exact
 * @param to f- or T-number after, exact
 * @unit stop
 * @formula stops = 2 log2(N2 / N1)
 * @source ISO 517: illuminance goes with the inverse square of the aperture number
 * @note Positive is darker. Marked numbers are rounded: pass them through `exactFNumber` first (f/2.8 to f/4 is 1.029 by the marks).
 * @throws CraftError when one of them is not above 0
 */
export function apertureStops(from: number, to: number): number {
  return 2 * Math.log2(requirePositive('to', to) / requirePositive('from', from));
}

/**
 * T-number of a lens of a known transmittance.
 *
 * @param fNumber f-number, exact
 * @param transmittance part of the light the glass passes, above 0 up to 1
 * @unit T-number
 * @formula T = N / √τ
 * @source ISO 517 and textbooks of photographic optics
 * @throws CraftError when the f-number is not above 0 or the transmittance not in its range
 */
export function tNumber(fNumber: number, transmittance: number): number {
  requirePositive('transmittance', transmittance);
  return requirePositive('fNumber', fNumber) / Math.sqrt(requireWithin('transmittance', transmittance, 0, 1));
}

/**
 * Light that a lens loses in its glass.
 *
 * @param transmittance part of the light the glass passes, above 0 up to 1
 * @unit stop
 * @formula stops = −log2 τ
 * @source ISO 517 and textbooks of photographic optics
 * @throws CraftError when the transmittance is not in its range
 */
export function transmittanceStops(transmittance: number): number {
  requirePositive('transmittance', transmittance);
  // The subtraction keeps a lossless lens from answering -0.
  return 0 - Math.log2(requireWithin('transmittance', transmittance, 0, 1));
}
