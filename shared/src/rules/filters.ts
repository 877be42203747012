import { ndStops } from '@plumbline/craft/exposure';
import { sentence } from '../views/apart.ts';
import { pictureField } from './facts.ts';
import { weakerNdCandidates } from './remedies/picture.ts';
import { AGREES, found, type Rule } from './rule.ts';
import { plain, stopsText } from './words.ts';

export const exposureNdTint: Rule<'picture'> = {
  id: 'exposure-nd-tint',
  title: 'Neutral density strong enough to tint',
  severity: 'advice',
  beforeTake: false,
  department: 'camera',
  scope: 'picture',
  row: 'colour',
  reads: ['picture.ndDensity', 'shoot.ndTintDensity'],
  tolerance: 'ndTintDensity',
  basis: 'common practice, no source',
  catches: 'More neutral density in front of the sensor than most filters hold neutral.',
  why: 'A dense filter lets through more infra-red than visible light: black cloth turns brown, and two filters stacked add their casts. Balance with the filter on, and look at something black.',
  check(view) {
    const { setup, own } = view;
    const most = view.tolerance('ndTintDensity');
    if (own.ndDensity === null || own.ndDensity <= most + 1e-9) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'ndDensity')],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: ND ${plain(own.ndDensity, 2)} takes ${stopsText(ndStops(own.ndDensity))}, which may tint.`,
      measured: { value: own.ndDensity, unit: 'density', text: `ND ${plain(own.ndDensity, 2)}` },
      allowed: { value: most, unit: 'density', text: `up to ND ${plain(most, 2)}` },
    });
  },
  candidates: (view) => weakerNdCandidates(view.own, view.shoot, view.tolerance('ndTintDensity')),
};
