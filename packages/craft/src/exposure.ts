import { ndFilterFactor } from './attenuation.ts';
import { requireFiniteResult, requireNotNegative, requirePositive } from './errors.ts';
import { type ExposureSettings, INCIDENT_C_FLAT, REFLECTED_K } from './exposure-settings.ts';

export * from './attenuation.ts';
export * from './exposure-settings.ts';
export * from './metering.ts';
export * from './ratios.ts';

/**
 * Exposure value of an aperture and a time, at whatever sensitivity.
 *
 * @param aperture f- or T-number, exact
 * @param exposureSeconds exposure time, s
 * @unit EV
 * @formula EV = log2(N² / t)
 * @source ANSI PH2.7-1986 (APEX): EV 0 is f/1 at 1 s
 * @throws CraftError when one of them is not above 0
 */
export function exposureValue(aperture: number, exposureSeconds: number): number {
  return (
    2 * Math.log2(requirePositive('aperture', aperture)) -
    Math.log2(requirePositive('exposureSeconds', exposureSeconds))
  );
}

/**
 * Exposure value reduced to ISO 100: the light the settings ask for, on the EV scale.
 *
 * @param settings what the camera is set to
 * @unit EV at ISO 100
 * @formula EV100 = log2(N² / t) − log2(S / 100) + D / log10 2
 * @source ANSI PH2.7-1986 (APEX); density by ISO 5-2
 * @throws CraftError when a setting is impossible
 */
export function exposureValueAtIso100(settings: ExposureSettings): number {
  return (
    exposureValue(settings.aperture, settings.exposureSeconds) -
    Math.log2(requirePositive('iso', settings.iso) / 100) +
    requireNotNegative('ndDensity', settings.ndDensity ?? 0) / Math.log10(2)
  );
}

/**
 * Illuminance that an incident meter would have to read for these settings.
 *
 * @param settings what the camera is set to
 * @param calibrationC incident-light constant, lx s ISO; 250 when left out
 * @unit lx
 * @formula E = N² C / (t S) · 10^D
 * @constants C = 250 lx s ISO (flat receptor; ISO 2720 allows 240 to 400, and 320 to 540 for a hemisphere)
 * @source ISO 2720:1974; density by ISO 5-2
 * @throws CraftError when a setting is impossible
 */
export function askedIlluminanceLux(
  settings: ExposureSettings,
  calibrationC: number = INCIDENT_C_FLAT,
): number {
  return askedLight(settings, requirePositive('calibrationC', calibrationC), 'illuminance');
}

/**
 * Luminance that a reflected-light meter would have to read for these settings.
 *
 * @param settings what the camera is set to
 * @param calibrationK reflected-light constant, cd s ISO / m²; 12.5 when left out
 * @unit cd/m²
 * @formula L = N² K / (t S) · 10^D
 * @constants K = 12.5 cd s ISO / m² (ISO 2720 allows 10.6 to 13.4)
 * @source ISO 2720:1974; density by ISO 5-2
 * @throws CraftError when a setting is impossible
 */
export function askedLuminance(settings: ExposureSettings, calibrationK: number = REFLECTED_K): number {
  return askedLight(settings, requirePositive('calibrationK', calibrationK), 'luminance');
}

function askedLight(settings: ExposureSettings, constant: number, field: string): number {
  const { aperture, exposureSeconds, iso, ndDensity = 0 } = settings;
  const asked =
    (requirePositive('aperture', aperture) ** 2 * constant * ndFilterFactor(ndDensity)) /
    (requirePositive('exposureSeconds', exposureSeconds) * requirePositive('iso', iso));
  return requirePositive(field, requireFiniteResult(field, asked));
}

/**
 * How far the light on the subject is from what the settings ask for.
 *
 * @param illuminanceLux incident reading, lx
 * @param settings what the camera is set to
 * @param calibrationC incident-light constant, lx s ISO; 250 when left out
 * @unit stop, positive when the picture comes out brighter than the meter asks
 * @formula offset = log2(E / E_asked)
 * @constants C = 250 lx s ISO
 * @source ISO 2720:1974
 * @throws CraftError when the reading is not above 0 or a setting is impossible
 */
export function exposureOffsetStops(
  illuminanceLux: number,
  settings: ExposureSettings,
  calibrationC: number = INCIDENT_C_FLAT,
): number {
  const asked = askedIlluminanceLux(settings, calibrationC);
  // Difference of logarithms: the quotient of two allowed values may be out of range, their logarithms are not.
  return Math.log2(requirePositive('illuminanceLux', illuminanceLux)) - Math.log2(asked);
}

/**
 * How far a spot reading is from what the settings ask for.
 *
 * @param luminance reflected reading, cd/m²
 * @param settings what the camera is set to
 * @param calibrationK reflected-light constant, cd s ISO / m²; 12.5 when left out
 * @unit stop, positive when the spot comes out brighter than the meter's mid tone
 * @formula offset = log2(L / L_asked)
 * @constants K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974
 * @throws CraftError when the reading is not above 0 or a setting is impossible
 */
export function spotOffsetStops(
  luminance: number,
  settings: ExposureSettings,
  calibrationK: number = REFLECTED_K,
): number {
  return (
    Math.log2(requirePositive('luminance', luminance)) - Math.log2(askedLuminance(settings, calibrationK))
  );
}

/**
 * Exposure value of a luminance.
 *
 * @param luminance cd/m²
 * @param iso sensitivity, ISO; 100 when left out
 * @param calibrationK reflected-light constant, cd s ISO / m²; 12.5 when left out
 * @unit EV
 * @formula EV = log2(L S / K)
 * @constants K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974
 * @throws CraftError when an argument is not above 0
 */
export function exposureValueOfLuminance(
  luminance: number,
  iso = 100,
  calibrationK: number = REFLECTED_K,
): number {
  return logOfProduct('luminance', luminance, iso, 'calibrationK', calibrationK);
}

/**
 * Exposure value of an illuminance.
 *
 * @param illuminanceLux lx
 * @param iso sensitivity, ISO; 100 when left out
 * @param calibrationC incident-light constant, lx s ISO; 250 when left out
 * @unit EV
 * @formula EV = log2(E S / C)
 * @constants C = 250 lx s ISO
 * @source ISO 2720:1974
 * @throws CraftError when an argument is not above 0
 */
export function exposureValueOfIlluminance(
  illuminanceLux: number,
  iso = 100,
  calibrationC: number = INCIDENT_C_FLAT,
): number {
  return logOfProduct('illuminanceLux', illuminanceLux, iso, 'calibrationC', calibrationC);
}

function logOfProduct(field: string, light: number, iso: number, name: string, constant: number): number {
  return (
    Math.log2(requirePositive(field, light)) +
    Math.log2(requirePositive('iso', iso)) -
    Math.log2(requirePositive(name, constant))
  );
}
