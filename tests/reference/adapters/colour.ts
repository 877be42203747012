import {
  afterShift,
  cctHernandezAndres,
  cctMcCamy,
  daylightChromaticity,
  kelvinFromMired,
  mired,
  miredDifference,
  planckianChromaticityCubic,
  planckianUvKrystek,
  uvFromXy,
  uvPrimeFromXy,
} from '@plumbline/craft';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

function xy(inputs: Inputs) {
  return { x: inputs.num('x'), y: inputs.num('y') };
}

export const colourAdapters: Adapters = {
  mired: (inputs) =>
    inputs.has('T') ? { mired: mired(inputs.num('T')) } : { T: kelvinFromMired(inputs.num('mired')) },
  mired_shift: (inputs) => ({ shift: miredDifference(inputs.num('T_source'), inputs.num('T_target')) }),
  after_shift: (inputs) => ({ T2: afterShift(inputs.num('T1'), inputs.num('shift')) }),
  mccamy: (inputs) => ({ cct: cctMcCamy(xy(inputs)) }),
  hernandez: (inputs) => ({ cct: cctHernandezAndres(xy(inputs)) }),
  daylight: (inputs) => ({ ...daylightChromaticity(inputs.num('T')) }),
  planck_cubic: (inputs) => ({ ...planckianChromaticityCubic(inputs.num('T')) }),
  krystek: (inputs) => ({ ...planckianUvKrystek(inputs.num('T')) }),
  uv: (inputs) => {
    const { u, v } = uvFromXy(xy(inputs));
    const { uPrime, vPrime } = uvPrimeFromXy(xy(inputs));
    return { u, v, u_prime: uPrime, v_prime: vPrime };
  },
};
