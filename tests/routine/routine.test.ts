import { type Json, readerOf } from '@plumbline/replica';
import { COMPUTED_CHECKS, DEPARTMENTS, ROUTINE_TIMES, tables } from '@plumbline/shared';
import {
  addLine,
  allRoutineLines,
  type CheckedFor,
  type ComputedCheck,
  look,
  routineAt,
  routineLines,
  tick,
  USUAL_ROUTINE,
  untick,
} from '@plumbline/shared/routine';
import { readiness } from '@plumbline/shared/rules';
import { describe, expect, it } from 'vitest';
import { boardOf, DAWN, outcome, type PlainBoard, set, shootReader, somebody } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const OF: CheckedFor = { department: 'camera', setup: 'S1', day: '2030-06-01', now: DAWN };

describe('the usual routine', () => {
  it('has lines for every department at every time, each named once', () => {
    for (const department of DEPARTMENTS) {
      for (const { value } of ROUTINE_TIMES) {
        expect(
          routineLines(shootReader({}), department, value).length,
          `${department} ${value}`,
        ).toBeGreaterThan(2);
      }
    }
    const records = allRoutineLines(shootReader({})).map(({ record }) => record);
    expect(new Set(records).size).toBe(records.length);
    for (const { title } of USUAL_ROUTINE) expect(title).toMatch(/^\p{Lu}.*[^.]$/u);
  });
});

describe('the routine of this shoot', () => {
  it('words a line anew, leaves one out, adds one at the end', () => {
    const reader = shootReader({
      routine: {
        'camera.sensor': { title: 'Sensor looked at twice' },
        'camera.lenses': { retired: true },
        'camera.rain': { title: 'Rain covers at hand', when: 'beforeDay', order: 9000 },
      },
    });
    const titles = routineLines(reader, 'camera', 'beforeDay').map(({ title }) => title);
    expect(titles).toContain('Sensor looked at twice');
    expect(titles.some((title) => title.startsWith('Lenses'))).toBe(false);
    expect(titles.at(-1)).toBe('Rain covers at hand');
  });

  it('adds a line behind all others, in a form that the base takes from its department alone', () => {
    const line = {
      department: 'sound',
      name: 'generator',
      when: 'setup',
      title: 'Generator far enough',
    } as const;
    const board = boardOf({});
    const values = addLine(readerOf(tables, board), line).map(
      ({ table, record, field, value }) => [table, record, field, value] as const,
    );
    expect(outcome(set(board, somebody('camera'), values))).toBe('right');
    expect(outcome(set(board, somebody('sound'), values))).toBe('stored');
    expect(routineLines(readerOf(tables, board), 'sound', 'setup').at(-1)?.title).toBe(
      'Generator far enough',
    );
  });
});

describe('a tick', () => {
  const board = () => boardOf({ setups: { S1: { label: 'S1' } } });
  const valuesOf = (changes: ReturnType<typeof tick>) =>
    changes.map(({ table, record, field, value }) => [table, record, field, value] as const);
  const lineOf = (state: ReturnType<typeof board>) => {
    const line = routineAt(readerOf(tables, state), 'setup', OF).find(({ line }) => line.name === 'focus');
    if (!line) throw new Error('no such line');
    return line;
  };

  it('is kept under the setup, signed by whoever made it and by nobody else', () => {
    const state = board();
    const line = lineOf(state);
    expect(line.record).toBe('S1.camera.focus');
    expect(outcome(set(state, somebody('camera'), valuesOf(tick(line, 'sound', minute(5)))))).toBe(
      'signature',
    );
    expect(outcome(set(state, somebody('sound'), valuesOf(tick(line, 'sound', minute(5)))))).toBe('right');
    expect(outcome(set(state, somebody('camera'), valuesOf(tick(line, 'camera', minute(5)))))).toBe('stored');
    expect(lineOf(state)).toMatchObject({ done: true, tick: { doneBy: 'camera', doneAt: minute(5) } });
  });

  it('can be taken back; it then stands open among what the setup waits for', () => {
    const state = board();
    set(state, somebody('camera'), valuesOf(tick(lineOf(state), 'camera', minute(5))), 5);
    const reader = readerOf(tables, state);
    expect(readiness(reader, [], [], 'S1').checks).toEqual([]);
    expect(outcome(set(state, somebody('camera'), valuesOf(untick(lineOf(state))), 6))).toBe('stored');
    expect(lineOf(state).done).toBe(false);
    expect(readiness(reader, [], [], 'S1').checks).toMatchObject([
      {
        record: 'S1.camera.focus',
        department: 'camera',
        title: 'Focus marks taken; back of the frame looked at',
      },
    ]);
  });

  it('of a day is kept under its date', () => {
    const records = routineAt(shootReader({}), 'wrap', { ...OF, setup: null }).map(({ record }) => record);
    expect(records).toContain('2030-06-01.camera.capped');
  });
});

