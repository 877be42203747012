import { sentence } from '../../views/apart.ts';
import type { PictureFacts } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import { plain } from '../words.ts';

function toKelvin(facts: PictureFacts, kelvin: number): Candidate[] {
  const now = facts.picture.whiteBalanceK;
  if (now === undefined || now === kelvin) return [];
  return [
    {
      id: `${facts.camera}-whiteBalanceK:${plain(kelvin, 0)}`,
      label: sentence`camera ${facts.camera}: ${plain(now, 0)} K → ${plain(kelvin, 0)} K`,
      changes: [{ table: 'picture', record: facts.record, field: 'whiteBalanceK', value: kelvin }],
    },
  ];
}

/** The white balance of the reference. */
export function matchColourCandidates(own: PictureFacts, reference: PictureFacts): Candidate[] {
  const wanted = reference.picture.whiteBalanceK;
  return wanted === undefined ? [] : toKelvin(own, wanted);
}

/** Either camera's white balance for both. */
export function camerasColourCandidates(own: PictureFacts, first: PictureFacts): Candidate[] {
  const [mine, theirs] = [own.picture.whiteBalanceK, first.picture.whiteBalanceK];
  return mine === undefined || theirs === undefined
    ? []
    : [...toKelvin(own, theirs), ...toKelvin(first, mine)];
}

/** The colour of the lights; or the same on everything that this camera cuts together. */
export function lightsColourCandidates(
  own: PictureFacts,
  cutWith: readonly PictureFacts[],
  lightsK: number | undefined,
): Candidate[] {
  if (lightsK === undefined) return [];
  const alone = toKelvin(own, lightsK);
  const others = cutWith.flatMap((facts) => toKelvin(facts, lightsK));
  const gel = gelCandidate(own, lightsK);
  if (others.length === 0) return [...alone, ...gel];
  return alone.flatMap((one) => [
    one,
    ...gel,
    {
      id: `group:${plain(lightsK, 0)}`,
      label: `${one.label}, here and on ${others.length} setup${others.length === 1 ? '' : 's'} that cut with it`,
      changes: [...one.changes, ...others.flatMap(({ changes }) => changes)],
    },
  ]);
}

/** Trouble of putting a gel on every lamp. */
const GEL_TROUBLE = 1;

/** Asks for the lights to be brought to the white balance. Nothing is written: their colour is read again. */
function gelCandidate({ setup, picture }: PictureFacts, lightsK: number): Candidate[] {
  const { whiteBalanceK } = picture;
  if (whiteBalanceK === undefined) return [];
  return [
    {
      id: 'gel',
      label: `Bring the lights from ${plain(lightsK, 0)} K to ${plain(whiteBalanceK, 0)} K with gels or other lamps, and meter again`,
      changes: [],
      supposes: [{ table: 'setups', record: setup, field: 'lightsK', value: whiteBalanceK }],
      says: [{ what: 'light', text: 'gels take light: up to a stop and more for a full change' }],
      trouble: GEL_TROUBLE,
    },
  ];
}
