import { requireFiniteResult, requireNotNegative, requirePositive, requireWithin } from './errors.ts';
import { INCIDENT_C_FLAT, REFLECTED_K } from './exposure-settings.ts';

/** Lux in one foot-candle (one lumen per square foot; 1 ft = 0.3048 m exactly). */
export const LUX_PER_FOOTCANDLE = 1 / 0.3048 ** 2;
/** Candela per square metre in one foot-lambert. */
export const CANDELA_PER_M2_PER_FOOTLAMBERT = LUX_PER_FOOTCANDLE / Math.PI;
/** Reflectance of the usual grey card. Common practice, no source. */
export const GREY_CARD_REFLECTANCE = 0.18;

/**
 * Foot-candles in lux.
 *
 * @param footcandles illuminance, fc; 0 or above
 * @unit lx
 * @formula E = fc / 0.3048²
 * @source definition of the foot (0.3048 m) and of the foot-candle
 * @throws CraftError when negative or not finite
 */
export function luxFromFootcandles(footcandles: number): number {
  return requireFiniteResult(
    'illuminance',
    requireNotNegative('footcandles', footcandles) * LUX_PER_FOOTCANDLE,
  );
}

/**
 * Lux in foot-candles.
 *
 * @param illuminanceLux lx; 0 or above
 * @unit fc
 * @formula fc = E · 0.3048²
 * @source definition of the foot (0.3048 m) and of the foot-candle
 * @throws CraftError when negative or not finite
 */
export function footcandlesFromLux(illuminanceLux: number): number {
  return requireNotNegative('illuminanceLux', illuminanceLux) / LUX_PER_FOOTCANDLE;
}

/**
 * Illuminance after a small lamp is moved.
 *
 * @param illuminanceLux reading at the first distance, lx
 * @param fromMetres first distance, m
 * @param toMetres second distance, m
 * @unit lx
 * @formula E2 = E1 (d1 / d2)²
 * @source inverse-square law of a point source (CIE ILV); wrong close to a large source
 * @throws CraftError when an argument is not above 0
 */
export function illuminanceAtDistance(illuminanceLux: number, fromMetres: number, toMetres: number): number {
  const ratio = requirePositive('fromMetres', fromMetres) / requirePositive('toMetres', toMetres);
  return requireFiniteResult('illuminance', requirePositive('illuminanceLux', illuminanceLux) * ratio ** 2);
}

/**
 * Stops gained or lost by moving a small lamp.
 *
 * @param fromMetres first distance, m
 * @param toMetres second distance, m
 * @unit stop, positive when it gets brighter
 * @formula stops = 2 log2(d1 / d2)
 * @source inverse-square law of a point source (CIE ILV)
 * @throws CraftError when a distance is not above 0
 */
export function distanceStops(fromMetres: number, toMetres: number): number {
  return (
    2 *
    (Math.log2(requirePositive('fromMetres', fromMetres)) - Math.log2(requirePositive('toMetres', toMetres)))
  );
}

/**
 * Luminance of a matt surface.
 *
 * @param illuminanceLux light that falls on it, lx; 0 or above
 * @param reflectance part that it sends back, 0 to 1
 * @unit cd/m²
 * @formula L = ρ E / π
 * @source Lambert's cosine law
 * @throws CraftError when an argument is out of its range
 */
export function lambertLuminance(illuminanceLux: number, reflectance: number): number {
  return (
    (requireWithin('reflectance', reflectance, 0, 1) * requireNotNegative('illuminanceLux', illuminanceLux)) /
    Math.PI
  );
}

/**
 * Illuminance behind the luminance of a matt surface.
 *
 * @param luminance cd/m²; 0 or above
 * @param reflectance part of the light it sends back, above 0 up to 1
 * @unit lx
 * @formula E = π L / ρ
 * @source Lambert's cosine law
 * @throws CraftError when an argument is out of its range
 */
export function lambertIlluminanceLux(luminance: number, reflectance: number): number {
  requirePositive('reflectance', reflectance);
  const rho = requireWithin('reflectance', reflectance, 0, 1);
  return requireFiniteResult('illuminance', (Math.PI * requireNotNegative('luminance', luminance)) / rho);
}

/**
 * Reflectance at which an incident and a reflected meter agree.
 *
 * @param calibrationK reflected-light constant, cd s ISO / m²; 12.5 when left out
 * @param calibrationC incident-light constant, lx s ISO; 250 when left out
 * @unit 1
 * @formula R = π K / C
 * @constants K = 12.5, C = 250: R = 0.157, not the 0.18 of the grey card
 * @source ISO 2720:1974 with Lambert's cosine law
 * @throws CraftError when a constant is not above 0
 */
export function agreeingReflectance(
  calibrationK: number = REFLECTED_K,
  calibrationC: number = INCIDENT_C_FLAT,
): number {
  return (
    (Math.PI * requirePositive('calibrationK', calibrationK)) / requirePositive('calibrationC', calibrationC)
  );
}
