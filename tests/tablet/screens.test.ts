import { BoardState, type Json, readerOf } from '@plumbline/replica';
import { type ShootReader, setupsInShootingOrder, tables } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { dateIn, dayToShow } from '../../apps/tablet/src/board/days.ts';
import { initials } from '../../apps/tablet/src/board/desk.ts';
import { storingWords } from '../../apps/tablet/src/board/storing.ts';
import { dayItems } from '../../apps/tablet/src/screens/day/items.ts';
import { minutesLeft } from '../../apps/tablet/src/screens/progress/wrap.ts';
import { currentSetup } from '../../apps/tablet/src/screens/setup/current.ts';
import { runningTime, writeLength } from '../../apps/tablet/src/values/running.ts';

function board(
  rows: readonly (readonly [table: string, record: string, fields: Record<string, Json>])[],
): ShootReader {
  const state = new BoardState();
  for (const [table, record, fields] of rows) {
    for (const [field, value] of Object.entries(fields))
      state.set({ table, record, field }, [value, 1, 'd1-1']);
  }
  return readerOf(tables, state);
}

describe('the day', () => {
  const reader = board([
    ['scenes', 's1', { number: '1', place: 'yard' }],
    ['scenes', 's2', { number: '2', place: 'mill' }],
    ['setups', 'a', { scene: 's1', shootingOrder: 1, day: '2027-05-14', state: 'complete' }],
    ['setups', 'b', { scene: 's2', shootingOrder: 2, day: '2027-05-14' }],
    ['setups', 'c', { scene: 's1', shootingOrder: 3 }],
    ['setups', 'd', { scene: 's1', shootingOrder: 4, day: '2027-05-15' }],
  ]);
  const setups = setupsInShootingOrder(reader);

  it('has a heading wherever the unit moves to another place or scene, and no two of one name', () => {
    const items = dayItems(reader, setups, '2027-05-14');
    expect(
      items.map((item) =>
        item.kind === 'setup' ? item.id : `${item.kind} ${item.kind === 'place' ? item.place : item.scene}`,
      ),
    ).toEqual(['place yard', 'scene s1', 'a', 'place mill', 'scene s2', 'b', 'place yard', 'scene s1', 'c']);
    expect(new Set(items.map((item) => `${item.kind}-${item.id}`)).size).toBe(items.length);
  });

  it('is today where today is one of the shoot, else the next, else the last', () => {
    const days = ['2027-05-14', '2027-05-15'];
    expect(dayToShow(days, '2027-05-15')).toBe('2027-05-15');
    expect(dayToShow(days, '2027-05-01')).toBe('2027-05-14');
    expect(dayToShow(days, '2027-06-01')).toBe('2027-05-15');
    expect(dayToShow([], '2027-06-01')).toBeUndefined();
  });

  it('begins at midnight at the place, not at the base', () => {
    const evening = Date.UTC(2027, 4, 14, 23, 30);
    expect(dateIn(evening, 'Europe/Lisbon')).toBe('2027-05-15');
    expect(dateIn(evening, 'America/Bogota')).toBe('2027-05-14');
    expect(dateIn(evening, 'No/Such_Zone')).toMatch(/^2027-05-1[345]$/);
  });

  it('stands at the setup in work, else at the next that is planned', () => {
    expect(currentSetup(setups)).toBe('b');
    expect(currentSetup([...setups, { id: 'e', view: { state: 'inWork' } }])).toBe('e');
    expect(currentSetup([])).toBeUndefined();
  });
});

describe('the wrap', () => {
  it('adds what is planned for what is left, less what the setup in work has used', () => {
    const now = Date.UTC(2027, 4, 14, 9, 0);
    const left = minutesLeft(
      [
        { state: 'complete', plannedMinutes: 60 },
        { state: 'inWork', plannedMinutes: 30, startedAt: now - 20 * 60_000 },
        { plannedMinutes: 15 },
        {},
        { state: 'dropped', plannedMinutes: 99 },
      ],
      now,
    );
    expect(left).toEqual({ minutes: 25, unplanned: 1 });
    expect(minutesLeft([{}], now)).toBeNull();
  });
});

describe('words', () => {
  it('of how much is stored', () => {
    expect(storingWords('live', 0, 0)).toBe('All stored');
    expect(storingWords('live', 2, 14)).toBe('Stored 12 of 14');
    expect(storingWords('waiting', 3, 3)).toBe('Offline · 3 kept here');
    expect(storingWords('waiting', 0, 0)).toBe('Offline');
  });

  it('of lengths of time', () => {
    expect(runningTime(3_723_480, { num: 25, den: 1 })).toBe('01:02:03:12');
    expect(runningTime(999, null)).toBe('00:00:00');
    expect([42, 725, 3730].map(writeLength)).toEqual(['0:42', '12:05', '1:02:10']);
  });

  it('of people, in any script', () => {
    expect(['Kaya Lindholm', 'Nkechi', 'ليلى حداد', '  ', '🎬 Crew'].map(initials)).toEqual([
      'KL',
      'N',
      'لح',
      '?',
      '🎬C',
    ]);
  });
});
