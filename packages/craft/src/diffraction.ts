import { requireFiniteResult, requirePositive } from './errors.ts';

/** Wavelength that stands for white light when nothing is said, nm. Common practice, no source. */
export const GREEN_WAVELENGTH_NM = 550;
/** First zero of the Airy pattern in units of λN: the diameter is twice 1.22. */
export const AIRY_DIAMETER_FACTOR = 2.44;

/**
 * Diameter of the Airy disc, to its first dark ring.
 *
 * @param aperture f-number, exact
 * @param wavelengthNm wavelength, nm; 550 when left out
 * @unit µm
 * @formula d = 2.44 λ N
 * @constants λ = 550 nm
 * @source Born & Wolf, Principles of Optics, 8.5.2 (1.22 λ N is the radius)
 * @throws CraftError when an argument is not above 0
 */
export function airyDiameterUm(aperture: number, wavelengthNm: number = GREEN_WAVELENGTH_NM): number {
  return requireFiniteResult(
    'diameter',
    (AIRY_DIAMETER_FACTOR *
      requirePositive('wavelengthNm', wavelengthNm) *
      requirePositive('aperture', aperture)) /
      1000,
  );
}

/**
 * Aperture at which the Airy disc is as wide as a circle of confusion, or as some photosites.
 *
 * @param diameterUm width that the disc may have, µm
 * @param wavelengthNm wavelength, nm; 550 when left out
 * @unit f-number
 * @formula N = d / (2.44 λ)
 * @constants λ = 550 nm
 * @source Born & Wolf, Principles of Optics, 8.5.2
 * @throws CraftError when an argument is not above 0
 */
export function diffractionAperture(diameterUm: number, wavelengthNm: number = GREEN_WAVELENGTH_NM): number {
  return requireFiniteResult(
    'aperture',
    (requirePositive('diameterUm', diameterUm) * 1000) /
      (AIRY_DIAMETER_FACTOR * requirePositive('wavelengthNm', wavelengthNm)),
  );
}

/**
 * Finest detail that any lens of this aperture passes.
 *
 * @param aperture f-number, exact
 * @param wavelengthNm wavelength, nm; 550 when left out
 * @unit cycle/mm
 * @formula ν = 1 / (λ N)
 * @constants λ = 550 nm
 * @source incoherent cut-off (Goodman, Introduction to Fourier Optics)
 * @throws CraftError when an argument is not above 0
 */
export function diffractionCutoffPerMm(aperture: number, wavelengthNm: number = GREEN_WAVELENGTH_NM): number {
  return requireFiniteResult(
    'cutoff',
    1e6 / (requirePositive('wavelengthNm', wavelengthNm) * requirePositive('aperture', aperture)),
  );
}

/**
 * Distance from one photosite to the next.
 *
 * @param sensorWidthMm width of the sensor, mm
 * @param photositesAcross photosites across it
 * @unit µm
 * @formula p = 1000 w / n
 * @source plane geometry
 * @throws CraftError when an argument is not above 0
 */
export function photositePitchUm(sensorWidthMm: number, photositesAcross: number): number {
  return (
    (1000 * requirePositive('sensorWidthMm', sensorWidthMm)) /
    requirePositive('photositesAcross', photositesAcross)
  );
}

/**
 * Finest detail that a row of photosites can tell apart.
 *
 * @param pitchUm distance from one photosite to the next, µm
 * @unit cycle/mm
 * @formula ν = 1000 / (2 p)
 * @source sampling theorem
 * @throws CraftError when it is not above 0
 */
export function nyquistPerMm(pitchUm: number): number {
  return requireFiniteResult('nyquist', 500 / requirePositive('pitchUm', pitchUm));
}

/**
 * How many photosites the Airy disc covers.
 *
 * @param aperture f-number, exact
 * @param pitchUm distance from one photosite to the next, µm
 * @param wavelengthNm wavelength, nm; 550 when left out
 * @unit photosite
 * @formula 2.44 λ N / p
 * @constants λ = 550 nm; above about 2 photosites the softening shows (common practice, no source)
 * @source Born & Wolf, Principles of Optics, 8.5.2
 * @throws CraftError when an argument is not above 0
 */
export function airyPhotosites(
  aperture: number,
  pitchUm: number,
  wavelengthNm: number = GREEN_WAVELENGTH_NM,
): number {
  return requireFiniteResult(
    'photosites',
    airyDiameterUm(aperture, wavelengthNm) / requirePositive('pitchUm', pitchUm),
  );
}
