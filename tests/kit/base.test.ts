import { expect, it } from 'vitest';
import { boardOf, DAWN, outcome, set, somebody } from '../support/shoot.ts';

const BOARD = { kit: { 'camera.body': { name: 'Camera body' } } };
const EVENT = { item: 'camera.body', what: 'signOut', to: 'camera', signedBy: 'camera', at: DAWN };

it.each([
  ['an event that one signs oneself', 'camera', 'camera-1.1', EVENT, 'stored'],
  [
    'an event of an item that nobody entered: what has happened is never refused',
    'sound',
    'sound-1.1',
    { ...EVENT, item: 'sound.old', signedBy: 'sound' },
    'stored',
  ],
  [
    'a return of what another has: it shows, and is not refused',
    'sound',
    'sound-1.1',
    { ...EVENT, what: 'return', signedBy: 'sound' },
    'stored',
  ],
  [
    'a settling that names both stories',
    'sound',
    'sound-1.1',
    { ...EVENT, what: 'settle', after: 'camera-1.1', alsoAfter: ['camera-1.2'], signedBy: 'sound' },
    'stored',
  ],
  ['another’s signature', 'sound', 'sound-1.1', EVENT, 'signature'],
  ['a word that is no event', 'camera', 'camera-1.1', { ...EVENT, what: 'sold' }, 'value'],
  ['something besides', 'camera', 'camera-1.1', { ...EVENT, price: 5 }, 'value'],
  ['a point that is not looked at', 'camera', 'camera-1.1', { ...EVENT, looked: ['weather'] }, 'value'],
  ['under another tablet’s name', 'camera', 'sound-1.1', EVENT, 'appended'],
  ['the producer’s', 'producer', 'producer-1.1', { ...EVENT, signedBy: 'producer' }, 'right'],
] as const)('of custody the base decides %s', (_, role, record, event, wanted) => {
  const board = boardOf(BOARD);
  const value = {
    ...event,
    ...('looked' in event && { looked: [...event.looked] }),
    ...('alsoAfter' in event && { alsoAfter: [...event.alsoAfter] }),
  };
  expect(outcome(set(board, somebody(role), [['custody', record, 'event', value]]))).toBe(wanted);
});

it('no event is ever rewritten or cleared, by its author neither', () => {
  const board = boardOf(BOARD);
  const camera = somebody('camera');
  expect(outcome(set(board, camera, [['custody', 'camera-1.1', 'event', EVENT]]))).toBe('stored');
  const again = { ...EVENT, what: 'return' };
  expect(outcome(set(board, camera, [['custody', 'camera-1.1', 'event', again]], 2))).toBe('appended');
  expect(outcome(set(board, camera, [['custody', 'camera-1.1', 'event', null]], 3))).not.toBe('stored');
});

it.each([
  ['value', -1, 'value'],
  ['value', 10, 'stored'],
  ['weightKg', -0.1, 'value'],
  ['dueBack', '2027-02-30', 'value'],
  ['dueBack', '2027-05-16', 'stored'],
  ['neededBy', 'setup one', 'value'],
  ['neededBy', '1a', 'stored'],
  ['neededBy', ['1a', '1b'], 'stored'],
] as const)('of an item the base decides %s %j', (field, value, wanted) => {
  const given = typeof value === 'object' ? [...value] : value;
  expect(outcome(set(boardOf(BOARD), somebody('camera'), [['kit', 'camera.body', field, given]]))).toBe(
    wanted,
  );
});

it('another department’s item is not ours to change', () => {
  expect(outcome(set(boardOf(BOARD), somebody('sound'), [['kit', 'camera.body', 'name', 'Ours']]))).toBe(
    'right',
  );
});