const copies = ['disk 1', 'disk 2'].map(
  (where): Json => ({ where, checked: 'checksum', at: minute(20), by: 'p1' }),
);
const CARD: PlainBoard = {
  setups: { S1: { label: 'S1', takeMinutes: 10 } },
  cameras: { A: { name: 'Camera A', card: 'C1', battery: 'V1', powerDrawW: 30 } },
  picture: { 'S1.A': { bitRateMbps: 100, autoFunctions: [] } },
  cards: { C1: { name: 'A-01', state: 'prepared', capacityGB: 64 } },
  batteries: { V1: { name: 'V1', energyWh: 100, chargePercent: 100 } },
};
const withTake = (card: Record<string, Json>): PlainBoard => ({
  ...CARD,
  takes: { 'S1.1': { rolledAt: minute(1), cutAt: minute(2), cards: ['C1'] } },
  cards: { C1: { name: 'A-01', capacityGB: 64, ...card } },
});

describe('what the board sees by itself, and why', () => {
  it.each<[ComputedCheck, string, PlainBoard, boolean | null, string | RegExp, Partial<CheckedFor>]>([
    ['cardsReady', 'a prepared card in the camera', CARD, true, 'Free: A-01.', {}],
    ['cardsReady', 'one full card', withTake({ state: 'full' }), false, '0 free for 1.', {}],
    // 64 GB at 100 Mbit/s: 64 · 10⁹ · 8 / 10⁸ = 5120 s = 85.3 min
    ['cardIn', 'room for the take', CARD, true, 'Camera A: A-01, 85 min left.', {}],
    [
      'cardIn',
      'a take longer than the card',
      { ...CARD, setups: { S1: { label: 'S1', takeMinutes: 90 } } },
      false,
      'Camera A: A-01 has 85 min left, a take may run 1 h 30 min.',
      {},
    ],
    [
      'cardIn',
      'no card',
      { ...CARD, cameras: { A: { name: 'Camera A' } } },
      false,
      'No card is entered in Camera A.',
      {},
    ],
    [
      'takesCopied',
      'a take without copies',
      withTake({ state: 'full' }),
      false,
      '1 take lacks copies: A-01.',
      {},
    ],
    ['takesCopied', 'two verified copies', withTake({ state: 'verified', copies }), true, /^All 1 takes/, {}],
    [
      'cardsCleared',
      'a verified card',
      withTake({ state: 'verified', copies }),
      false,
      'Not cleared: A-01.',
      {},
    ],
    ['cardsCleared', 'a cleared card', withTake({ state: 'cleared', copies }), true, 'Cleared: A-01.', {}],
    ['batteriesCharged', 'full', CARD, true, /^All 1 at 95 %/, {}],
    [
      'batteriesCharged',
      'one at 40 %',
      { ...CARD, batteries: { V1: { name: 'V1', chargePercent: 40 } } },
      false,
      'Not full: V1 at 40 %.',
      {},
    ],
    // 100 Wh · 0.9 / 30 W = 3 h
    ['batteryOn', 'good for the take', CARD, true, 'Camera A: V1, about 3 h 00 min.', {}],
    ['allByHand', 'nothing on', CARD, true, 'Everything by hand, as entered.', {}],
    [
      'allByHand',
      'focus on',
      { ...CARD, picture: { 'S1.A': { autoFunctions: ['focus'] } } },
      false,
      'On: A focus.',
      {},
    ],
    [
      'allByHand',
      'not entered',
      { ...CARD, picture: { 'S1.A': { iso: 800 } } },
      null,
      'Not entered for A.',
      {},
    ],
    [
      'channelsOpen',
      'a flagged channel',
      {
        ...CARD,
        recorders: { R1: { name: 'R' } },
        inputs: { 'S1.R1.2': { source: 'Boom', state: 'flagged' } },
      },
      false,
      'Flagged: channel 2.',
      {},
    ],
    ['flagsAnswered', 'an open flag', { flags: { f1: { what: 'hum' } } }, false, 'Open: hum.', {}],
    [
      'roomTone',
      'a place with sound and none recorded',
      {
        setups: { S1: { label: 'S1', place: 'mill' } },
        places: { mill: { name: 'Mill' } },
        recorders: { R1: { name: 'R' } },
        inputs: { 'S1.R1.1': { source: 'Boom' } },
      },
      false,
      'None yet: Mill.',
      {},
    ],
    [
      'takesJudged',
      'a take without a verdict',
      withTake({ state: 'full' }),
      false,
      'Not judged: S1 take 1.',
      {},
    ],
    [
      'kitBack',
      'one item still out',
      {
        kit: { 'camera.legs': { name: 'Legs' } },
        custody: {
          'p1-1.1': {
            event: { item: 'camera.legs', what: 'signOut', to: 'p1', signedBy: 'p1', at: minute(1) },
          },
        },
      },
      false,
      'Still out: Legs.',
      {},
    ],
    [
      'kitBack',
      'returned',
      {
        kit: { 'camera.legs': { name: 'Legs' } },
        custody: {
          'p1-1.1': {
            event: { item: 'camera.legs', what: 'signOut', to: 'p1', signedBy: 'p1', at: minute(1) },
          },
          'p1-1.2': {
            event: { item: 'camera.legs', what: 'return', after: 'p1-1.1', signedBy: 'p1', at: minute(2) },
          },
        },
      },
      true,
      'All 1 signed back in.',
      {},
    ],
  ])('%s: %s', (check, _what, plain, ok, why, of) => {
    const seen = look(shootReader(plain), check, { ...OF, ...of });
    expect(seen.ok).toBe(ok);
    expect(seen.why).toMatch(
      typeof why === 'string' ? new RegExp(`^${why.replace(/[.()]/g, '\\$&')}$`) : why,
    );
  });

  it('says of everything on an empty board a sentence, and ticks nothing that needs a camera', () => {
    for (const { value } of COMPUTED_CHECKS) {
      const { ok, why } = look(shootReader({}), value, { ...OF, setup: null });
      expect(why, value).toMatch(/^\p{Lu}.*\.$/u);
      if (value === 'cardIn' || value === 'batteryOn' || value === 'cardsReady') expect(ok, value).toBeNull();
    }
  });

  it('ticks its line without anybody, and a person may tick one that it does not see', () => {
    const lines = routineAt(shootReader(CARD), 'setup', OF);
    expect(lines.find(({ line }) => line.name === 'card')).toMatchObject({ done: true, tick: {} });
    const none = routineAt(shootReader({ ...CARD, cameras: { A: { name: 'A' } } }), 'setup', OF);
    expect(none.find(({ line }) => line.name === 'card')).toMatchObject({ done: false, seen: { ok: false } });
  });
});
