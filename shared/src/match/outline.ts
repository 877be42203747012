import type { SetupView } from '../views/setups.ts';

/** A group as far as a layout needs it. */
export interface MatchOutline {
  readonly name: string;
  /** How many setups it has. */
  readonly count: number;
}

/** The groups of setups in story order, in the order of their first setups. */
export function outlineOf(inStoryOrder: readonly SetupView[]): MatchOutline[] {
  const counts = new Map<string, number>();
  for (const { view } of inStoryOrder) {
    const { matchGroup, state } = view;
    if (matchGroup !== undefined && state !== 'dropped') {
      counts.set(matchGroup, (counts.get(matchGroup) ?? 0) + 1);
    }
  }
  return [...counts].map(([name, count]) => ({ name, count }));
}

/** The setups that are in no match group, in story order. */
export function aloneIn(inStoryOrder: readonly SetupView[]): string[] {
  return inStoryOrder
    .filter(({ view }) => view.matchGroup === undefined && view.state !== 'dropped')
    .map(({ id }) => id);
}
