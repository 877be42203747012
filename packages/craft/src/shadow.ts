import { requireFiniteResult, requirePositive, requireWithin } from './errors.ts';

/** Shadow of something upright on level ground. */
export interface Shadow {
  readonly lengthMetres: number;
  /** Bearing that the shadow points to, degree from north, clockwise. */
  readonly directionDeg: number;
}

/**
 * Shadow of something upright on level ground.
 *
 * @param heightMetres height of the thing, m
 * @param sunHeightDeg sun's apparent height, above 0 up to 90 degree
 * @param azimuthDeg sun's bearing, 0 to 360
 * @unit m and degree
 * @formula length = height / tan(sun's height); direction = bearing + 180°
 * @source plane trigonometry
 * @throws CraftError when the sun is not above the horizon or an argument is out of range
 */
export function shadow(heightMetres: number, sunHeightDeg: number, azimuthDeg: number): Shadow {
  requirePositive('sunHeightDeg', sunHeightDeg);
  const slope = Math.tan((requireWithin('sunHeightDeg', sunHeightDeg, 0, 90) * Math.PI) / 180);
  const lengthMetres = requireFiniteResult('length', requirePositive('heightMetres', heightMetres) / slope);
  return { lengthMetres, directionDeg: (requireWithin('azimuthDeg', azimuthDeg, 0, 360) + 180) % 360 };
}

/**
 * How much the air lifts the sun, by NOAA's formula.
 *
 * @param trueHeightDeg height without the air, degree, −90 to 90
 * @unit degree
 * @formula above 85° nothing; above 5° (58.1 / tan h − 0.07 / tan³ h + 0.000086 / tan⁵ h)″; above −0.575° (1735 − 518.2 h + 103.4 h² − 12.79 h³ + 0.711 h⁴)″; below −20.774″ / tan h
 * @source NOAA Solar Calculation Details
 * @throws CraftError when the height is out of range
 */
export function refractionNoaaDeg(trueHeightDeg: number): number {
  const h = requireWithin('trueHeightDeg', trueHeightDeg, -90, 90);
  if (h > 85) {
    return 0;
  }
  const tangent = Math.tan((h * Math.PI) / 180);
  if (h > 5) {
    return (58.1 / tangent - 0.07 / tangent ** 3 + 0.000086 / tangent ** 5) / 3600;
  }
  if (h > -0.575) {
    return (1735 + h * (-518.2 + h * (103.4 + h * (-12.79 + h * 0.711)))) / 3600;
  }
  return -20.774 / tangent / 3600;
}
