import type { ShootReader } from '../tables/index.ts';
import { placeOfSetup, setupsInShootingOrder } from '../views/setups.ts';

/** The setups in use of a day, those planned for no day included; with no day, of the whole shoot. */
export function setupsOfDay(reader: ShootReader, day: string | undefined): string[] {
  return setupsInShootingOrder(reader)
    .filter(({ view }) => view.state !== 'dropped')
    .filter(({ view }) => day === undefined || view.day === undefined || view.day === day)
    .map(({ id }) => id);
}

/** The places that the setups of a day are shot at. */
export function placesOfDay(reader: ShootReader, day: string | undefined): string[] {
  return [...new Set(setupsOfDay(reader, day).flatMap((setup) => placeOfSetup(reader, setup) ?? []))];
}
