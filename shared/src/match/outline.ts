import type { ShootReader } from '../tables/index.ts';
import { matchGroups, setupsInStoryOrder } from '../views/setups.ts';

/** A group as far as a layout needs it. */
export interface MatchOutline {
  readonly name: string;
  /** How many setups it has. */
  readonly count: number;
}

/** The groups in the story order of their first setups. */
export function outlineOf(reader: ShootReader): MatchOutline[] {
  return matchGroups(reader).map(({ name, setups }) => ({ name, count: setups.length }));
}

/** The setups that are in no match group, in story order. */
export function aloneIn(reader: ShootReader): string[] {
  return setupsInStoryOrder(reader)
    .filter(({ view }) => view.matchGroup === undefined && view.state !== 'dropped')
    .map(({ id }) => id);
}
