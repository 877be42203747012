import { allTakes, setupsInShootingOrder } from '@plumbline/shared';
import { cardStandings } from '@plumbline/shared/cards';
import { CustodyBook } from '@plumbline/shared/kit';
import { allAsks, evaluate } from '@plumbline/shared/rules';
import { describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { castOf, demoBoard, play } from './unit.ts';

const FOUR = castOf('director', 'camera', 'sound', 'producer');
const EIGHT = castOf('director', 'camera', 'sound', 'producer', 'camera', 'sound', 'director', 'producer');
const first = seedOf(1);

describe('a rehearsed day', () => {
  it.each(Array.from({ length: 20 }, (_, index) => first + index))(
    'makes only edits that the base stores, seed %i',
    (seed) => {
      const cast = seed % 2 === 0 ? EIGHT : FOUR;
      const { played } = play(demoBoard(cast), { seed, cast, setups: 6 });
      const refused = played.flatMap(({ step, decision }) =>
        decision.kind === 'refused' ? [{ says: step.says, ...decision }] : [],
      );
      expect(refused).toEqual([]);
      expect(played.every(({ decision }) => decision.kind === 'stored' && decision.late.length === 0)).toBe(
        true,
      );
      expect(played.length).toBeGreaterThan(60);
      // the producer watches
      expect(played.some(({ step }) => step.by.role === 'producer')).toBe(false);
    },
  );

  it('comes again with its seed, and not with another', () => {
    const day = (seed: number) =>
      play(demoBoard(FOUR), { seed, cast: FOUR, setups: 3 }).played.map(({ step, at }) => [
        step.says,
        at,
        step.changes,
      ]);
    expect(day(first)).toEqual(day(first));
    expect(day(first)).not.toEqual(day(first + 1));
  });

  it('ends with every take judged, every used card given free, nothing asked and no kit out', () => {
    const board = demoBoard(FOUR);
    const { played, reader } = play(board, { seed: first, cast: FOUR });
    expect(reader.value('shoot', 'shoot', 'rehearsal')).toBe(true);
    expect(setupsInShootingOrder(reader).map(({ view }) => view.state)).not.toContain('planned');
    expect(setupsInShootingOrder(reader).map(({ view }) => view.state)).not.toContain('inWork');
    const takes = allTakes(reader);
    expect(takes.length).toBeGreaterThan(12);
    for (const { state, view } of takes) {
      expect(state).toBe('cut');
      expect(view.verdict).toBeDefined();
      expect(view.soundState).toBeDefined();
      expect(view.asShotPicture).toBeDefined();
    }
    for (const { takes: on, lacking, state } of cardStandings(reader)) {
      expect(lacking).toEqual([]);
      if (on.length > 0) expect(state).toBe('cleared');
    }
    expect(reader.records('custody').length).toBeGreaterThan(8);
    const book = new CustodyBook();
    book.follow(reader.records('custody'), (record) => reader.value('custody', record, 'event'));
    expect(book.holders()).toEqual([]);
    expect(allAsks(reader).every(({ state }) => state === 'taken')).toBe(true);
    for (const flag of reader.records('flags')) expect(reader.value('flags', flag, 'answer')).toBeDefined();
    // what was asked for was mended
    const open = new Set(evaluate(reader).findings.map(({ id }) => id));
    for (const { finding } of allAsks(reader)) expect(open).not.toContain(finding);
    // takes run for a while, and nobody counts in hours
    const seconds = takes.map((take) => take.seconds ?? 0);
    expect(Math.min(...seconds)).toBeGreaterThan(10);
    expect(Math.max(...seconds)).toBeLessThan(3600);
    // a day, not an hour and not a week
    const minutes = played.reduce((sum, { step }) => sum + step.minutes, 0);
    expect(minutes).toBeGreaterThan(4 * 60);
    expect(minutes).toBeLessThan(18 * 60);
  });

  it('breaks a match on some days, and the break is asked about and mended', () => {
    const days = Array.from({ length: 6 }, (_, index) =>
      play(demoBoard(FOUR), { seed: first + index, cast: FOUR, setups: 4 }),
    );
    const asked = days.flatMap(({ reader }) => allAsks(reader));
    expect(asked.length).toBeGreaterThan(0);
    for (const { state, answer } of asked) expect([state, answer?.by]).toEqual(['taken', 'p2']);
  });

  it('is not played without a director, camera and sound', () => {
    expect(() => play(demoBoard(FOUR), { seed: first, cast: castOf('director', 'camera') })).toThrow(
      'Nobody plays sound.',
    );
  });
});
