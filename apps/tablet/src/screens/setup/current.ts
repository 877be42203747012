import type { SetupView } from '@plumbline/shared';

/**
 * The setup that the unit is on: the one in work, otherwise the next that is planned, otherwise the last.
 *
 * @param setups in shooting order
 */
export function currentSetup(setups: readonly SetupView[]): string | undefined {
  const wanted = setups.filter(({ view }) => view.state !== 'dropped');
  const inWork = wanted.findLast(({ view }) => view.state === 'inWork');
  const planned = wanted.find(({ view }) => (view.state ?? 'planned') === 'planned');
  return (inWork ?? planned ?? wanted.at(-1))?.id;
}
