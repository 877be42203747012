import {
  agreeingReflectance,
  exposureTimeMarks,
  fNumberMarks,
  GREY_CARD_REFLECTANCE,
  INCIDENT_C_FLAT,
  INCIDENT_C_HEMISPHERE,
  isoMarks,
  LUX_PER_FOOTCANDLE,
  type Mark,
  type MarkStep,
  METER_CONSTANT_RANGES,
  ndStops,
  ndTransmittance,
  REFLECTED_K,
} from '@plumbline/craft';
import { measure, type Result } from '../compare.ts';
import type { Inputs } from '../inputs.ts';

const { reflectedK, incidentFlatC, incidentHemisphereC } = METER_CONSTANT_RANGES;

const CONSTANTS: Readonly<Record<string, Result>> = {
  K_min: reflectedK.min,
  K_max: reflectedK.max,
  C_flat_min: incidentFlatC.min,
  C_flat_max: incidentFlatC.max,
  C_hemispherical_min: incidentHemisphereC.min,
  C_hemispherical_max: incidentHemisphereC.max,
  K: REFLECTED_K,
  C: INCIDENT_C_FLAT,
  C_flat: INCIDENT_C_FLAT,
  C_hemispherical: INCIDENT_C_HEMISPHERE,
  lux_per_footcandle: measure(LUX_PER_FOOTCANDLE, 'lx'),
  footcandle: measure(LUX_PER_FOOTCANDLE, 'lx'),
  grey_card: GREY_CARD_REFLECTANCE,
  reflectance: agreeingReflectance(),
};

/** Constants of meters, and series of marks that the title names with their ends. */
export function exposureFact(name: string, inputs: Inputs, title: string): Result {
  if (name === 'marked' || name === 'exact') {
    return seriesOf(title)?.map((mark) => mark[name]);
  }
  if (inputs.has('D') || inputs.has('densities')) {
    const densities = inputs.has('D') ? [inputs.num('D')] : inputs.list('densities');
    const values = { stops: densities.map(ndStops), transmittance: densities.map(ndTransmittance) };
    return name === 'stops' || name === 'transmittance' ? values[name] : undefined;
  }
  return CONSTANTS[name];
}

/** `Third-stop marks from f/1 to f/22`: the marks of that fineness between those ends. */
function seriesOf(title: string): readonly Mark[] | undefined {
  const step: MarkStep = /third/i.test(title) ? 'third' : /half/i.test(title) ? 'half' : 'full';
  const [series, ends] = /\biso\b|speed/i.test(title)
    ? [
        isoMarks(step),
        /(?:from|between)\s+(?:ISO\s*)?([\d.]+)\s+(?:to|and)\s+(?:ISO\s*)?([\d.]+)/i.exec(title),
      ]
    : /shutter|time|second/i.test(title)
      ? [exposureTimeMarks(step), null]
      : [fNumberMarks(step), /(?:from|between)\s+f\/([\d.]+)\s+(?:to|and)\s+f\/([\d.]+)/i.exec(title)];
  const first = ends ? series.findIndex((mark) => mark.marked === Number(ends[1])) : 0;
  const last = ends ? series.findIndex((mark) => mark.marked === Number(ends[2])) : series.length - 1;
  return first < 0 || last < first ? undefined : series.slice(first, last + 1);
}
