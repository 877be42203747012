import { decodePresence, type PresenceEntry, readFrame } from '@plumbline/replica';
import { expect, it } from 'vitest';
import { PresenceRoom } from '../../../apps/base/src/sync/presence.ts';

function room() {
  const heard: PresenceEntry[] = [];
  const told: (readonly PresenceEntry[])[] = [];
  const presence = new PresenceRoom(
    (act) => act(),
    (entries) => told.push(entries),
  );
  const teller = {
    person: 'p1',
    presence: (frame: Uint8Array) => {
      const read = readFrame(frame);
      if (read?.type === 'awareness') heard.push(...(decodePresence(read.bytes) ?? []));
    },
  };
  presence.join(teller);
  return { presence, teller, heard, told };
}

const entry = (client: number, clock: number, screen: string | null): PresenceEntry => ({
  client,
  clock,
  state: screen === null ? null : { person: 'p2', screen },
});

it('who is on another node is seen here, and whoever comes later is told of them', () => {
  const { presence, heard } = room();
  presence.hear('n2', [entry(7, 1, 'day')], false);
  expect(heard).toEqual([entry(7, 1, 'day')]);
  const later: unknown[] = [];
  presence.join({ person: 'p3', presence: (frame) => later.push(frame) });
  expect(later).toHaveLength(1);
});

it('what those here say goes out, what was heard from elsewhere does not go round', () => {
  const { presence, teller, told } = room();
  presence.hear('n2', [entry(7, 1, 'day')], false);
  expect(told).toEqual([]);
  presence.tell(teller, [{ client: 3, clock: 1, state: { screen: 'day' } }]);
  expect(told).toEqual([[{ client: 3, clock: 1, state: { screen: 'day', person: 'p1' } }]]);
  presence.leave(teller);
  expect(told.at(-1)).toEqual([{ client: 3, clock: 1, state: null }]);
});

it('those of a node that is dead are not to be seen any more, nor those that it leaves out of all', () => {
  const { presence, heard } = room();
  presence.hear('n2', [entry(7, 1, 'day'), entry(8, 4, 'sound')], false);
  presence.hear('n3', [entry(9, 1, 'camera')], false);
  heard.length = 0;
  presence.hear('n2', [entry(7, 1, 'day')], true);
  expect(heard).toEqual([entry(8, 4, null)]);
  presence.gone('n2');
  expect(heard.at(-1)).toEqual(entry(7, 1, null));
  expect(heard).toHaveLength(2);
});

it('a tab that went to another node is seen there, whichever of both is heard first', () => {
  const { presence, heard } = room();
  presence.hear('n2', [entry(7, 1, 'day')], false);
  presence.hear('n3', [entry(7, 2, 'sound')], false);
  presence.hear('n2', [entry(7, 1, null)], false);
  presence.gone('n2');
  expect(heard.map(({ clock, state }) => [clock, state])).toEqual([
    [1, { person: 'p2', screen: 'day' }],
    [2, { person: 'p2', screen: 'sound' }],
  ]);
});

it('a node cannot speak for a socket here, nor say what is no presence', () => {
  const { presence, teller, heard } = room();
  presence.tell(teller, [{ client: 3, clock: 1, state: { screen: 'day' } }]);
  heard.length = 0;
  presence.hear('n2', [entry(3, 9, 'sound'), { client: 4, clock: 1, state: { screen: 5 } }], false);
  expect(heard).toEqual([]);
});
