import { type Guard, readerOf, valueIn } from '@plumbline/replica';
import { tables } from '../tables/index.ts';
import { copiesRequired, lackingSentence, takesOnCard } from '../views/media.ts';

/**
 * A card is not cleared for preparing while a take on it lacks its verified copies: clearing is a permission, and what
 * is wiped on the strength of it is gone. A card that *was* prepared too early is not refused; that has happened, and
 * becomes a finding.
 */
export const cardCleared: Guard = {
  name: 'cardCleared',
  wakes: (entry) => entry.table === 'cards' && entry.field === 'state' && entry.value === 'cleared',
  judge: ({ after, entry }) => {
    const reader = readerOf(tables, after);
    const required = copiesRequired(reader);
    const lacking = takesOnCard(reader, entry.record).filter(({ places }) => places.length < required);
    return lacking.length === 0 ? null : lackingSentence(lacking, required);
  },
};

const AS_SHOT: ReadonlySet<string> = new Set(['asShotPicture', 'asShotInputs', 'changedWhileRolling']);

/**
 * What a take was shot with stands once it is cut. No role may write the copies anyway, and the base writes none after
 * the first cut; taking the cut back would let it, so a cut is set right and never taken back.
 */
export const takeAsShot: Guard = {
  name: 'takeAsShot',
  wakes: ({ table, field, value }) =>
    table === 'takes' && (AS_SHOT.has(field) || (field === 'cutAt' && value === null)),
  judge: ({ before, entry }) => {
    if (valueIn(before, 'takes', entry.record, 'cutAt') == null) return null;
    return entry.field === 'cutAt'
      ? 'The take is cut. Set the right time instead, or mark it as not a take.'
      : 'What the take was shot with stays as it was at the cut.';
  },
};

/** The guards of a shoot: only what cannot be undone. */
export const guards: readonly Guard[] = [cardCleared, takeAsShot];
