import {
  dropsOfDay,
  endOfWork,
  forecastDay,
  hoursOf,
  plannedDay,
  ratiosOf,
  restOfDay,
  workedMinutes,
} from '@plumbline/shared/schedule';
import { describe, expect, it } from 'vitest';
import { type PlainBoard, shootReader } from '../support/shoot.ts';

const DAY = '2027-05-14';
const MINUTE = 60_000;
/** A time of the day in Lisbon, an hour ahead of UTC in May. */
const at = (clock: string): number => Date.parse(`${DAY}T${clock}:00+01:00`);

const board = (setups: PlainBoard[string], day: PlainBoard[string][string] = {}): PlainBoard => ({
  shoot: { shoot: { timeZone: 'Europe/Lisbon' } },
  days: { [DAY]: { call: '08:00', wrap: '18:00', breaks: ['13:00-13:45'], ...day } },
  setups: Object.fromEntries(
    Object.entries(setups).map(([id, view], index) => [id, { day: DAY, shootingOrder: index, ...view }]),
  ),
});

describe('the hours of a day', () => {
  it('are those of the shoot’s zone, summer time kept', () => {
    const { call, wrap, breaks } = hoursOf(shootReader(board({})), DAY);
    expect([call, wrap]).toEqual([at('08:00'), at('18:00')]);
    expect(breaks).toEqual([{ from: at('13:00'), to: at('13:45') }]);
  });

  it('go past midnight where the wrap is earlier than the call', () => {
    const { call, wrap, breaks } = hoursOf(
      shootReader(board({}, { call: '19:00', wrap: '04:00', breaks: ['00:30-01:15'] })),
      DAY,
    );
    expect((wrap ?? 0) - (call ?? 0)).toBe(9 * 60 * MINUTE);
    expect((breaks[0]?.from ?? 0) - (call ?? 0)).toBe(5.5 * 60 * MINUTE);
  });

  it('join breaks that overlap, and are unknown where nobody set them', () => {
    const overlapping = shootReader(board({}, { breaks: ['13:30-14:00', '13:00-13:45'] }));
    expect(hoursOf(overlapping, DAY).breaks).toEqual([{ from: at('13:00'), to: at('14:00') }]);
    expect(hoursOf(shootReader({}), DAY)).toEqual({ call: undefined, wrap: undefined, breaks: [] });
  });
});

describe('work rests in the breaks', () => {
  const breaks = [{ from: at('13:00'), to: at('13:45') }];
  it.each([
    ['before it', '08:00', 60, '09:00'],
    ['up to its first minute', '12:00', 60, '13:00'],
    ['across it', '12:30', 60, '14:15'],
    ['from inside it', '13:20', 30, '14:15'],
    ['after it', '15:00', 30, '15:30'],
  ])('%s', (_, from, minutes, to) => {
    expect(endOfWork(at(from), minutes, breaks)).toBe(at(to));
    expect(workedMinutes(at(from), at(to), breaks)).toBe(minutes);
  });
});

describe('the day as planned', () => {
  it('puts one setup after the other from the call, by hand: 90 min to 09:30, 240 min across the break to 14:15', () => {
    const slots = plannedDay(
      shootReader(
        board({ a: { plannedMinutes: 90 }, b: { plannedMinutes: 240 }, c: { plannedMinutes: 30 } }),
      ),
      DAY,
    );
    expect(slots.map(({ from, to }) => [from, to])).toEqual([
      [at('08:00'), at('09:30')],
      [at('09:30'), at('14:15')],
      [at('14:15'), at('14:45')],
    ]);
  });

  it('gives a setup that nobody timed the middle length and says so; a dropped one takes none', () => {
    const slots = plannedDay(
      shootReader(
        board({
          a: { plannedMinutes: 20 },
          b: {},
          c: { plannedMinutes: 50, state: 'dropped' },
          d: { plannedMinutes: 40 },
        }),
      ),
      DAY,
    );
    expect(slots.map(({ setup, minutes, isGuess }) => [setup, minutes, isGuess])).toEqual([
      ['a', 20, false],
      ['b', 40, true],
      ['d', 40, false],
    ]);
  });
});

const morning = board({
  a: { plannedMinutes: 60, state: 'complete', startedAt: at('08:10'), completedAt: at('09:40') },
  b: { plannedMinutes: 60, state: 'complete', startedAt: at('09:50'), completedAt: at('11:10') },
  c: { plannedMinutes: 60, state: 'inWork', startedAt: at('11:20') },
  d: { plannedMinutes: 120, priority: 'spare' },
  e: { plannedMinutes: 90, priority: 'must' },
  f: { plannedMinutes: 60 },
});

describe('the forecast of a day from its board', () => {
  it('learns from completion to completion: a took 90 of 60 min, b 90 of 60 with the move to it', () => {
    expect(ratiosOf(shootReader(morning), DAY, [])).toEqual([1.5, 1.5]);
  });

  it('takes what is in work first, with the minutes already spent on it', () => {
    const rest = restOfDay(shootReader(morning), DAY, at('11:50'));
    expect(rest?.setups.map(({ setup, used }) => [setup, used])).toEqual([
      ['c', 30],
      ['d', 0],
      ['e', 0],
      ['f', 0],
    ]);
  });

  it('begins at the call on a day that is still ahead', () => {
    const ahead = board({ a: { plannedMinutes: 60 } });
    expect(restOfDay(shootReader(ahead), DAY, at('05:00'))?.from).toBe(at('08:00'));
  });

  it('is the same each time it is asked for the same board and moment', () => {
    const once = forecastDay(shootReader(morning), DAY, at('11:50'));
    expect(forecastDay(shootReader(morning), DAY, at('11:50'))).toEqual(once);
    expect(once?.learntFrom).toBe(2);
    expect(once?.wrap.early).toBeLessThan(once?.wrap.middle ?? 0);
  });

  it('is none where nothing is left', () => {
    const over = board({ a: { state: 'complete', completedAt: at('09:00') } });
    expect(forecastDay(shootReader(over), DAY, at('10:00'))).toBeNull();
  });

  it('offers to drop what was marked as spare, and keeps what must be had', () => {
    const offers = dropsOfDay(shootReader(morning), DAY, at('11:50'));
    expect(offers[0]?.setups).toEqual(['d']);
    for (const { setups } of offers) expect(setups).not.toContain('e');
    for (const { setups } of offers) expect(setups).not.toContain('c');
  });

  it('says where a setup that would go is the one that others are matched to', () => {
    const late = board({
      a: { plannedMinutes: 200, priority: 'must' },
      b: { plannedMinutes: 240, matchGroup: 'G', reference: 'b' },
      c: { plannedMinutes: 150, matchGroup: 'G', reference: 'b', priority: 'must' },
    });
    expect(dropsOfDay(shootReader(late), DAY, at('08:00'))[0]).toMatchObject({
      setups: ['b'],
      references: ['b'],
    });
  });
});
