import { keyToFill } from '@plumbline/craft/exposure';
import { sentence } from '../views/apart.ts';
import { type PictureFacts, pictureField } from './facts.ts';
import { fillCandidate } from './remedies/readings.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import { ratioText, stopsAgainst } from './words.ts';

function ratioStops({ picture }: PictureFacts): number | null {
  const { keyLux, fillLux } = picture;
  return keyLux === undefined || fillLux === undefined ? null : keyToFill(keyLux, fillLux).stops;
}

export const exposureRatio: Rule<'match'> = {
  id: 'exposure-ratio',
  title: 'Key-to-fill ratio differs inside a match group',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'match',
  row: 'exposure',
  reads: ['picture.keyLux', 'picture.fillLux', 'shoot.ratioToleranceStops'],
  tolerance: 'ratioToleranceStops',
  basis: 'the ratio is key side to fill side, in stops its log2; the tolerance: common practice, no source',
  catches:
    'A setup lit with more or less contrast than its reference setup. Where neither has a fill reading, nobody on this shoot meters the fill and nothing is asked.',
  why: 'A face that turns hard or flat at a cut looks lit for another scene, though its bright side agrees.',
  check(view) {
    const { setup, own, reference, referenceFacts: theirs } = view;
    if (own.picture.fillLux === undefined && theirs.picture.fillLux === undefined) return AGREES;
    const [mine, wanted] = [ratioStops(own), ratioStops(theirs)];
    if (mine === null || wanted === null) {
      return notKnown(
        [own, theirs].flatMap((facts) =>
          (['keyLux', 'fillLux'] as const)
            .filter((field) => facts.picture[field] === undefined)
            .map((field) => pictureField(facts, field)),
        ),
      );
    }
    const difference = mine - wanted;
    const tolerance = view.tolerance('ratioToleranceStops');
    if (within(difference, tolerance)) return AGREES;
    const measured = `${stopsAgainst(difference, tolerance)} ${difference > 0 ? 'more' : 'less'} contrast`;
    return found({
      scope: [setup.id, own.camera],
      targets: [own, theirs].flatMap((facts) => [
        pictureField(facts, 'fillLux'),
        pictureField(facts, 'keyLux'),
      ]),
      message: sentence`Setup ${setup.label}, camera ${own.camera}, is lit with ${measured} than ${reference.label}: key to fill ${ratioText(mine)} against ${ratioText(wanted)}.`,
      measured: { value: difference, unit: 'stop', text: measured },
      allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, difference)}` },
    });
  },
  candidates: (view) => fillCandidate(view.own, view.referenceFacts),
};
