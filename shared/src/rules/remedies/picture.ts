import type { ShootRecord } from '../../tables/index.ts';
import type { PictureFacts } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import { luxText, stopsText } from '../words.ts';
import { candidateOf, compensations, type Move, restores, toNd, USUAL_DENSITIES } from './moves.ts';

/** Below this a second change is not worth making, stops. */
const WORTH_STOPS = 0.02;

/** A first move with each that makes up for what it leaves. */
export function madeUp(
  own: PictureFacts,
  first: Move,
  stopsLeft: number,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  if (Math.abs(stopsLeft) < WORTH_STOPS) return [];
  return compensations(own, stopsLeft, shoot, [first.setting]).map((second) => candidateOf([first, second]));
}

/** What may bring the exposure to that of the reference. */
export function exposureCandidates(
  own: PictureFacts,
  reference: PictureFacts,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  if (own.offsetStops === null || reference.offsetStops === null) return [];
  const need = reference.offsetStops - own.offsetStops;
  const back = restores(own, reference);
  const single = compensations(own, need, shoot);
  const pairsBack = back.flatMap((first, index) =>
    back.slice(index + 1).map((second) => candidateOf([first, second])),
  );
  const fine = single
    .filter(({ setting }) => setting === 'nd')
    .flatMap((first) => madeUp(own, first, need - first.stops, shoot));
  return [
    ...back.map((one) => candidateOf([one])),
    ...single.map((one) => candidateOf([one])),
    ...lightCandidate(own, need),
    ...pairsBack,
    ...back.flatMap((first) => madeUp(own, first, need - first.stops, shoot)),
    ...fine,
  ];
}

/** Asks for more or less light on the subject. Nothing is written: the light is metered again once it was changed. */
function lightCandidate(own: PictureFacts, need: number): Candidate[] {
  const { keyLux, fillLux } = own.picture;
  if (keyLux === undefined) return [];
  const wanted = keyLux * 2 ** need;
  const fill =
    fillLux === undefined
      ? ''
      : `, the fill from ${luxText(fillLux)} to ${luxText(fillLux * 2 ** need)} to keep their ratio`;
  return [
    {
      id: `light:${need.toFixed(1)}`,
      label: `${need > 0 ? 'Add' : 'Take'} ${stopsText(need)} of light ${need > 0 ? 'to' : 'off'} the key, and meter again`,
      changes: [],
      supposes: [{ table: 'picture', record: own.record, field: 'keyLux', value: wanted }],
      says: [{ what: 'light', text: `the key goes from ${luxText(keyLux)} to ${luxText(wanted)}${fill}` }],
      trouble: 0.4 + 0.1 * Math.abs(need),
    },
  ];
}

/** What may bring the aperture to that of the reference and leave the exposure where it agrees. */
export function apertureCandidates(
  own: PictureFacts,
  reference: PictureFacts,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  return restoreCandidates(own, reference, shoot, 'aperture');
}

/** One setting put back to the reference's, alone and with what makes up for it. */
export function restoreCandidates(
  own: PictureFacts,
  reference: PictureFacts,
  shoot: ShootRecord<'shoot'>,
  setting: Move['setting'],
): Candidate[] {
  const need =
    own.offsetStops === null || reference.offsetStops === null ? 0 : reference.offsetStops - own.offsetStops;
  const back = restores(own, reference);
  return back
    .filter((one) => one.setting === setting)
    .flatMap((first) => [
      candidateOf([first]),
      ...madeUp(own, first, need - first.stops, shoot),
      ...back.filter((second) => second !== first).map((second) => candidateOf([first, second])),
    ]);
}

/** What may bring the sensitivity to that of the reference and leave the exposure where it agrees. */
export function sensitivityCandidates(
  own: PictureFacts,
  reference: PictureFacts,
  shoot: ShootRecord<'shoot'>,
): Candidate[] {
  return restoreCandidates(own, reference, shoot, 'sensitivity');
}

/** Weaker filters that the camera has, and what makes up for the light that they let in. */
export function weakerNdCandidates(
  own: PictureFacts,
  shoot: ShootRecord<'shoot'>,
  most: number,
): Candidate[] {
  const at = own.device.ndAvailable ?? USUAL_DENSITIES;
  const weaker = [...new Set([0, ...at])].filter((density) => density <= most).sort((a, b) => b - a);
  return weaker
    .slice(0, 2)
    .flatMap((density) => toNd(own, density))
    .flatMap((first) => madeUp(own, first, -first.stops, shoot));
}
