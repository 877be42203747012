import { SHOOT, type ShootReader, type ShootRecord } from '../tables/index.ts';
import { type TakeView, takeOf } from './takes.ts';

/** How many verified copies a take needs where the shoot does not say. Common practice, no source. */
export const USUAL_COPIES_REQUIRED = 2;

/** How many verified copies in different places a take needs before its card may be cleared. */
export function copiesRequired(reader: ShootReader): number {
  return reader.value('shoot', SHOOT, 'copiesRequired') ?? USUAL_COPIES_REQUIRED;
}

/** A take on a card, and the places where it stands verified. */
export interface TakeOnCard {
  readonly take: TakeView;
  readonly places: readonly string[];
}

/** When a take ended or, while that is not known, began: what a copy must not have been started before. */
function recordedUntil({ view }: TakeView): number {
  return view.cutAt ?? view.rolledAt ?? 0;
}

/** How often the card had been prepared before a moment: what lies between two preparings was on it together. */
function fillAt(card: ShootRecord<'cards'>, moment: number): number {
  return (card.preparedAt ?? []).filter((prepared) => prepared <= moment).length;
}

/** The places that hold a verified copy of a take from this card, each once, however it is spelled. */
export function verifiedPlaces(card: ShootRecord<'cards'>, take: TakeView): string[] {
  const until = recordedUntil(take);
  const fill = fillAt(card, until);
  const places = new Map<string, string>();
  for (const { where, checked, at } of card.copies ?? []) {
    if (checked === 'no' || at < until || fillAt(card, at) !== fill) continue;
    const place = where.trim();
    if (!places.has(place.toLowerCase())) places.set(place.toLowerCase(), place);
  }
  return [...places.values()];
}

/** Every take that was ever recorded on a card, those rolled by mistake included: a card knows no mistakes. */
function takesEverOn(reader: ShootReader, card: string): TakeView[] {
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
