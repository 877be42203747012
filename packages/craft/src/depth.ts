import { CraftError, requireFiniteResult, requirePositive } from './errors.ts';
import { diagonalMm, requireFocus } from './field.ts';

export * from './field.ts';

/** What the fractions of the diagonal are divided by when nothing is said. Common practice, no source. */
export const CIRCLE_OF_CONFUSION_DIVISOR = 1500;

/** Divisors of the sensor's diagonal by what the picture is for. Common practice, no source. */
export const CIRCLE_OF_CONFUSION_DIVISORS = {
  /** Small screens and web pages. */
  smallScreen: 1000,
  /** Television and general use. */
  general: 1500,
  /** Large cinema screens and heavy cropping. */
  largeScreen: 2000,
} as const;

/** A focused lens. */
export interface LensSetting {
  /** Focal length, mm. */
  readonly focalLengthMm: number;
  /** f-number, exact. Depth goes with the f-number, not the T-number. */
  readonly aperture: number;
  /** Largest blur that still counts as sharp, on the sensor, mm. */
  readonly circleOfConfusionMm: number;
}

/** How deep the sharp part of the scene is. */
export interface DepthOfField {
  /** Nearest sharp distance, mm. */
  readonly nearMm: number;
  /** Farthest sharp distance, mm; Infinity when the lens is focused at or beyond the hyperfocal distance. */
  readonly farMm: number;
  /** Far less near, mm; Infinity when far is. */
  readonly totalMm: number;
  /** Hyperfocal distance, mm. */
  readonly hyperfocalMm: number;
}

/** Relative slack by which a focus distance counts as the hyperfocal one: its formula rounds in the last digit. */
const HYPERFOCAL_ROUNDING = 1e-9;

/**
 * Hyperfocal distance: focused there, everything from half of it to infinity is sharp.
 *
 * @param lens focal length, aperture and circle of confusion
 * @unit mm
 * @formula H = f² / (N c) + f
 * @source thin-lens depth of field (Greenleaf, Photographic Optics, 1950; Ray, Applied Photographic Optics)
 * @throws CraftError when an argument is not above 0
 */
export function hyperfocalMm(lens: LensSetting): number {
  const f = requirePositive('focalLengthMm', lens.focalLengthMm);
  const blur =
    requirePositive('aperture', lens.aperture) *
    requirePositive('circleOfConfusionMm', lens.circleOfConfusionMm);
  return requireFiniteResult('hyperfocalMm', f ** 2 / blur + f);
}

/**
 * Near and far limit of sharpness.
 *
 * @param lens focal length, aperture, circle of confusion and focus distance; the distance is from the lens, longer
 *   than the focal length
 * @unit mm; far and total are Infinity from the hyperfocal distance on
 * @formula near = s (H − f) / (H + s − 2f); far = s (H − f) / (H − s), infinite for s ≥ H
 * @source thin-lens depth of field (Greenleaf, Photographic Optics, 1950; Ray, Applied Photographic Optics)
 * @throws CraftError when an argument is not above 0 or the lens is focused inside its own focal length
 */
export function depthOfField(lens: LensSetting & { readonly focusDistanceMm: number }): DepthOfField {
  const f = lens.focalLengthMm;
  const H = hyperfocalMm(lens);
  const s = requireFocus(lens.focusDistanceMm, f);
  const nearMm = (s * (H - f)) / (H + s - 2 * f);
  if (s >= H * (1 - HYPERFOCAL_ROUNDING)) {
    return { nearMm, farMm: Number.POSITIVE_INFINITY, totalMm: Number.POSITIVE_INFINITY, hyperfocalMm: H };
  }
  const farMm = (s * (H - f)) / (H - s);
  // far - near in one fraction: the difference of two nearly equal limits would lose its digits.
  const totalMm = (2 * s * (H - f) * (s - f)) / ((H - s) * (H + s - 2 * f));
  return { nearMm, farMm, totalMm, hyperfocalMm: H };
}

/**
 * Limits of sharpness as parts of the focus distance, with the focal length neglected.
 *
 * @param hyperfocalOverFocus hyperfocal distance over focus distance, above 0
 * @unit 1; far is Infinity from 1 down
 * @formula near / s = k / (k + 1); far / s = k / (k − 1)
 * @source rec.photo lenses FAQ, section 11
 * @throws CraftError when it is not above 0
 */
