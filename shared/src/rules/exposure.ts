import { exposureFields, missingForExposure, pictureField } from './facts.ts';
import { exposureCandidates } from './remedies/picture.ts';
import { AGREES, found, notKnown, type Rule, within } from './rule.ts';
import type { MatchView } from './scopes.ts';
import { apertureText, stopsAgainst } from './words.ts';

/** A picture and what it is matched to. */
type Compared = Pick<MatchView, 'own' | 'referenceFacts'>;

/**
 * What must be entered before two exposures can be compared. No ND entered counts as none where neither setup has
 * any; where one has, nobody can know whether the other was forgotten.
 */
function missingToCompare({ own, referenceFacts: reference }: Compared) {
  const oneHasNd = (own.ndDensity ?? 0) > 0 || (reference.ndDensity ?? 0) > 0;
  const forNd = [own, reference]
    .filter(({ ndDensity }) => oneHasNd && ndDensity === null)
    .map((facts) => pictureField(facts, 'ndDensity'));
  return [...missingForExposure(own), ...missingForExposure(reference), ...forNd];
}

/** How much brighter the setup comes out than its reference, in stops; `null` where that is not known. */
export function exposureDifference(view: Compared): number | null {
  const { own, referenceFacts: reference } = view;
  if (own.offsetStops === null || reference.offsetStops === null) return null;
  return missingToCompare(view).length > 0 ? null : own.offsetStops - reference.offsetStops;
}

/** Whether the exposures are known to be further apart than allowed. */
export function exposuresDisagree(view: MatchView): boolean {
  const difference = exposureDifference(view);
  return difference !== null && !within(difference, view.tolerance('exposureToleranceStops'));
}

/** The aperture told beside the exposure, where it differs too: one cause is reported once. */
function apertureToo({ own, referenceFacts: reference }: MatchView): string {
  const mine = own.picture.aperture;
  const theirs = reference.picture.aperture;
  if (mine === undefined || theirs === undefined || mine === theirs) return '';
  return `, at ${apertureText(mine)} against ${apertureText(theirs)}`;
}

export const exposureOffset: Rule<'match'> = {
  id: 'exposure-offset',
  title: 'Exposure differs inside a match group',
  severity: 'break',
  department: 'camera',
  scope: 'match',
  row: 'exposure',
  reads: [
    'picture.aperture',
    'picture.shutter',
    'picture.frameRate',
    'picture.iso',
    'picture.gainDb',
    'picture.ndDensity',
    'picture.keyLux',
    'cameras.baseIso',
    'cameras.gainConvention',
    'shoot.frameRate',
  ],
  tolerance: 'exposureToleranceStops',
  basis:
    'ISO 2720:1974 for what the settings ask of the key light (incident reading, C = 250); the tolerance: common practice, no source',
  catches:
    'A setup that comes out brighter or darker than the reference setup it cuts together with, whichever of aperture, time, sensitivity, filters or light did it. Where the aperture differs as well, it is told here and not a second time as a matter of depth.',
  why: 'The eye sees a step in brightness at the cut long before it sees one across a cut that is far apart; a stop can rarely be put right without noise or lost highlights.',
  check(view) {
    const missing = missingToCompare(view);
    if (missing.length > 0) return notKnown(missing);
    const difference = exposureDifference(view);
    const tolerance = view.tolerance('exposureToleranceStops');
    if (difference === null || within(difference, tolerance)) return AGREES;
    const { setup, own, reference, referenceFacts } = view;
    const measured = `${stopsAgainst(difference, tolerance)} ${difference > 0 ? 'brighter' : 'darker'}`;
    return found({
      scope: [setup.id, own.camera],
      targets: [...exposureFields(own), ...exposureFields(referenceFacts)],
      message: `Setup ${setup.label}, camera ${own.camera}, comes out ${measured} than ${reference.label}${apertureToo(view)}.`,
      measured: { value: difference, unit: 'stop', text: measured },
      allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, difference)}` },
    });
  },
  candidates: (view) => exposureCandidates(view.own, view.referenceFacts, view.shoot),
};
