import { CraftError, requireFiniteResult, requirePositive, requireWithin } from './errors.ts';

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

function requireFocus(focusDistanceMm: number, focalLengthMm: number): number {
  requirePositive('focusDistanceMm', focusDistanceMm);
  if (focusDistanceMm <= focalLengthMm) {
    throw new CraftError(
      'focusDistanceMm',
      focusDistanceMm,
      `longer than the focal length, ${focalLengthMm} mm`,
    );
  }
  return focusDistanceMm;
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
 * Diagonal of a sensor.
 *
 * @param widthMm width, mm
 * @param heightMm height, mm
 * @unit mm
 * @formula d = √(w² + h²)
 * @source plane geometry
 * @throws CraftError when one of them is not above 0
 */
export function diagonalMm(widthMm: number, heightMm: number): number {
  return requireFiniteResult(
    'diagonal',
    Math.hypot(requirePositive('widthMm', widthMm), requirePositive('heightMm', heightMm)),
  );
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
  const product = 2 * nearMm * farMm;
  return {
    aperture: (f ** 2 * (farMm - nearMm)) / (c * (product - f * (nearMm + farMm))),
    focusDistanceMm: product / (nearMm + farMm),
  };
}

/**
 * Angle that a lens sees across a length of the sensor.
 *
 * @param sensorMm width, height or diagonal of the sensor, mm
 * @param focalLengthMm focal length, mm
 * @param squeeze factor of an anamorphic lens across its width; 1 when left out
 * @unit degree, lens focused at infinity and free of distortion
 * @formula angle = 2 arctan(squeeze · d / 2f)
 * @source geometry of the rectilinear picture
 * @throws CraftError when an argument is not above 0
 */
export function angleOfViewDeg(sensorMm: number, focalLengthMm: number, squeeze = 1): number {
  const half =
    (requirePositive('squeeze', squeeze) * requirePositive('sensorMm', sensorMm)) /
    (2 * requirePositive('focalLengthMm', focalLengthMm));
  return (2 * Math.atan(half) * 180) / Math.PI;
}

/**
 * Focal length that sees a given angle across a length of the sensor.
 *
 * @param sensorMm width, height or diagonal of the sensor, mm
 * @param angleDeg angle of view, above 0 and below 180
 * @unit mm
 * @formula f = d / (2 tan(angle / 2))
 * @source geometry of the rectilinear picture
 * @throws CraftError when an argument is out of range
 */
export function focalLengthForAngleMm(sensorMm: number, angleDeg: number): number {
  requirePositive('angleDeg', angleDeg);
  const half = (requireWithin('angleDeg', angleDeg, 0, 179.999) * Math.PI) / 360;
  return requireFiniteResult('focalLengthMm', requirePositive('sensorMm', sensorMm) / (2 * Math.tan(half)));
}

/**
 * Width (or height) of the scene that fills the picture at a distance.
 *
 * @param sensorMm width or height of the sensor, mm
 * @param focalLengthMm focal length, mm
 * @param distanceMetres distance from the lens, m
 * @param squeeze factor of an anamorphic lens across its width; 1 when left out
 * @unit m
 * @formula field = squeeze · sensor · distance / f
 * @source similar triangles, lens focused at infinity
 * @throws CraftError when an argument is not above 0
 */
export function fieldWidthMetres(
  sensorMm: number,
  focalLengthMm: number,
  distanceMetres: number,
  squeeze = 1,
): number {
  return requireFiniteResult(
    'field',
    (requirePositive('squeeze', squeeze) *
      requirePositive('sensorMm', sensorMm) *
      requirePositive('distanceMetres', distanceMetres)) /
      requirePositive('focalLengthMm', focalLengthMm),
  );
}

/**
 * Crop factor of one format against another.
 *
 * @param format width and height of the sensor, mm
 * @param reference width and height of the format compared with, mm; 36 × 24 when left out
 * @unit 1
 * @formula factor = reference diagonal / diagonal
 * @constants reference 36 × 24 mm
 * @source similar triangles
 * @throws CraftError when a length is not above 0
 */
export function cropFactor(
  format: { readonly widthMm: number; readonly heightMm: number },
  reference: { readonly widthMm: number; readonly heightMm: number } = { widthMm: 36, heightMm: 24 },
): number {
  return diagonalMm(reference.widthMm, reference.heightMm) / diagonalMm(format.widthMm, format.heightMm);
}

/**
 * What another format needs for the same picture: same angle, same depth.
 *
 * @param lens focal length and aperture on this format
 * @param crop crop factor of this format against the other
 * @unit mm and f-number
 * @formula f' = f · crop; N' = N · crop
 * @source similar triangles: same angle of view and same entrance pupil
 * @note The aperture is equivalent for depth of field; exposure does not change with format.
 * @throws CraftError when an argument is not above 0
 */
export function equivalentLens(
  lens: { readonly focalLengthMm: number; readonly aperture: number },
  crop: number,
): { readonly focalLengthMm: number; readonly aperture: number } {
  requirePositive('crop', crop);
  return {
    focalLengthMm: requireFiniteResult(
      'focalLengthMm',
      requirePositive('focalLengthMm', lens.focalLengthMm) * crop,
    ),
    aperture: requireFiniteResult('aperture', requirePositive('aperture', lens.aperture) * crop),
  };
}

/**
 * Magnification of a lens focused at a distance.
 *
 * @param focalLengthMm focal length, mm
 * @param focusDistanceMm distance from the lens to the subject, mm
 * @unit 1; 1 is life size
 * @formula m = f / (s − f)
 * @source thin lens
 * @throws CraftError when the lens is focused inside its own focal length
 */
export function magnification(focalLengthMm: number, focusDistanceMm: number): number {
  const f = requirePositive('focalLengthMm', focalLengthMm);
  return requireFiniteResult('magnification', f / (requireFocus(focusDistanceMm, f) - f));
}

/**
 * Aperture that the light sees when a lens is focused close.
 *
 * @param aperture f-number, exact
 * @param magnificationFactor image over object; 0 or above
 * @unit f-number
 * @formula N' = N (1 + m)
 * @source Ray, Applied Photographic Optics
 * @throws CraftError when the aperture is not above 0 or the magnification negative
 */
export function workingAperture(aperture: number, magnificationFactor: number): number {
  requireWithin('magnificationFactor', magnificationFactor, 0, Number.MAX_VALUE);
  return requireFiniteResult('aperture', requirePositive('aperture', aperture) * (1 + magnificationFactor));
}

/**
 * Light lost by focusing close.
 *
 * @param magnificationFactor image over object; 0 or above
 * @unit stop
 * @formula stops = 2 log2(1 + m)
 * @source Ray, Applied Photographic Optics
 * @throws CraftError when it is negative
 */
export function closeFocusStops(magnificationFactor: number): number {
  return 2 * Math.log2(1 + requireWithin('magnificationFactor', magnificationFactor, 0, Number.MAX_VALUE));
}
