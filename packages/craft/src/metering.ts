import { ndFilterFactor } from './attenuation.ts';
import { requireFiniteResult, requirePositive } from './errors.ts';
import { type ExposureSettings, INCIDENT_C_FLAT, REFLECTED_K } from './exposure-settings.ts';

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
  const light = (settings: SettingsWithout<'aperture'>) =>
    (requirePositive('exposureSeconds', settings.exposureSeconds) * requirePositive('iso', settings.iso)) /
    ndFilterFactor(settings.ndDensity ?? 0);
  const aperture = requirePositive('aperture', before.aperture) * Math.sqrt(light(after) / light(before));
  return requirePositive('aperture', requireFiniteResult('aperture', aperture));
}
