import { CraftError, requireFiniteResult, requireWithin } from './errors.ts';

/** CIE 1931 chromaticity, 2° observer. */
export interface Chromaticity {
  readonly x: number;
  readonly y: number;
}

/** CIE 1960 uniform chromaticity, the plane in which correlated colour temperature is defined. */
export interface UniformChromaticity {
  readonly u: number;
  readonly v: number;
}

/** Chromaticities of standard illuminants, 2° observer (CIE 15:2004; B and E from memory of the same table). */
export const ILLUMINANTS = {
  A: { x: 0.44758, y: 0.40745 },
  B: { x: 0.34842, y: 0.35161 },
  C: { x: 0.31006, y: 0.31616 },
  D50: { x: 0.34567, y: 0.3585 },
  D55: { x: 0.33243, y: 0.34744 },
  D65: { x: 0.31271, y: 0.32902 },
  D75: { x: 0.29903, y: 0.31488 },
  E: { x: 1 / 3, y: 1 / 3 },
} as const satisfies Record<string, Chromaticity>;

function requireChromaticity({ x, y }: Chromaticity): void {
  requireWithin('x', x, 0, 1);
  requireWithin('y', y, 0, 1);
  if (x + y > 1) {
    throw new CraftError('x + y', x + y, 'at most 1');
  }
}

/**
 * CIE 1960 chromaticity of an xy.
 *
 * @param xy CIE 1931 chromaticity
 * @unit 1
 * @formula u = 4x / (−2x + 12y + 3); v = 6y / (−2x + 12y + 3)
 * @source CIE 15:2004
 * @note CIE 1976 has u' = u and v' = 1.5 v.
 * @throws CraftError when x and y are no chromaticity
 */
export function uvFromXy(xy: Chromaticity): UniformChromaticity {
  requireChromaticity(xy);
  const divisor = -2 * xy.x + 12 * xy.y + 3;
  return { u: (4 * xy.x) / divisor, v: (6 * xy.y) / divisor };
}

/**
 * CIE 1931 chromaticity of a CIE 1960 uv.
 *
 * @param uv CIE 1960 chromaticity
 * @unit 1
 * @formula x = 3u / (2u − 8v + 4); y = 2v / (2u − 8v + 4)
 * @source CIE 15:2004, inverse of the 1960 transform
 * @throws CraftError when u and v are no chromaticity
 */
export function xyFromUv(uv: UniformChromaticity): Chromaticity {
  const u = requireWithin('u', uv.u, 0, 1);
  const v = requireWithin('v', uv.v, 0, 1);
  const divisor = 2 * u - 8 * v + 4;
  if (divisor <= 0) {
    throw new CraftError('v', v, 'a chromaticity that light can have');
  }
  const xy = { x: (3 * u) / divisor, y: (2 * v) / divisor };
  requireChromaticity(xy);
  return xy;
}

/**
 * CIE 1976 chromaticity of an xy.
 *
 * @param xy CIE 1931 chromaticity
 * @unit 1
 * @formula u' = u; v' = 1.5 v
 * @source CIE 15:2004
 * @throws CraftError when x and y are no chromaticity
 */
export function uvPrimeFromXy(xy: Chromaticity): { readonly uPrime: number; readonly vPrime: number } {
  const { u, v } = uvFromXy(xy);
  return { uPrime: u, vPrime: 1.5 * v };
}

/**
 * Correlated colour temperature by McCamy's cubic: quick, good to a few kelvin from 2856 to 6500 K.
 *
 * @param xy CIE 1931 chromaticity
 * @unit K
 * @formula n = (x − 0.3320) / (0.1858 − y); T = 449 n³ + 3525 n² + 6823.3 n + 5520.33
 * @source McCamy, Color Res. Appl. 17 (1992) 142–144
 * @note Meant for light near the Planckian locus; `correlatedColourTemperature` has no such limit.
 * @throws CraftError when x and y are no chromaticity or the cubic has no answer there
 */
export function cctMcCamy(xy: Chromaticity): number {
  requireChromaticity(xy);
  const n = (xy.x - 0.332) / (0.1858 - xy.y);
  return requireTemperature(((449 * n + 3525) * n + 6823.3) * n + 5520.33);
}

/**
 * Correlated colour temperature by the exponential fit of Hernández-Andrés, Lee and Romero: 3000 to 800 000 K.
 *
 * @param xy CIE 1931 chromaticity
 * @unit K
 * @formula n = (x − 0.3366) / (y − 0.1735); T = −949.86315 + 6253.80338 e^(−n/0.92159) + 28.70599 e^(−n/0.20039) + 0.00004 e^(−n/0.07125); above 50 000 K the second set of constants
 * @source Hernández-Andrés, Lee & Romero, Applied Optics 38 (1999) 5703–5709
 * @throws CraftError when x and y are no chromaticity or the fit has no answer there
 */
