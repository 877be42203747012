import {
  type Chromaticity,
  colourTemperatureOfXy,
  correlatedColourTemperature,
  ILLUMINANTS,
  JUST_VISIBLE_MIRED,
  mired,
  planckianUv,
  SECOND_RADIATION_CONSTANT_NM_K,
  xyFromUv,
} from '@plumbline/craft';
import type { Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

const CONSTANTS: Readonly<Record<string, Result>> = {
  just_visible: JUST_VISIBLE_MIRED,
  c2: SECOND_RADIATION_CONSTANT_NM_K * 1e-9,
};

/** Temperatures of stated chromaticities, chromaticities of stated temperatures, and the standard illuminants. */
export function colourFact(name: string, inputs: Inputs): Result {
  if (inputs.has('T')) {
    return ofBlackBody(name, inputs.num('T'));
  }
  if (inputs.has('u') && inputs.has('v')) {
    return ofTemperature(name, correlatedColourTemperature({ u: inputs.num('u'), v: inputs.num('v') }));
  }
  if (inputs.has('x') && inputs.has('y')) {
    return ofTemperature(name, colourTemperatureOfXy({ x: inputs.num('x'), y: inputs.num('y') }));
  }
  return ofIlluminant(name) ?? CONSTANTS[name];
}

function ofBlackBody(name: string, kelvin: number): Result {
  const uv = planckianUv(kelvin);
  const values: Readonly<Record<string, Result>> = {
    ...uv,
    ...xyFromUv(uv),
    u_prime: uv.u,
    v_prime: 1.5 * uv.v,
    mired: mired(kelvin),
  };
  return values[name];
}

function ofTemperature(name: string, found: { kelvin: number; duv: number }): Result {
  if (/^duv/i.test(name)) {
    return found.duv;
  }
  return /^(cct|t|kelvin)/i.test(name) ? found.kelvin : undefined;
}

/** `D65` as its pair, `D65_x` and `D65_y` as one of it, `D65_cct` as its temperature. */
function ofIlluminant(name: string): Result {
  const match = /^(?:illuminant_)?([A-E]\d{0,2})(?:_(x|y|cct))?$/.exec(name);
  const illuminants: Readonly<Record<string, Chromaticity>> = ILLUMINANTS;
  const xy = match ? illuminants[match[1] ?? ''] : undefined;
  if (!xy) {
    return undefined;
  }
  switch (match?.[2]) {
    case 'x':
      return xy.x;
    case 'y':
      return xy.y;
    case 'cct':
      return colourTemperatureOfXy(xy).kelvin;
    default:
      return [xy.x, xy.y];
  }
}
