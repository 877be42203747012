import { decideCard } from '../cards/states.ts';
import { CARD_STATES } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { fillAt, isVerified, type TakeOnCard } from '../views/media.ts';
import type { Target } from './finding.ts';
import { copyAgainCandidates, standsCandidates } from './remedies/media.ts';
import { AGREES, found, type Rule } from './rule.ts';
import type { CardView } from './scopes.ts';
import { listed } from './words.ts';

function cardField({ id }: CardView, field: 'state' | 'copies'): Target {
  return { table: 'cards', record: id, field };
}

/** `1a take 1, 1b take 2 and 3 more` */
export function takesNamed(takes: readonly TakeOnCard[]): string {
  const names = takes.map(({ take }) => take.record.replace('.', ' take '));
  const rest = names.length - 3;
  return listed(rest > 0 ? [...names.slice(0, 3), `${rest} more`] : names);
}

/** A state in small letters, as it stands in a sentence. */
export function stateWords(state: string): string {
  return (CARD_STATES.find(({ value }) => value === state)?.label ?? state).toLowerCase();
}

/** `no verified copy`, `1 verified copy` */
export function copiesWords(count: number): string {
  return count === 0 ? 'no verified copy' : `${count} verified cop${count === 1 ? 'y' : 'ies'}`;
}

const SHARED = {
  department: 'camera',
  scope: 'card',
  row: null,
  tolerance: null,
} as const;

export const mediaCardCleared: Rule<'card'> = {
  ...SHARED,
  id: 'media-card-cleared',
  title: 'A card stands as safe with takes on it that lack copies',
  severity: 'fault',
  beforeTake: false,
  reads: ['cards.state', 'cards.copies', 'takes.cards', 'takes.rolledAt', 'shoot.copiesRequired'],
  basis: 'common practice, no source: two verified copies in different places before a card is wiped',
  catches:
    'A card that stands as verified or cleared while a take on it has fewer verified copies, in different places, than the shoot asks for: recorded on since, or entered late from a tablet that was away.',
  why: 'Whoever reads the word prepares the card, and the take is gone.',
  check(view) {
    const { standing, card } = view;
    const { entered, lacking, copiesRequired: required } = standing;
    if ((entered !== 'cleared' && entered !== 'verified') || lacking.length === 0) return AGREES;
    if (card.retired === true) return AGREES;
    const fewest = Math.min(...lacking.map(({ places }) => places.length));
    return found({
      scope: [view.id],
      department: view.department,
      targets: [
        cardField(view, 'state'),
        cardField(view, 'copies'),
        ...lacking.map(({ take }): Target => ({ table: 'takes', record: take.record, field: 'cards' })),
      ],
      message: sentence`Card ${standing.name} stands as ${stateWords(entered)} and holds ${takesNamed(lacking)} with ${copiesWords(fewest)}. Do not prepare it.`,
      measured: { value: fewest, unit: 'copy', text: `${fewest} of ${required} copies` },
      allowed: { value: required, unit: 'copy', text: `${required} verified copies` },
    });
  },
  candidates: (view) => standsCandidates(view, view.standing.state),
};

export const mediaCardInOdd: Rule<'card'> = {
  ...SHARED,
  id: 'media-card-in-odd',
  title: 'A card in the camera that stands as full, copied or verified',
  severity: 'advice',
  beforeTake: true,
  reads: ['cards.state', 'cameras.card', 'cameras.cardB', 'recorders.card', 'recorders.cardB'],
  basis: 'common practice, no source',
  catches:
    'A card that is in a camera or a recorder and stands as full, copied or verified: put back in, or the wrong one.',
  why: 'A full card ends the take; on a copied one, what is recorded now is in none of its copies and looks as if it were.',
  check(view) {
    const { standing } = view;
    const { device, entered } = standing;
    if (device === null) return AGREES;
    const decision = decideCard(entered, 'putIn');
    if (decision.kind !== 'odd') return AGREES;
    const where = device.table === 'cameras' ? 'camera' : 'recorder';
    return found({
      scope: [view.id],
      department: view.department,
      targets: [
        cardField(view, 'state'),
        { table: device.table, record: device.id, field: device.slot ?? 'card' },
      ],
      message: sentence`Card ${standing.name} is in ${where} ${device.id} and stands as ${stateWords(entered)}. ${decision.says}`,
      measured: { value: 1, unit: 'card', text: stateWords(entered) },
      allowed: { value: 0, unit: 'card', text: 'prepared, or in the camera' },
    });
  },
  candidates: (view) => standsCandidates(view, 'inCamera'),
};

/** The places whose last compared copy of what is on the card now was not the same as the card. */
function differing({ card }: CardView): string[] {
  const fill = (card.preparedAt ?? []).length;
  const now = (card.copies ?? []).filter(({ at }) => fillAt(card, at) === fill);
  const last = new Map<string, (typeof now)[number]>();
  for (const copy of now) {
    const key = copy.where.trim().toLowerCase();
    const before = last.get(key);
    const said = copy.checked === 'differs' || isVerified(copy);
    if (said && (before === undefined || copy.at >= before.at)) last.set(key, copy);
  }
  return [...last.values()].filter(({ checked }) => checked === 'differs').map(({ where }) => where);
}

export const mediaCopyDiffers: Rule<'card'> = {
  ...SHARED,
  id: 'media-copy-differs',
  title: 'A copy that is not the same as its card',
  severity: 'fault',
  beforeTake: false,
  reads: ['cards.copies', 'cards.preparedAt'],
  basis: 'common practice, no source',
  catches:
    'A copy that was compared with its card and differs, as long as no later copy in the same place was found the same.',
  why: 'It opens, it plays, and one file of it is broken. Nobody looks at it again before the edit.',
  check(view) {
    const places = differing(view);
    if (places.length === 0 || view.card.retired === true) return AGREES;
    return found({
      scope: [view.id],
      department: view.department,
      targets: [cardField(view, 'copies')],
      message: sentence`Card ${view.standing.name}: the copy on ${listed(places)} differs from the card. Copy it again before the card is touched.`,
      measured: { value: places.length, unit: 'copy', text: `${places.length} that differ` },
      allowed: { value: 0, unit: 'copy', text: 'none' },
    });
  },
  candidates: (view) => copyAgainCandidates(view, differing(view)),
};
