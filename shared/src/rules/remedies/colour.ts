import type { PictureFacts } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import { plain } from '../words.ts';

function toKelvin(facts: PictureFacts, kelvin: number): Candidate[] {
  const now = facts.picture.whiteBalanceK;
  if (now === undefined || now === kelvin) return [];
  return [
    {
      id: `${facts.camera}-whiteBalanceK:${plain(kelvin, 0)}`,
      label: `camera ${facts.camera}: ${plain(now, 0)} K → ${plain(kelvin, 0)} K`,
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
