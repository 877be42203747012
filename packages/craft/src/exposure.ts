import { ndFilterFactor } from './attenuation.ts';
import {
  CraftError,
  requireFinite,
  requireFiniteResult,
  requireNotNegative,
  requirePositive,
} from './errors.ts';

export {
  apertureStops,
  gainFromIso,
  gainFromStops,
  gainStops,
  isoFromGain,
  ndDensityForFactor,
  ndDensityForStops,
  ndFilterFactor,
  ndStack,
  ndStops,
  ndTransmittance,
  tNumber,
  transmittanceStops,
} from './attenuation.ts';

/** What a camera is set to, as far as exposure goes. */
export interface ExposureSettings {
  /** f- or T-number, exact (`exactFNumber` turns a mark into its exact value). */
  readonly aperture: number;
  /** Exposure time of one frame, s. */
  readonly exposureSeconds: number;
  /** Sensitivity, ISO. */
  readonly iso: number;
  /** Density of all neutral filters together; 0 when left out. */
  readonly ndDensity?: number;
}

/** Incident-light constant of a flat receptor that this package takes when none is given, lx s ISO. Common practice, no source. */
export const INCIDENT_C_FLAT = 250;
/** Incident-light constant of a hemispherical receptor often met, lx s ISO. Common practice, no source. */
export const INCIDENT_C_HEMISPHERE = 340;
/** Reflected-light constant that this package takes when none is given, cd s ISO / m². Common practice, no source. */
export const REFLECTED_K = 12.5;
/** Reflected-light constant of the other usual calibration, cd s ISO / m². Common practice, no source. */
export const REFLECTED_K_14 = 14;

/** Ranges that ISO 2720:1974 allows for the constants of a meter. */
export const METER_CONSTANT_RANGES = {
  reflectedK: { min: 10.6, max: 13.4, unit: 'cd s ISO / m²' },
  incidentFlatC: { min: 240, max: 400, unit: 'lx s ISO' },
  incidentHemisphereC: { min: 320, max: 540, unit: 'lx s ISO' },
} as const;

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

/** The light as a meter reads it, with the constant it was calibrated to. */
export type MeterReading =
  | { readonly illuminanceLux: number; readonly calibrationC?: number }
  | { readonly luminance: number; readonly calibrationK?: number };

/** Light over constant: 1 / (s ISO). Everything that is solved for below hangs on this one figure. */
function lightOverConstant(reading: MeterReading): number {
  if ('illuminanceLux' in reading) {
    const { illuminanceLux, calibrationC = INCIDENT_C_FLAT } = reading;
    return requirePositive('illuminanceLux', illuminanceLux) / requirePositive('calibrationC', calibrationC);
  }
  const { luminance, calibrationK = REFLECTED_K } = reading;
  return requirePositive('luminance', luminance) / requirePositive('calibrationK', calibrationK);
}

/** Settings with the one left out that a function solves for. */
export type SettingsWithout<Field extends 'aperture' | 'exposureSeconds' | 'iso' | 'ndDensity'> = Omit<
  ExposureSettings,
  Field
>;

/**
 * Aperture that a reading asks for.
 *
 * @param reading illuminance or luminance, with its constant
 * @param settings time, sensitivity and density that stay
 * @unit f- or T-number, exact
 * @formula N = √(E S t · 10^−D / C), or with L and K
 * @constants C = 250 lx s ISO, K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974
 * @throws CraftError when a reading or setting is impossible
 */
export function apertureFor(reading: MeterReading, settings: SettingsWithout<'aperture'>): number {
  const { exposureSeconds, iso, ndDensity = 0 } = settings;
  const square =
    (lightOverConstant(reading) *
      requirePositive('exposureSeconds', exposureSeconds) *
      requirePositive('iso', iso)) /
    ndFilterFactor(ndDensity);
  return requirePositive('aperture', requireFiniteResult('aperture', Math.sqrt(square)));
}

/**
 * Exposure time that a reading asks for.
 *
 * @param reading illuminance or luminance, with its constant
 * @param settings aperture, sensitivity and density that stay
 * @unit s
 * @formula t = N² C · 10^D / (E S), or with L and K
 * @constants C = 250 lx s ISO, K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974
 * @throws CraftError when a reading or setting is impossible
 */
export function exposureSecondsFor(
  reading: MeterReading,
  settings: SettingsWithout<'exposureSeconds'>,
): number {
  const { aperture, iso, ndDensity = 0 } = settings;
  const seconds =
    (requirePositive('aperture', aperture) ** 2 * ndFilterFactor(ndDensity)) /
    (lightOverConstant(reading) * requirePositive('iso', iso));
  return requirePositive('exposureSeconds', requireFiniteResult('exposureSeconds', seconds));
}

/**
 * Sensitivity that a reading asks for.
 *
 * @param reading illuminance or luminance, with its constant
 * @param settings aperture, time and density that stay
 * @unit ISO
 * @formula S = N² C · 10^D / (E t), or with L and K
 * @constants C = 250 lx s ISO, K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974
 * @throws CraftError when a reading or setting is impossible
 */
export function isoFor(reading: MeterReading, settings: SettingsWithout<'iso'>): number {
  const { aperture, exposureSeconds, ndDensity = 0 } = settings;
  const iso =
    (requirePositive('aperture', aperture) ** 2 * ndFilterFactor(ndDensity)) /
    (lightOverConstant(reading) * requirePositive('exposureSeconds', exposureSeconds));
  return requirePositive('iso', requireFiniteResult('iso', iso));
}

