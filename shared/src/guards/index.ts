import { type BoardReader, type Guard, type Json, valueIn } from '@plumbline/replica';
import * as z from 'zod/mini';
import { copySchema, SHOOT } from '../tables/index.ts';

/** How many verified copies a take needs where the shoot does not say. Common practice, no source. */
export const USUAL_COPIES_REQUIRED = 2;

/** The different places where a card's contents stand verified: compared by checksum, or by eye. */
export function verifiedPlaces(copies: Json | undefined): ReadonlySet<string> {
  const parsed = z.safeParse(z.array(copySchema), copies ?? []);
  const verified = parsed.success ? parsed.data.filter((copy) => copy.checked !== 'no') : [];
  return new Set(verified.map((copy) => copy.where.trim().toLowerCase()));
}

/** The takes recorded on a card, those rolled by mistake included: a card knows no mistakes. */
function takesOn(board: BoardReader, card: string): string[] {
  return [...board.records('takes')].filter((take) => {
    const cards = valueIn(board, 'takes', take, 'cards');
    return Array.isArray(cards) && cards.includes(card);
  });
}

/**
 * A card is not cleared for preparing while a take on it lacks its verified copies: clearing is a permission, and what
 * is wiped on the strength of it is gone. A card that *was* prepared too early is not refused; that has happened, and
 * becomes a finding.
 */
export const cardCleared: Guard = {
  name: 'cardCleared',
  wakes: (entry) => entry.table === 'cards' && entry.field === 'state' && entry.value === 'cleared',
  judge: ({ after, entry }) => {
    const takes = takesOn(after, entry.record);
    const required = Number(valueIn(after, 'shoot', SHOOT, 'copiesRequired') ?? USUAL_COPIES_REQUIRED);
    const places = verifiedPlaces(valueIn(after, 'cards', entry.record, 'copies')).size;
    if (takes.length === 0 || places >= required) return null;
    const named = takes.length === 1 ? `take ${takes[0]}` : `${takes.length} takes`;
    return `It holds ${named} with ${places} verified ${places === 1 ? 'copy' : 'copies'} in different places; ${required} are needed before it is cleared.`;
  },
};

/** The guards of a shoot: only what cannot be undone. A take's copies as shot need none: they are the base's own. */
export const guards: readonly Guard[] = [cardCleared];
