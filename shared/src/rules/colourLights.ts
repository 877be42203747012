import { miredDifference } from '@plumbline/craft/colour';
import { sentence } from '../views/apart.ts';
import { type PictureFacts, pictureField } from './facts.ts';
import type { Target } from './finding.ts';
import { lightsColourCandidates } from './remedies/colour.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import type { PictureView } from './scopes.ts';
import type { SetupSummary } from './setup.ts';
import { plain } from './words.ts';

/** How far a white balance stands from the lights, mired; `null` where one of them is not known. */
function offLights(setup: SetupSummary, { picture }: PictureFacts): number | null {
  const { lightsK } = setup.record;
  const { whiteBalanceK } = picture;
  return lightsK === undefined || whiteBalanceK === undefined
    ? null
    : miredDifference(lightsK, whiteBalanceK);
}

/** Whether what is off is told already: against the reference, or against the setup's first camera. */
function isToldElsewhere(view: PictureView, off: number): boolean {
  const { own } = view;
  const tolerance = view.tolerance('whiteBalanceToleranceMired');
  const apart = ({ picture }: PictureFacts): number | null =>
    picture.whiteBalanceK === undefined || own.picture.whiteBalanceK === undefined
      ? null
      : miredDifference(picture.whiteBalanceK, own.picture.whiteBalanceK);
  const reference = view.matchedTo();
  if (reference !== null) {
    const difference = apart(reference.facts);
    if (difference !== null && !within(difference, tolerance)) return true;
    // The same setting, as far off the same way: a look of the whole group, told at its reference.
    const theirs = offLights(reference.setup, reference.facts);
    if (difference !== null && theirs !== null && within(theirs - off, tolerance)) return true;
  }
  const first = view.firstCamera();
  if (first === null || first.facts.camera === own.camera) return false;
  if (reference !== null && first.matched) return false;
  const difference = apart(first.facts);
  return difference !== null && !within(difference, tolerance);
}

export const colourLights: Rule<'picture'> = {
  id: 'colour-lights',
  title: 'White balance is not that of the lights',
  severity: 'advice',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: 'colour',
  reads: ['picture.whiteBalanceK', 'setups.lightsK', 'shoot.lightsToleranceMired'],
  tolerance: 'lightsToleranceMired',
  basis:
    'differences of colour temperature are seen in mired (Priest 1932); the tolerance: common practice, no source',
  catches:
    'A camera balanced for another colour of light than the setup is lit with. A difference that is told already, against the reference or against the first camera, is not told again, and a look that a whole group has is told at its reference alone.',
  why: 'White turns blue or orange. A look made on purpose is the director’s to accept.',
  check(view) {
    const { setup, own } = view;
    const off = offLights(setup, own);
    const lights: Target = { table: 'setups', record: setup.id, field: 'lightsK' };
    const { lightsK } = setup.record;
    const { whiteBalanceK } = own.picture;
    if (off === null || lightsK === undefined || whiteBalanceK === undefined) {
      return notKnown([
        ...(whiteBalanceK === undefined ? [pictureField(own, 'whiteBalanceK')] : []),
        ...(lightsK === undefined ? [lights] : []),
      ]);
    }
    const tolerance = view.tolerance('lightsToleranceMired');
    if (within(off, tolerance) || isToldElsewhere(view, off)) return AGREES;
    const decimals = Math.abs(off).toFixed(0) === tolerance.toFixed(0) ? 2 : 0;
    const size = plain(Math.abs(off), decimals);
    return found({
      scope: [setup.id, own.camera],
      targets: [pictureField(own, 'whiteBalanceK'), lights],
      message: sentence`Setup ${setup.label}, camera ${own.camera}, is balanced for ${plain(whiteBalanceK, 0)} K under lights of ${plain(lightsK, 0)} K: white turns ${off > 0 ? 'bluer' : 'warmer'} by ${size} mired.`,
      measured: { value: off, unit: 'mired', text: `${size} mired apart` },
      allowed: { value: tolerance, unit: 'mired', text: `within ${plain(tolerance)} mired` },
    });
  },
  candidates: (view) => lightsColourCandidates(view.own, view.cutWith(), view.setup.record.lightsK),
};
