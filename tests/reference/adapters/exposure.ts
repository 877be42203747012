import {
  agreeingReflectance,
  apertureFor,
  apertureStops,
  askedIlluminanceLux,
  askedLuminance,
  compensatingAperture,
  distanceStops,
  exposureSecondsFor,
  exposureValue,
  exposureValueAtIso100,
  exposureValueOfIlluminance,
  exposureValueOfLuminance,
  fNumberMarks,
  gainFromIso,
  gainStops,
  illuminanceAtDistance,
  isoFor,
  isoFromGain,
  isoMarks,
  isoStops,
  lambertLuminance,
  luxFromFootcandles,
  type MarkStep,
  ndDensityForStops,
  ndFilterFactor,
  ndStack,
  ndStops,
  ndTransmittance,
  ratioStops,
  speedDegrees,
  stepMark,
  tNumber,
  transmittanceStops,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

function settings(inputs: Inputs) {
  return {
    aperture: inputs.num('N'),
    exposureSeconds: inputs.num('t', 's'),
    iso: inputs.numOr('S', 100),
    ndDensity: inputs.numOr('D', 0),
  };
}

function reading(inputs: Inputs) {
  if (inputs.has('E')) {
    const calibrationC = inputs.numOr('C', undefined);
    return { illuminanceLux: inputs.num('E', 'lx'), ...(calibrationC !== undefined && { calibrationC }) };
  }
  const calibrationK = inputs.numOr('K', undefined);
  return { luminance: inputs.num('L'), ...(calibrationK !== undefined && { calibrationK }) };
}

function solveFNumber(inputs: Inputs) {
  return {
    f_number: apertureFor(reading(inputs), {
      exposureSeconds: inputs.num('t', 's'),
      iso: inputs.num('S'),
      ndDensity: inputs.numOr('D', 0),
    }),
  };
}

function solveIso(inputs: Inputs) {
  return {
    iso: isoFor(reading(inputs), {
      aperture: inputs.num('N'),
      exposureSeconds: inputs.num('t', 's'),
      ndDensity: inputs.numOr('D', 0),
    }),
  };
}

function solveTime(inputs: Inputs) {
  const seconds = exposureSecondsFor(reading(inputs), {
    aperture: inputs.num('N'),
    iso: inputs.num('S'),
    ndDensity: inputs.numOr('D', 0),
  });
  return { exposure_time: measure(seconds, 's'), t: measure(seconds, 's') };
}

/** Steps of a series by the unit that a case counts them in. */
function seriesStep(inputs: Inputs): MarkStep {
  const unit = inputs.unit('n') ?? '';
  if (unit.includes('half')) {
    return 'half';
  }
  return unit.includes('third') ? 'third' : 'full';
}

function markOf(series: (step: MarkStep) => Parameters<typeof stepMark>[0], start: number, inputs: Inputs) {
  const marks = series(seriesStep(inputs));
  const index = marks.findIndex((mark) => mark.exact === start) + inputs.num('n');
  const mark = marks[index];
  if (!mark) {
    throw new Error('craft marks no such value');
  }
  // The way an application steps along the series must give the same mark.
  const stepped = stepMark(marks, start, inputs.num('n'));
  return { exact: mark.exact, marked: stepped.marked };
}

export const exposureAdapters: Adapters = {
  ev: (inputs) => ({ ev: exposureValue(inputs.num('N'), inputs.num('t', 's')) }),
  ev100: (inputs) => ({ ev100: exposureValueAtIso100(settings(inputs)) }),
  luminance: (inputs) => ({ luminance: askedLuminance(settings(inputs), inputs.numOr('K', undefined)) }),
  illuminance: (inputs) => ({
    illuminance: measure(askedIlluminanceLux(settings(inputs), inputs.numOr('C', undefined)), 'lx'),
  }),
  ev_luminance: (inputs) => ({
    ev: exposureValueOfLuminance(inputs.num('L'), inputs.numOr('S', 100), inputs.numOr('K', undefined)),
  }),
  ev_illuminance: (inputs) => ({
    ev: exposureValueOfIlluminance(
      inputs.num('E', 'lx'),
      inputs.numOr('S', 100),
      inputs.numOr('C', undefined),
    ),
  }),
  N_incident: solveFNumber,
  N_reflected: solveFNumber,
  S_incident: solveIso,
  S_reflected: solveIso,
  t_incident: solveTime,
  t_reflected: solveTime,
  equiv_reflectance: (inputs) => ({
    reflectance: agreeingReflectance(inputs.numOr('K', undefined), inputs.numOr('C', undefined)),
  }),
  fnumber_exact: (inputs) => markOf(fNumberMarks, 1, inputs),
  iso_exact: (inputs) => markOf(isoMarks, 100, inputs),
  stops_between: (inputs) => ({ stops: apertureStops(inputs.num('N1'), inputs.num('N2')) }),
  din: (inputs) => ({ speed_degrees: speedDegrees(inputs.num('S')) }),
  gain: (inputs) => ({
    gain_db: gainFromIso(inputs.num('S1'), inputs.num('S2')),
    stops: isoStops(inputs.num('S1'), inputs.num('S2')),
  }),
  iso_gain: (inputs) => ({
    iso: isoFromGain(inputs.num('S0'), inputs.num('dB')),
    stops: gainStops(inputs.num('dB')),
  }),
  nd: (inputs) => {
    const density = inputs.num('D');
    return {
      stops: ndStops(density),
      transmittance: ndTransmittance(density),
      filter_factor: ndFilterFactor(density),
    };
  },
  nd_stack: (inputs) => {
    const density = ndStack(inputs.list('densities'));
    return {
      density,
      stops: ndStops(density),
      transmittance: ndTransmittance(density),
      filter_factor: ndFilterFactor(density),
    };
  },
  nd_for_stops: (inputs) => {
    const density = ndDensityForStops(inputs.num('stops'));
    return { density, transmittance: ndTransmittance(density), filter_factor: ndFilterFactor(density) };
  },
  tstop: (inputs) => ({
    t_stop: tNumber(inputs.num('N'), inputs.num('tau')),
    stops_lost: transmittanceStops(inputs.num('tau')),
  }),
  footcandle: (inputs) => ({ illuminance: measure(luxFromFootcandles(inputs.num('fc')), 'lx') }),
  inverse_square: (inputs) => {
    const [from, to] = [inputs.num('d1', 'm'), inputs.num('d2', 'm')];
    return {
      illuminance: measure(illuminanceAtDistance(inputs.num('E1', 'lx'), from, to), 'lx'),
      stops: distanceStops(from, to),
    };
  },
  lambert: (inputs) => ({ luminance: lambertLuminance(inputs.num('E', 'lx'), inputs.num('rho')) }),
  compensate_N: (inputs) => {
    const before = {
      aperture: inputs.num('N1'),
      exposureSeconds: inputs.num('t1', 's'),
      iso: inputs.num('S1'),
      ndDensity: inputs.numOr('D1', 0),
    };
    const after = {
      exposureSeconds: inputs.num('t2', 's'),
      iso: inputs.num('S2'),
      // D is what is added to the filters that were there.
      ndDensity: inputs.numOr('D2', before.ndDensity + inputs.numOr('D', 0)),
    };
    const aperture = compensatingAperture(before, after);
    return { f_number: aperture, stops: apertureStops(before.aperture, aperture) };
  },
  ratio_stops: (inputs) => ({ stops: ratioStops(inputs.num('ratio')) }),
};
