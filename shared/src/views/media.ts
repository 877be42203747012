import { SHOOT, type ShootReader, type ShootRecord } from '../tables/index.ts';
import { type TakeView, takeOf } from './takes.ts';

/** How many verified copies a take needs where the shoot does not say. Common practice, no source. */
export const USUAL_COPIES_REQUIRED = 2;

/** How many verified copies in different places a take needs before its card may be cleared. */
export function copiesRequired(reader: ShootReader): number {
  return reader.value('shoot', SHOOT, 'copiesRequired') ?? USUAL_COPIES_REQUIRED;
}

/** What a place is compared by: however it is spelled and spaced. */
function placeKey(where: string): string {
  return where.trim().replace(/\s+/g, ' ').toLowerCase();
}

/** A take on a card, and the places where it stands verified. */
export interface TakeOnCard {
  readonly take: TakeView;
  readonly places: readonly string[];
}

/** When a take ended or, while that is not known, began: what a copy must not have been started before. */
export function recordedUntil({ view }: TakeView): number {
  return view.cutAt ?? view.rolledAt ?? 0;
}

/** How often the card had been prepared before a moment: what lies between two preparings was on it together. */
export function fillAt(card: ShootRecord<'cards'>, moment: number): number {
  return (card.preparedAt ?? []).filter((prepared) => prepared <= moment).length;
}

/** A copy of a card's contents. */
export type CardCopy = NonNullable<ShootRecord<'cards'>['copies']>[number];

/** How a copy was checked that counts as verified. */
const VERIFIED: ReadonlySet<CardCopy['checked']> = new Set(['byEye', 'checksum'] as const);

/** Whether a copy was compared with the card and found the same. */
export function isVerified({ checked }: CardCopy): boolean {
  return VERIFIED.has(checked);
}

/** The slots for cards of a camera or a recorder. What is in the second records the same at the same time. */
export const CARD_SLOTS = ['card', 'cardB'] as const;

export type CardSlot = (typeof CARD_SLOTS)[number];

/** The cards that are in a camera or a recorder now, by slot. */
export function cardsInDevice(
  reader: ShootReader,
  table: 'cameras' | 'recorders',
  device: string,
): { readonly slot: CardSlot; readonly card: string }[] {
  return CARD_SLOTS.flatMap((slot) => {
    const card = reader.value(table, device, slot);
    return card === undefined ? [] : [{ slot, card }];
  });
}

/** All copies ever entered for a card, the earlier ones first. */
export function copiesOf({ copies = [], copiesBefore = [] }: ShootRecord<'cards'>): readonly CardCopy[] {
  return copiesBefore.length === 0 ? copies : [...copiesBefore, ...copies];
}

/** The places that hold a verified copy of a take from this card, each once, however it is spelled. */
export function verifiedPlaces(card: ShootRecord<'cards'>, take: TakeView): string[] {
  const until = recordedUntil(take);
  const fill = fillAt(card, until);
  const places = new Map<string, string>();
  for (const copy of copiesOf(card)) {
    const { where, at } = copy;
    if (!isVerified(copy) || at < until || fillAt(card, at) !== fill) continue;
    const place = where.trim();
    if (!places.has(placeKey(place))) places.set(placeKey(place), place);
  }
  return [...places.values()];
}

/** Every take that was ever recorded on a card, those rolled by mistake included: a card knows no mistakes. */
export function takesEverOn(reader: ShootReader, card: string): TakeView[] {
  return reader
    .records('takes')
    .filter((record) => reader.value('takes', record, 'cards')?.includes(card))
    .map((record) => takeOf(reader, record));
}

/** The takes that are on a card now, with the places that hold verified copies of each. */
export function takesOnCard(reader: ShootReader, card: string): TakeOnCard[] {
  const view = reader.view('cards', card);
  const now = (view.preparedAt ?? []).length;
  return takesEverOn(reader, card)
    .filter((take) => recordedUntil(take) === 0 || fillAt(view, recordedUntil(take)) === now)
    .map((take) => ({ take, places: verifiedPlaces(view, take) }));
}

/** Takes that were on a card when it was prepared, and had fewer verified copies than the shoot asks for. */
export function takesLost(reader: ShootReader, card: string): TakeOnCard[] {
  const view = reader.view('cards', card);
  const now = (view.preparedAt ?? []).length;
  const required = copiesRequired(reader);
  return takesEverOn(reader, card)
    .filter((take) => recordedUntil(take) > 0 && fillAt(view, recordedUntil(take)) < now)
    .map((take) => ({ take, places: verifiedPlaces(view, take) }))
    .filter(({ places }) => places.length < required);
}

/** What the takes lack that keeps a card from being cleared, in one sentence. */
export function lackingSentence(lacking: readonly TakeOnCard[], required: number): string {
  const [first] = lacking;
  const fewest = Math.min(...lacking.map(({ places }) => places.length));
  const named = lacking.length === 1 && first ? `take ${first.take.record}` : `${lacking.length} takes`;
  return `It holds ${named} with ${fewest} verified ${fewest === 1 ? 'copy' : 'copies'} in different places; ${required} are needed before it is cleared.`;
}