/**
 * Density that a reading asks for with everything else fixed.
 *
 * @param reading illuminance or luminance, with its constant
 * @param settings aperture, time and sensitivity that stay
 * @unit density; negative when there is too little light and no filter can help
 * @formula D = log10(E S t / (N² C)), or with L and K
 * @constants C = 250 lx s ISO, K = 12.5 cd s ISO / m²
 * @source ISO 2720:1974; density by ISO 5-2
 * @throws CraftError when a reading or setting is impossible
 */
export function ndDensityFor(reading: MeterReading, settings: SettingsWithout<'ndDensity'>): number {
  const { aperture, exposureSeconds, iso } = settings;
  return (
    Math.log10(lightOverConstant(reading)) +
    Math.log10(requirePositive('exposureSeconds', exposureSeconds)) +
    Math.log10(requirePositive('iso', iso)) -
    2 * Math.log10(requirePositive('aperture', aperture))
  );
}

/**
 * Aperture that keeps the exposure when time, sensitivity or filters change.
 *
 * @param before settings that were right
 * @param after time, sensitivity and density of the new settings
 * @unit f- or T-number, exact
 * @formula N2 = N1 √((t2 S2 · 10^−D2) / (t1 S1 · 10^−D1))
 * @source ISO 2720:1974; density by ISO 5-2
 * @throws CraftError when a setting is impossible
 */
export function compensatingAperture(before: ExposureSettings, after: SettingsWithout<'aperture'>): number {
  const calibrationC = INCIDENT_C_FLAT;
  return apertureFor({ illuminanceLux: askedIlluminanceLux(before, calibrationC), calibrationC }, after);
}

/**
 * Stops between two amounts of light.
 *
 * @param ratio the larger over the smaller, or any ratio above 0
 * @unit stop
 * @formula stops = log2 ratio
 * @source definition of the stop
 * @throws CraftError when the ratio is not above 0
 */
export function ratioStops(ratio: number): number {
  return Math.log2(requirePositive('ratio', ratio));
}

/**
 * Ratio of two amounts of light that lie a number of stops apart.
 *
 * @param stops stops
 * @unit 1
 * @formula ratio = 2^stops
 * @source definition of the stop
 * @throws CraftError when stops is not finite or the ratio out of range
 */
export function stopsRatio(stops: number): number {
  return requirePositive('ratio', requireFiniteResult('ratio', 2 ** requireFinite('stops', stops)));
}

/**
 * Stops between two exposure times.
 *
 * @param from time before, s
 * @param to time after, s
 * @unit stop, positive when the picture gets brighter
 * @formula stops = log2(t2 / t1)
 * @source ISO 2720:1974: exposure goes with time
 * @throws CraftError when a time is not above 0
 */
export function timeStops(from: number, to: number): number {
  return Math.log2(requirePositive('to', to)) - Math.log2(requirePositive('from', from));
}

/**
 * Stops between two sensitivities.
 *
 * @param from sensitivity before, ISO
 * @param to sensitivity after, ISO
 * @unit stop, positive when the picture gets brighter
 * @formula stops = log2(S2 / S1)
 * @source ISO 2720:1974: exposure goes with speed
 * @throws CraftError when a sensitivity is not above 0
 */
export function isoStops(from: number, to: number): number {
  return Math.log2(requirePositive('to', to)) - Math.log2(requirePositive('from', from));
}

/** Key light against fill light. */
export interface LightingRatio {
  /** Light on the key side over light on the fill side. */
  readonly ratio: number;
  /** The same in stops. */
  readonly stops: number;
}

/**
 * Key-to-fill ratio from two incident readings.
 *
 * @param keySideLux reading on the lit side with every lamp on, so that it holds the fill as well, lx
 * @param fillSideLux reading on the shadow side, fill only, lx
 * @unit ratio and stops
 * @formula ratio = (key + fill) / fill; stops = log2 ratio
 * @source common practice, no source: (key + fill) : fill, as the face shows it
 * @throws CraftError when a reading is not above 0
 */
export function keyToFill(keySideLux: number, fillSideLux: number): LightingRatio {
  const key = requirePositive('keySideLux', keySideLux);
  const fill = requirePositive('fillSideLux', fillSideLux);
  const ratio = requirePositive('ratio', requireFiniteResult('ratio', key / fill));
  return { ratio, stops: Math.log2(ratio) };
}

/**
 * One reading that stands for two, for example of the bright and the dark part of a frame.
 *
 * @param first one reading, lx or cd/m²
 * @param second the other, same unit
 * @param weightOfSecond 0 takes the first alone, 1 the second alone, 0.5 lies half way in stops
 * @unit that of the readings
 * @formula light = first^(1−w) · second^w
 * @source half way in stops is the geometric mean, by the definition of the stop
 * @throws CraftError when a reading is not above 0 or the weight not from 0 to 1
 */
export function readingBetween(first: number, second: number, weightOfSecond = 0.5): number {
  if (!(weightOfSecond >= 0 && weightOfSecond <= 1)) {
    throw new CraftError('weightOfSecond', weightOfSecond, 'a number from 0 to 1');
  }
  return (
    requirePositive('first', first) ** (1 - weightOfSecond) *
    requirePositive('second', second) ** weightOfSecond
  );
}
