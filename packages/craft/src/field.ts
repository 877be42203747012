import { CraftError, requireFiniteResult, requirePositive, requireWithin } from './errors.ts';

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

/** Returns the focus distance if a lens of this focal length can be focused there, and throws `CraftError` otherwise. */
export function requireFocus(focusDistanceMm: number, focalLengthMm: number): number {
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