export function depthFractions(hyperfocalOverFocus: number): { readonly near: number; readonly far: number } {
  const k = requirePositive('hyperfocalOverFocus', hyperfocalOverFocus);
  return { near: k / (k + 1), far: k > 1 ? k / (k - 1) : Number.POSITIVE_INFINITY };
}

/**
 * Circle of confusion as a part of the sensor's diagonal.
 *
 * @param sensorWidthMm width of the sensor used, mm
 * @param sensorHeightMm height of the sensor used, mm
 * @param divisor 1500 when left out; larger for larger screens (`CIRCLE_OF_CONFUSION_DIVISORS`)
 * @unit mm
 * @formula c = √(w² + h²) / divisor
 * @constants divisor = 1500
 * @source common practice, no source
 * @throws CraftError when an argument is not above 0
 */
export function circleOfConfusionMm(
  sensorWidthMm: number,
  sensorHeightMm: number,
  divisor: number = CIRCLE_OF_CONFUSION_DIVISOR,
): number {
  return diagonalMm(sensorWidthMm, sensorHeightMm) / requirePositive('divisor', divisor);
}

/**
 * Diameter of the blur that a point at some distance leaves on the sensor.
 *
 * @param lens focal length, aperture and focus distance
 * @param distanceMm distance of the point, mm; Infinity allowed
 * @unit mm
 * @formula b = (f² / N) |d − s| / (d (s − f)); at infinity b = f² / (N (s − f))
 * @source thin-lens geometry (Ray, Applied Photographic Optics)
 * @throws CraftError when an argument is not above 0 or the lens is focused inside its own focal length
 */
export function blurDiameterMm(
  lens: { readonly focalLengthMm: number; readonly aperture: number; readonly focusDistanceMm: number },
  distanceMm: number,
): number {
  const f = requirePositive('focalLengthMm', lens.focalLengthMm);
  const s = requireFocus(lens.focusDistanceMm, f);
  const atInfinity = f ** 2 / (requirePositive('aperture', lens.aperture) * (s - f));
  if (distanceMm === Number.POSITIVE_INFINITY) {
    return requireFiniteResult('blur', atInfinity);
  }
  return requireFiniteResult(
    'blur',
    atInfinity * Math.abs(1 - s / requirePositive('distanceMm', distanceMm)),
  );
}

/**
 * Aperture that makes everything between two distances just sharp, and where to focus for it.
 *
 * @param lens focal length and circle of confusion
 * @param nearMm nearest distance that must be sharp, mm
 * @param farMm farthest distance that must be sharp, mm; Infinity allowed
 * @unit f-number and mm
 * @formula s = 2 n r / (n + r); N = f² (r − n) / (c (2 n r − f (n + r))); at infinity s = 2n, N = f² / (c (2n − f))
 * @source the thin-lens limits solved for N and s
 * @throws CraftError when near is not beyond the focal length or far not beyond near
 */
export function apertureForDepth(
  lens: { readonly focalLengthMm: number; readonly circleOfConfusionMm: number },
  nearMm: number,
  farMm: number,
): { readonly aperture: number; readonly focusDistanceMm: number } {
  const f = requirePositive('focalLengthMm', lens.focalLengthMm);
  const c = requirePositive('circleOfConfusionMm', lens.circleOfConfusionMm);
  requirePositive('nearMm', nearMm);
  if (nearMm <= f) {
    throw new CraftError('nearMm', nearMm, `longer than the focal length, ${f} mm`);
  }
  if (!(farMm > nearMm)) {
    throw new CraftError('farMm', farMm, `beyond the near distance, ${nearMm} mm`);
  }
  if (farMm === Number.POSITIVE_INFINITY) {
    return { aperture: f ** 2 / (c * (2 * nearMm - f)), focusDistanceMm: 2 * nearMm };
  }
  const product = 2 * nearMm * requirePositive('farMm', farMm);
  return {
    aperture: (f ** 2 * (farMm - nearMm)) / (c * (product - f * (nearMm + farMm))),
    focusDistanceMm: product / (nearMm + farMm),
  };
}