export function cctHernandezAndres(xy: Chromaticity): number {
  requireChromaticity(xy);
  const { x, y } = xy;
  const n = (x - 0.3366) / (y - 0.1735);
  const low =
    -949.86315 +
    6253.80338 * Math.exp(-n / 0.92159) +
    28.70599 * Math.exp(-n / 0.20039) +
    0.00004 * Math.exp(-n / 0.07125);
  if (low <= 50000) {
    return requireTemperature(low);
  }
  const m = (x - 0.3356) / (y - 0.1691);
  return requireTemperature(
    36284.48953 + 0.00228 * Math.exp(-m / 0.07861) + 5.4535e-36 * Math.exp(-m / 0.01543),
  );
}

function requireTemperature(kelvin: number): number {
  const result = requireFiniteResult('colour temperature', kelvin);
  if (result <= 0) {
    throw new CraftError('x, y', result, 'near the Planckian locus, where this formula holds');
  }
  return result;
}

/**
 * Chromaticity of a phase of daylight.
 *
 * @param kelvin correlated colour temperature, 4000 to 25 000 K
 * @unit x, y
 * @formula to 7000 K x = −4.6070·10⁹/T³ + 2.9678·10⁶/T² + 99.11/T + 0.244063; above x = −2.0064·10⁹/T³ + 1.9018·10⁶/T² + 247.48/T + 0.237040; y = −3x² + 2.870x − 0.275
 * @source CIE 15:2004, section 3.1
 * @note D65 is 6504 K and not 6500 K since c₂ changed from 14 380 to 14 388 µm K.
 * @throws CraftError when the temperature is out of range
 */
export function daylightChromaticity(kelvin: number): Chromaticity {
  const T = requireWithin('kelvin', kelvin, 4000, 25000);
  const x =
    T <= 7000
      ? -4.607e9 / T ** 3 + 2.9678e6 / T ** 2 + 99.11 / T + 0.244063
      : -2.0064e9 / T ** 3 + 1.9018e6 / T ** 2 + 247.48 / T + 0.23704;
  return { x, y: -3 * x ** 2 + 2.87 * x - 0.275 };
}

/**
 * Chromaticity of a black body by a cubic, 1667 to 25 000 K.
 *
 * @param kelvin temperature, 1667 to 25 000 K
 * @unit x, y
 * @formula cubic in 1/T for x with a change at 4000 K, cubic in x for y with changes at 2222 and 4000 K
 * @source Kim et al. (2002), Kang et al. (2002)
 * @throws CraftError when the temperature is out of range
 */
export function planckianChromaticityCubic(kelvin: number): Chromaticity {
  const T = requireWithin('kelvin', kelvin, 1667, 25000);
  const x =
    T <= 4000
      ? -0.2661239e9 / T ** 3 - 0.2343589e6 / T ** 2 + 0.8776956e3 / T + 0.17991
      : -3.0258469e9 / T ** 3 + 2.1070379e6 / T ** 2 + 0.2226347e3 / T + 0.24039;
  return { x, y: cubicY(T, x) };
}

function cubicY(T: number, x: number): number {
  if (T <= 2222) {
    return -1.1063814 * x ** 3 - 1.3481102 * x ** 2 + 2.18555832 * x - 0.20219683;
  }
  if (T <= 4000) {
    return -0.9549476 * x ** 3 - 1.37418593 * x ** 2 + 2.09137015 * x - 0.16748867;
  }
  return 3.081758 * x ** 3 - 5.8733867 * x ** 2 + 3.75112997 * x - 0.37001483;
}

/**
 * Chromaticity of a black body by a rational fit, 1000 to 15 000 K.
 *
 * @param kelvin temperature, 1000 to 15 000 K
 * @unit u, v of CIE 1960
 * @formula u = (0.860117757 + 1.54118254·10⁻⁴ T + 1.28641212·10⁻⁷ T²) / (1 + 8.42420235·10⁻⁴ T + 7.08145163·10⁻⁷ T²); v = (0.317398726 + 4.22806245·10⁻⁵ T + 4.20481691·10⁻⁸ T²) / (1 − 2.89741816·10⁻⁵ T + 1.61456053·10⁻⁷ T²)
 * @source Krystek, Color Res. Appl. 10 (1985) 38–40
 * @throws CraftError when the temperature is out of range
 */
export function planckianUvKrystek(kelvin: number): UniformChromaticity {
  const T = requireWithin('kelvin', kelvin, 1000, 15000);
  return {
    u:
      (0.860117757 + 1.54118254e-4 * T + 1.28641212e-7 * T ** 2) /
      (1 + 8.42420235e-4 * T + 7.08145163e-7 * T ** 2),
    v:
      (0.317398726 + 4.22806245e-5 * T + 4.20481691e-8 * T ** 2) /
      (1 - 2.89741816e-5 * T + 1.61456053e-7 * T ** 2),
  };
}
