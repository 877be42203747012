import { sentence } from '../../views/apart.ts';
import type { PictureFacts } from '../facts.ts';
import type { Candidate } from '../rule.ts';
import { luxText } from '../words.ts';

/** Trouble of walking to the subject with a meter, a card or a flag. */
const WALK_TROUBLE = 0.3;

/** Asks for the light to be read again. Nothing is written: the reading that comes of it is. */
export function meterAgainCandidate(own: PictureFacts, at: number): Candidate[] {
  return [
    {
      id: 'meterAgain',
      label: sentence`Meter again at camera ${own.camera}’s subject, and enter the reading`,
      changes: [],
      supposes: [{ table: 'picture', record: own.record, field: 'meteredAt', value: at }],
      trouble: WALK_TROUBLE,
    },
  ];
}

/** Asks for the white balance to be taken again. */
export function balanceAgainCandidate(own: PictureFacts, at: number): Candidate[] {
  return [
    {
      id: 'balanceAgain',
      label: sentence`Balance camera ${own.camera} again under the lights as they are`,
      changes: [],
      supposes: [{ table: 'picture', record: own.record, field: 'whiteBalancedAt', value: at }],
      trouble: WALK_TROUBLE,
    },
  ];
}

/** Asks for more or less fill, so that its ratio to the key is the reference’s again. */
export function fillCandidate(own: PictureFacts, reference: PictureFacts): Candidate[] {
  const { keyLux, fillLux } = own.picture;
  const { keyLux: theirKey, fillLux: theirFill } = reference.picture;
  if (keyLux === undefined || fillLux === undefined || theirKey === undefined || theirFill === undefined) {
    return [];
  }
  const wanted = (keyLux * theirFill) / theirKey;
  return [
    {
      id: 'fill',
      label: `${wanted > fillLux ? 'Add' : 'Take off'} fill: ${luxText(fillLux)} → ${luxText(wanted)}, and meter again`,
      changes: [],
      supposes: [{ table: 'picture', record: own.record, field: 'fillLux', value: wanted }],
      says: [{ what: 'light', text: 'the key stays as it is' }],
      trouble: WALK_TROUBLE,
    },
  ];
}
