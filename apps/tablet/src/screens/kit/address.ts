/** The pages of the kit screen. */
export const KIT_PAGES = [
  'items',
  'people',
  'cases',
  'setups',
  'labels',
  'cards',
  'power',
  'checks',
] as const;

export type KitPage = (typeof KIT_PAGES)[number];

/** A page of the kit, and the record that it shows: an item, a person, a setup, a card. */
export interface KitPlace {
  readonly page: KitPage;
  readonly record: string | null;
}

/** What a page's record is called in an address, where that is not the page's own name. */
const CALLED: Readonly<Record<string, KitPage>> = { item: 'items', person: 'people', setup: 'setups' };

function pageOf(word: string): KitPage | null {
  return KIT_PAGES.find((page) => page === word) ?? CALLED[word] ?? null;
}

/** Reads the record part of the screen's address: `cards`, `item.camera.body-a`, `cards.C1`. */
export function readKitPlace(record: string | null): KitPlace {
  const dot = record?.indexOf('.') ?? -1;
  const word = dot < 0 ? (record ?? '') : (record ?? '').slice(0, dot);
  const page = pageOf(word);
  if (page === null) return { page: 'items', record: null };
  const rest = dot < 0 ? '' : (record ?? '').slice(dot + 1);
  return { page, record: rest === '' ? null : rest };
}

/** The record part of the address of an item's own page. */
export function itemAddress(item: string): string {
  return `item.${item}`;
}

/** The record part of the address of what a person has. */
export function personAddress(person: string): string {
  return `person.${person}`;
}
