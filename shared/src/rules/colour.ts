import { miredDifference } from '@plumbline/craft';
import { sentence } from '../views/apart.ts';
import { pictureField } from './facts.ts';
import { camerasColourCandidates, matchColourCandidates } from './remedies/colour.ts';
import { AGREES, type Draft, found, notKnown, type Rule, within } from './rule.ts';
import type { CamerasView } from './scopes.ts';
import { plain } from './words.ts';

export const colourWhiteBalance: Rule<'match'> = {
  id: 'colour-white-balance',
  title: 'White balance differs inside a match group',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'match',
  row: 'colour',
  reads: ['picture.whiteBalanceK'],
  tolerance: 'whiteBalanceToleranceMired',
  basis:
    'differences of colour temperature are seen in mired (Priest 1932); the tolerance: common practice, no source',
  catches: 'A setup balanced for another colour of light than its reference setup.',
  why: 'Under the same lights the picture turns warmer with a higher setting and bluer with a lower one, on faces first. Where the lights themselves were changed to match, let the director accept it.',
  check(view) {
    const { setup, own, reference, referenceFacts: theirs } = view;
    const mine = own.picture.whiteBalanceK;
    const wanted = theirs.picture.whiteBalanceK;
    if (mine === undefined || wanted === undefined) {
      const missing = [own, theirs].filter(({ picture }) => picture.whiteBalanceK === undefined);
      return notKnown(missing.map((facts) => pictureField(facts, 'whiteBalanceK')));
    }
    const difference = miredDifference(wanted, mine);
    const tolerance = view.tolerance('whiteBalanceToleranceMired');
    if (within(difference, tolerance)) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'whiteBalanceK'), pictureField(theirs, 'whiteBalanceK')],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, is balanced ${plain(Math.abs(difference), 0)} mired from ${reference.label}: ${plain(mine, 0)} K against ${plain(wanted, 0)} K.`,
      measured: {
        value: difference,
        unit: 'mired',
        text: `${plain(Math.abs(difference), tell(difference, tolerance))} mired apart`,
      },
      allowed: { value: tolerance, unit: 'mired', text: `within ${plain(tolerance)} mired` },
    });
  },
  candidates: (view) => matchColourCandidates(view.own, view.referenceFacts),
};

/** Decimals enough to be told from the tolerance. */
function tell(difference: number, tolerance: number): number {
  return Math.abs(difference).toFixed(0) === tolerance.toFixed(0) ? 2 : 0;
}

/** Whether a camera's white balance can be held against a reference setup. */
function isMatched({ matchedTo }: CamerasView['cameras'][number]): boolean {
  return matchedTo?.picture.whiteBalanceK !== undefined;
}

export const colourCameras: Rule<'cameras'> = {
  id: 'colour-cameras',
  title: 'White balance differs between cameras of one setup',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'cameras',
  row: 'colour',
  reads: ['picture.whiteBalanceK'],
  tolerance: 'whiteBalanceToleranceMired',
  basis:
    'differences of colour temperature are seen in mired (Priest 1932); the tolerance: common practice, no source',
  catches:
    'Cameras on the same setup, under the same lights, that are balanced differently. Where both are held against a reference setup of their own, the difference shows there and is not told again.',
  why: 'They see the same lights, so whatever differs in the setting differs in the picture, and the two are cut together more than any others.',
  check(view) {
    const { setup, cameras } = view;
    const tolerance = view.tolerance('whiteBalanceToleranceMired');
    const [first, ...others] = cameras;
    if (!first) return AGREES;
    const missing = cameras.filter(({ own }) => own.picture.whiteBalanceK === undefined);
    const drafts: Draft[] = [];
    for (const other of others) {
      const mine = other.own.picture.whiteBalanceK;
      const wanted = first.own.picture.whiteBalanceK;
      if (mine === undefined || wanted === undefined) continue;
      if (isMatched(first) && isMatched(other)) continue;
      const difference = miredDifference(wanted, mine);
      if (within(difference, tolerance)) continue;
      drafts.push({
        scope: [setup.id, first.own.camera, other.own.camera],
        targets: [pictureField(other.own, 'whiteBalanceK'), pictureField(first.own, 'whiteBalanceK')],
        message: sentence`Setup ${setup.label}: camera ${other.own.camera} is balanced ${plain(Math.abs(difference), 0)} mired from camera ${first.own.camera}, ${plain(mine, 0)} K against ${plain(wanted, 0)} K.`,
        measured: {
          value: difference,
          unit: 'mired',
          text: `${plain(Math.abs(difference), tell(difference, tolerance))} mired apart`,
        },
        allowed: { value: tolerance, unit: 'mired', text: `within ${plain(tolerance)} mired` },
      });
    }
    return {
      ...found(...drafts),
      missing: missing.map(({ own }) => pictureField(own, 'whiteBalanceK')),
    };
  },
  candidates: (view, { scope: [, first, other] }) => {
    const facts = (camera: string | undefined) => view.cameras.find(({ own }) => own.camera === camera)?.own;
    const [mine, theirs] = [facts(other), facts(first)];
    return mine && theirs ? camerasColourCandidates(mine, theirs) : [];
  },
};
