import { isoStops } from '@plumbline/craft/exposure';
import { sentence } from '../views/apart.ts';
import { exposuresDisagree } from './exposure.ts';
import { missingForSensitivity, sensitivityFields } from './facts.ts';
import { sensitivityCandidates } from './remedies/picture.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import { sensitivityText, stopsAgainst } from './words.ts';

export const exposureGain: Rule<'match'> = {
  id: 'exposure-gain',
  title: 'Gain differs inside a match group',
  severity: 'advice',
  beforeTake: false,
  department: 'camera',
  scope: 'match',
  row: 'exposure',
  reads: [
    'picture.iso',
    'picture.gainDb',
    'cameras.baseIso',
    'cameras.gainConvention',
    'shoot.gainToleranceStops',
  ],
  tolerance: 'gainToleranceStops',
  basis: 'a stop of sensitivity is 20 log10 2 = 6.02 dB of gain; the tolerance: common practice, no source',
  catches:
    'A setup at another sensitivity than its reference setup, while the exposures agree or are not known yet. While they are known to disagree, that is the finding.',
  why: 'Noise rises with gain: a grainy shot beside a clean one is seen in the shadows, and no grade takes it out again.',
  check(view) {
    const { setup, own, reference, referenceFacts: theirs } = view;
    if (own.iso === null || theirs.iso === null) {
      return notKnown([own, theirs].flatMap(missingForSensitivity));
    }
    const difference = isoStops(theirs.iso, own.iso);
    const tolerance = view.tolerance('gainToleranceStops');
    if (within(difference, tolerance) || exposuresDisagree(view)) return AGREES;
    const measured = `${stopsAgainst(difference, tolerance)} ${difference > 0 ? 'more' : 'less'} gain`;
    return found({
      scope: [setup.id, own.camera],
      targets: [...sensitivityFields(own), ...sensitivityFields(theirs)],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, runs at ${measured} than ${reference.label}: ${sensitivityText(own)} against ${sensitivityText(theirs)}.`,
      measured: { value: difference, unit: 'stop', text: measured },
      allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, difference)}` },
    });
  },
  candidates: (view) => sensitivityCandidates(view.own, view.referenceFacts, view.shoot),
};
