import type { Chromaticity, UniformChromaticity } from './chromaticity.ts';
import { uvFromXy } from './chromaticity.ts';
import { mired } from './colour.ts';
import { CraftError, requireWithin } from './errors.ts';
import { OBSERVER_2_DEG, OBSERVER_START_NM, OBSERVER_STEP_NM } from './observer.ts';

/** Second radiation constant, nm K (CODATA 2018: 1.438 776 877 · 10⁻² m K). */
export const SECOND_RADIATION_CONSTANT_NM_K = 1.438776877e7;

/** Lowest temperature that this module looks for, K. */
export const LOWEST_KELVIN = 1000;
/** Highest temperature that this module looks for, K. */
export const HIGHEST_KELVIN = 100000;
/** Farthest from the Planckian locus that a correlated colour temperature means anything (CIE 15:2004), Δuv. */
export const LARGEST_DUV = 0.05;

/**
 * Chromaticity of a black body, from Planck's law and the standard observer.
 *
 * @param kelvin temperature, 1000 to 100 000 K
 * @unit u, v of CIE 1960
 * @formula Planck's law times the observer's three curves, summed from 360 to 780 nm every 5 nm
 * @constants c₂ = 1.438776877·10⁻² m K
 * @source CIE 15:2004; ISO/CIE 11664-1 (observer); CODATA 2018 (c₂)
 * @throws CraftError when the temperature is out of range
 */
export function planckianUv(kelvin: number): UniformChromaticity {
  const T = requireWithin('kelvin', kelvin, LOWEST_KELVIN, HIGHEST_KELVIN);
  let X = 0;
  let Y = 0;
  let Z = 0;
  let wavelength = OBSERVER_START_NM;
  for (const [x, y, z] of OBSERVER_2_DEG) {
    // Scaled to 560 nm so that the sum stays near 1 at every temperature; the scale falls out of the chromaticity.
    const power =
      ((560 / wavelength) ** 5 * Math.expm1(SECOND_RADIATION_CONSTANT_NM_K / (560 * T))) /
      Math.expm1(SECOND_RADIATION_CONSTANT_NM_K / (wavelength * T));
    X += power * x;
    Y += power * y;
    Z += power * z;
    wavelength += OBSERVER_STEP_NM;
  }
  const sum = X + 15 * Y + 3 * Z;
  return { u: (4 * X) / sum, v: (6 * Y) / sum };
}

/** A correlated colour temperature and how far from the locus it was found. */
export interface ColourTemperature {
  /** Correlated colour temperature, K. */
  readonly kelvin: number;
  /** Distance from the Planckian locus in CIE 1960 uv: positive is greener, negative more magenta. */
  readonly duv: number;
  /** False beyond 0.05 from the locus, where CIE 15 no longer gives the temperature a meaning. */
  readonly isMeaningful: boolean;
}

/**
 * Correlated colour temperature and Duv of a light, by its definition: the nearest point of the Planckian locus in
 * the CIE 1960 plane, searched for in mireds on the exact locus.
 *
 * @param uv CIE 1960 chromaticity (`uvFromXy` gives it)
 * @unit K and Δuv
 * @formula T for which |(u, v) − locus(T)| is least; Duv is that distance, positive above the locus
 * @source CIE 15:2004, section 9.5 (definition); Ohno, LEUKOS 10 (2014) 47–55 (sign of Duv)
 * @note From 1000 to 100 000 K; `isMeaningful` says whether the light lies within 0.05 of the locus.
 * @throws CraftError when u and v are no chromaticity or the nearest point lies at an end of the range
 */
export function correlatedColourTemperature(uv: UniformChromaticity): ColourTemperature {
  const u = requireWithin('u', uv.u, 0, 1);
  const v = requireWithin('v', uv.v, 0, 1);
  const distance = (mireds: number): number => {
    const point = planckianUv(Math.min(Math.max(1e6 / mireds, LOWEST_KELVIN), HIGHEST_KELVIN));
    return Math.hypot(u - point.u, v - point.v);
  };
  const nearest = goldenSection(distance, coarseBracket(distance));
  const kelvin = 1e6 / nearest;
  const point = planckianUv(Math.min(Math.max(kelvin, LOWEST_KELVIN), HIGHEST_KELVIN));
  const apart = Math.hypot(u - point.u, v - point.v);
  if (kelvin < LOWEST_KELVIN * 1.0001 || kelvin > HIGHEST_KELVIN * 0.9999) {
    throw new CraftError('u, v', `${u}, ${v}`, `of a light from ${LOWEST_KELVIN} to ${HIGHEST_KELVIN} K`);
  }
  return { kelvin, duv: v >= point.v ? apart : -apart, isMeaningful: apart <= LARGEST_DUV };
}

/** The step of a coarse walk along the locus that holds the nearest point, in mired. */
function coarseBracket(distance: (mireds: number) => number): [number, number] {
  const first = mired(HIGHEST_KELVIN);
  const last = mired(LOWEST_KELVIN);
  const steps = 60;
  // Squares put the steps close together at the blue end, where the locus turns.
  const at = (index: number) => first + (last - first) * (Math.min(Math.max(index, 0), steps) / steps) ** 2;
  let best = 0;
  for (let index = 1; index <= steps; index += 1) {
    if (distance(at(index)) < distance(at(best))) {
      best = index;
    }
  }
  return [at(best - 1), at(best + 1)];
}

/** Least value of a function with one dip inside the bracket. */
function goldenSection(f: (x: number) => number, [from, to]: [number, number]): number {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [a, b] = [from, to];
  let [c, d] = [b - ratio * (b - a), a + ratio * (b - a)];
  let [fc, fd] = [f(c), f(d)];
  while (b - a > 1e-6) {
    if (fc < fd) {
      [b, d, fd] = [d, c, fc];
      c = b - ratio * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + ratio * (b - a);
      fd = f(d);
    }
  }
  return (a + b) / 2;
}

/**
 * Correlated colour temperature and Duv of an xy reading.
 *
 * @param xy CIE 1931 chromaticity, 2° observer
 * @unit K and Δuv
 * @formula nearest point of the Planckian locus in the CIE 1960 plane
 * @source CIE 15:2004, section 9.5 (definition)
 * @throws CraftError when x and y are no chromaticity or the nearest point lies at an end of the range
 */
export function colourTemperatureOfXy(xy: Chromaticity): ColourTemperature {
  return correlatedColourTemperature(uvFromXy(xy));
}
