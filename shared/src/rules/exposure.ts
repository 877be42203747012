import { sentence } from '../views/apart.ts';
import { exposureFields, missingForExposure, pictureField } from './facts.ts';
import type { Target } from './finding.ts';
import { exposureCandidates } from './remedies/picture.ts';
import { AGREES, type Draft, found, notKnown, type Rule, within } from './rule.ts';
import type { CamerasView, MatchView } from './scopes.ts';
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
  beforeTake: true,
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
      message: sentence`Setup ${setup.label}, camera ${own.camera}, comes out ${measured} than ${reference.label}${apertureToo(view)}.`,
      measured: { value: difference, unit: 'stop', text: measured },
      allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, difference)}` },
    });
  },
  candidates: (view) => exposureCandidates(view.own, view.referenceFacts, view.shoot),
};

/** Whether a camera's exposure is held against a reference setup already. */
function isMatched({ own, matchedTo }: CamerasView['cameras'][number]): boolean {
  return matchedTo !== null && exposureDifference({ own, referenceFacts: matchedTo }) !== null;
}

export const exposureCameras: Rule<'cameras'> = {
  id: 'exposure-cameras',
  title: 'Exposure differs between cameras of one setup',
  severity: 'break',
  beforeTake: true,
  department: 'camera',
  scope: 'cameras',
  row: 'exposure',
  reads: exposureOffset.reads,
  tolerance: 'exposureToleranceStops',
  basis: exposureOffset.basis,
  catches:
    'Cameras on the same setup that come out brighter or darker than the first of them. Where both are held against a reference setup of their own, the difference shows there and is not told again.',
  why: 'They see the same subject in the same moment, and are cut together more than any others.',
  check(view) {
    const { setup, cameras } = view;
    const tolerance = view.tolerance('exposureToleranceStops');
    const [first, ...others] = cameras;
    if (!first) return AGREES;
    const drafts: Draft[] = [];
    const missing = new Map<string, Target>();
    for (const other of others) {
      const compared = { own: other.own, referenceFacts: first.own };
      const difference = exposureDifference(compared);
      if (difference === null) {
        for (const target of missingToCompare(compared)) {
          missing.set(`${target.table}/${target.record}/${target.field}`, target);
        }
        continue;
      }
      if (within(difference, tolerance) || (isMatched(first) && isMatched(other))) continue;
      const measured = `${stopsAgainst(difference, tolerance)} ${difference > 0 ? 'brighter' : 'darker'}`;
      drafts.push({
        scope: [setup.id, first.own.camera, other.own.camera],
        targets: [...exposureFields(other.own), ...exposureFields(first.own)],
        message: sentence`Setup ${setup.label}: camera ${other.own.camera} comes out ${measured} than camera ${first.own.camera}.`,
        measured: { value: difference, unit: 'stop', text: measured },
        allowed: { value: tolerance, unit: 'stop', text: `within ${stopsAgainst(tolerance, difference)}` },
      });
    }
    return { ...found(...drafts), missing: [...missing.values()] };
  },
  candidates: (view, { scope: [, first, other] }) => {
    const facts = (camera: string | undefined) => view.cameras.find(({ own }) => own.camera === camera)?.own;
    const [mine, theirs] = [facts(other), facts(first)];
    return mine && theirs ? exposureCandidates(mine, theirs, view.shoot) : [];
  },
};
