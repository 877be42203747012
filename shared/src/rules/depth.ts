import { apertureStops } from '@plumbline/craft';
import { sentence } from '../views/apart.ts';
import { exposuresDisagree } from './exposure.ts';
import { pictureField } from './facts.ts';
import { apertureCandidates } from './remedies/picture.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import { apertureText, stopsAgainst } from './words.ts';

export const depthAperture: Rule<'match'> = {
  id: 'depth-aperture',
  title: 'Aperture differs inside a match group',
  severity: 'advice',
  beforeTake: false,
  department: 'camera',
  scope: 'match',
  row: 'depth',
  reads: ['picture.aperture'],
  tolerance: 'apertureToleranceStops',
  basis: 'ISO 517 for the marks; the tolerance: common practice, no source',
  catches:
    'A setup whose aperture, and so whose depth of field, differs from the reference setup’s while the exposures agree or are not known yet. While the exposures are known to disagree, that is the finding, and it names the aperture.',
  why: 'A background that is soft in one shot and sharp in the next draws the eye to the cut. Many a close shot is opened on purpose, so this is advice.',
  check(view) {
    const { setup, own, reference, referenceFacts: theirs } = view;
    if (own.aperture === null || theirs.aperture === null) {
      const missing = [own, theirs].filter(({ aperture }) => aperture === null);
      return notKnown(missing.map((facts) => pictureField(facts, 'aperture')));
    }
    const closed = apertureStops(theirs.aperture, own.aperture);
    const tolerance = view.tolerance('apertureToleranceStops');
    if (within(closed, tolerance) || exposuresDisagree(view)) return AGREES;
    const marks = `${apertureText(own.picture.aperture ?? own.aperture)} against ${apertureText(theirs.picture.aperture ?? theirs.aperture)}`;
    const way = closed > 0 ? 'closed further' : 'opened wider';
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'aperture'), pictureField(theirs, 'aperture')],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, is ${way} than ${reference.label} by ${stopsAgainst(closed, tolerance)}: ${marks}.`,
      measured: {
        value: closed,
        unit: 'stop',
        text: `${stopsAgainst(closed, tolerance)} ${closed > 0 ? 'closed' : 'opened'}`,
      },
      allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, closed)}` },
    });
  },
  candidates: (view) => apertureCandidates(view.own, view.referenceFacts, view.shoot),
};
