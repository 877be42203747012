import {
  blurPixels,
  depthOfField,
  exactFNumber,
  exposureOffsetStops,
  FRAME_SIZES,
  isoFromGain,
} from '@plumbline/craft';
import type { Adapter } from './adapters/adapter.ts';

/** Everything that a camera is set to, on an ordinary lens in ordinary light; what a change does must not depend on them. */
const USUAL = {
  aperture: exactFNumber(4),
  exposureSeconds: 1 / 50,
  iso: 800,
  ndDensity: 0,
};
type Settings = typeof USUAL;

/** What the settings make of the picture. */
function picture(settings: Settings) {
  return {
    light: exposureOffsetStops(300, settings),
    depth: depthOfField({
      focalLengthMm: 35,
      circleOfConfusionMm: 0.02,
      focusDistanceMm: 2500,
      aperture: settings.aperture,
    }).totalMm,
    blur: blurPixels(1, settings.exposureSeconds, 2, FRAME_SIZES.hd1080.width),
  };
}

function direction(before: number, after: number): string {
  if (before === after) {
    return 'same';
  }
  return after > before ? 'greater' : 'smaller';
}

/** What a change does to light, depth and blur. */
function effect(before: Partial<Settings>, after: Partial<Settings>) {
  const [was, is] = [picture({ ...USUAL, ...before }), picture({ ...USUAL, ...after })];
  return {
    light: is.light - was.light,
    depth: direction(was.depth, is.depth),
    blur: direction(was.blur, is.blur),
    blurFactor: is.blur / was.blur,
  };
}

/** Rules of practice that are arithmetic, by the case that states them: these cases name no formula. */
const PRACTICE: Readonly<Record<string, Adapter>> = {
  'PRA-O-001': () => {
    const { depth, light } = effect({ aperture: exactFNumber(4) }, { aperture: exactFNumber(8) });
    return { depth_of_field: depth, light };
  },
  'PRA-O-002': () => {
    const { light, blurFactor } = effect({ exposureSeconds: 1 / 50 }, { exposureSeconds: 1 / 25 });
    return { light, blur: blurFactor };
  },
  'PRA-O-003': () => {
    const before = { aperture: exactFNumber(4), exposureSeconds: 1 / 100 };
    return { light: effect(before, { aperture: exactFNumber(5.6), exposureSeconds: 1 / 50 }).light };
  },
  'PRA-O-004': () => {
    const gain = effect({}, { iso: isoFromGain(USUAL.iso, 6) });
    const density = effect({}, { ndDensity: 0.6 });
    return {
      light_gain: gain.light,
      light_nd: density.light,
      depth_of_field: gain.depth === density.depth ? gain.depth : 'unlike',
      blur: gain.blur === density.blur ? gain.blur : 'unlike',
    };
  },
  'PRA-O-005': () => ({
    standard_definition_625: [FRAME_SIZES.sd625.width, FRAME_SIZES.sd625.height],
    high_definition: [FRAME_SIZES.hd1080.width, FRAME_SIZES.hd1080.height],
  }),
};

/** The check of a practice case that is arithmetic; undefined for those about the state of a shoot. */
export function practiceAdapter(id: string): Adapter | undefined {
  return PRACTICE[id];
}
