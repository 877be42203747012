import {
  airyDiameterUm,
  angleOfViewDeg,
  circleOfConfusionMm,
  closeFocusStops,
  cropFactor,
  depthFractions,
  depthOfField,
  diagonalMm,
  diffractionAperture,
  diffractionCutoffPerMm,
  equivalentLens,
  fieldWidthMetres,
  hyperfocalMm,
  workingAperture,
} from '@plumbline/craft';
import { measure } from '../compare.ts';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

function lens(inputs: Inputs) {
  return {
    focalLengthMm: inputs.num('f', 'mm'),
    aperture: inputs.num('N'),
    circleOfConfusionMm: inputs.num('c', 'mm'),
  };
}

export const opticsAdapters: Adapters = {
  dof: (inputs) => {
    const depth = depthOfField({ ...lens(inputs), focusDistanceMm: inputs.num('s', 'mm') });
    return {
      hyperfocal: measure(depth.hyperfocalMm, 'mm'),
      near: measure(depth.nearMm, 'mm'),
      far: measure(depth.farMm, 'mm'),
      total: measure(depth.totalMm, 'mm'),
    };
  },
  hyperfocal: (inputs) => ({ hyperfocal: measure(hyperfocalMm(lens(inputs)), 'mm') }),
  dof_fraction: (inputs) => {
    const { near, far } = depthFractions(inputs.num('k'));
    return { near_over_so: near, far_over_so: far };
  },
  airy: (inputs) => ({
    airy_diameter: measure(airyDiameterUm(inputs.num('N'), inputs.num('wavelength_nm', 'nm')), 'um'),
  }),
  diffraction_N: (inputs) => ({
    f_number: diffractionAperture(inputs.num('c_um', 'um'), inputs.num('wavelength_nm', 'nm')),
  }),
  cutoff: (inputs) => ({
    cutoff: diffractionCutoffPerMm(inputs.num('N'), inputs.num('wavelength_nm', 'nm')),
  }),
  fov: (inputs) => {
    const [width, height, f] = [inputs.num('width', 'mm'), inputs.num('height', 'mm'), inputs.num('f', 'mm')];
    return {
      horizontal: angleOfViewDeg(width, f),
      vertical: angleOfViewDeg(height, f),
      diagonal: angleOfViewDeg(diagonalMm(width, height), f),
    };
  },
  fov_anamorphic: (inputs) => {
    const [width, height, f] = [inputs.num('width', 'mm'), inputs.num('height', 'mm'), inputs.num('f', 'mm')];
    const squeeze = inputs.num('squeeze');
    return {
      horizontal: angleOfViewDeg(width, f, squeeze),
      vertical: angleOfViewDeg(height, f),
      diagonal: angleOfViewDeg(diagonalMm(width * squeeze, height), f),
    };
  },
  field_width: (inputs) => ({
    field: measure(
      fieldWidthMetres(inputs.num('sensor', 'mm'), inputs.num('f', 'mm'), inputs.num('distance_m', 'm')),
      'm',
    ),
  }),
  crop: (inputs) => {
    const crop = cropFactor(
      { widthMm: inputs.num('width', 'mm'), heightMm: inputs.num('height', 'mm') },
      { widthMm: inputs.numOr('ref_width', 36, 'mm'), heightMm: inputs.numOr('ref_height', 24, 'mm') },
    );
    const lens = { focalLengthMm: inputs.numOr('f', 1, 'mm'), aperture: inputs.numOr('N', 1) };
    const equivalent = equivalentLens(lens, crop);
    return {
      crop_factor: crop,
      ...(inputs.has('f') && { equivalent_focal_length: measure(equivalent.focalLengthMm, 'mm') }),
      ...(inputs.has('N') && { equivalent_f_number: equivalent.aperture }),
    };
  },
  coc: (inputs) => ({
    circle_of_confusion: measure(
      circleOfConfusionMm(
        inputs.num('width', 'mm'),
        inputs.num('height', 'mm'),
        inputs.numOr('divisor', undefined),
      ),
      'mm',
    ),
  }),
  bellows: (inputs) => ({
    effective_f_number: workingAperture(inputs.num('N'), inputs.num('m')),
    stops: closeFocusStops(inputs.num('m')),
  }),
};
