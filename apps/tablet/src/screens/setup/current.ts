import { type ShootReader, setupsInShootingOrder } from '@plumbline/shared';

/** The setup that the unit is on: the one in work, otherwise the next that is planned, otherwise the last. */
export function currentSetup(reader: ShootReader): string | undefined {
  const setups = setupsInShootingOrder(reader).filter(({ view }) => view.state !== 'dropped');
  const inWork = setups.findLast(({ view }) => view.state === 'inWork');
  const planned = setups.find(({ view }) => (view.state ?? 'planned') === 'planned');
  return (inWork ?? planned ?? setups.at(-1))?.id;
}
