import type { Json } from '@plumbline/replica';
import {
  cardHistory,
  cardStanding,
  checkCopy,
  clear,
  clearProblem,
  isFree,
  nextFor,
  prepare,
  putIn,
  recordCopy,
  takeOut,
} from '@plumbline/shared/cards';
import { describe, expect, it } from 'vitest';
import { DAWN, shootReader } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const copy = (where: string, checked: string, at: number): Json => ({
  where,
  checked,
  at: minute(at),
  by: 'p3',
});
const TAKE = { rolledAt: minute(10), cutAt: minute(12), cards: ['C1'], cardsIn: { 'cameras/A': 'C1' } };

/** A card with a take of two minutes on it, in camera A. */
function board(card: Readonly<Record<string, Json>>, more: Readonly<Record<string, Json>> = {}) {
  return shootReader({
    setups: { S1: { label: 'S1' } },
    cameras: { A: { name: 'Camera A', ...more }, B: { name: 'Camera B', card: 'C9' } },
    recorders: { R1: { name: 'Recorder' } },
    cards: { C1: { name: 'A-01', ...card }, C9: { name: 'B-01', state: 'inCamera' } },
    takes: { 'S1.1': TAKE },
  });
}

const changed = (act: ReturnType<typeof putIn>, record: string, field: string): Json | undefined =>
  act.kind === 'act'
    ? act.changes.find((change) => change.record === record && change.field === field)?.value
    : undefined;

describe('a card stands', () => {
  it.each<[string, Record<string, Json>, Record<string, Json>, string]>([
    [
      'as in the camera when a take was rolled on it since it was prepared',
      { state: 'prepared' },
      { card: 'C1' },
      'inCamera',
    ],
    ['as out when that take was rolled and it is in no camera', { state: 'prepared' }, {}, 'out'],
    ['as entered where nothing was rolled since', { state: 'full' }, {}, 'full'],
    ['as out where it was cleared and a take on it is in no copy', { state: 'cleared' }, {}, 'out'],
    [
      'as copied where it was verified and one of the copies is missing',
      { state: 'verified', copies: [copy('disk 1', 'checksum', 20)] },
      {},
      'copied',
    ],
    [
      'as cleared with two verified copies',
      { state: 'cleared', copies: [copy('disk 1', 'checksum', 20), copy('disk 2', 'checksum', 20)] },
      {},
      'cleared',
    ],
    [
      'as prepared once it was prepared after the take',
      { state: 'prepared', preparedAt: [minute(30)] },
      {},
      'prepared',
    ],
  ])('%s', (_case, card, camera, expected) => {
    expect(cardStanding(board(card, camera), 'C1').state).toBe(expected);
  });

  it('as blank where nothing is entered of it', () => {
    expect(cardStanding(shootReader({ cards: { C1: { name: 'A-01' } } }), 'C1').state).toBe('blank');
  });
});

describe('one touch', () => {
  it('puts a card into a camera: it leaves the other one, and what was in comes out', () => {
    const reader = board({ state: 'out' }, { card: 'C1' });
    const act = putIn(reader, cardStanding(reader, 'C1'), { table: 'cameras', id: 'B' }, 'Camera B');
    expect(changed(act, 'A', 'card')).toBeNull();
    expect(changed(act, 'B', 'card')).toBe('C1');
    expect(changed(act, 'C1', 'state')).toBe('inCamera');
    expect(changed(act, 'C9', 'state')).toBe('out');
  });

  it('puts a second card beside the first, which stays; it comes out of its own slot', () => {
    const reader = board({ state: 'prepared' }, {});
    const second = { table: 'cameras', id: 'B', slot: 'cardB' } as const;
    const act = putIn(reader, cardStanding(reader, 'C1'), second, 'Camera B, second slot');
    expect(changed(act, 'B', 'cardB')).toBe('C1');
    expect(changed(act, 'B', 'card')).toBeUndefined();
    expect(changed(act, 'C9', 'state')).toBeUndefined();

    const both = board({ state: 'inCamera' }, { card: 'C9', cardB: 'C1' });
    const standing = cardStanding(both, 'C1');
    expect(standing.device).toEqual({ table: 'cameras', id: 'A', slot: 'cardB' });
    const out = takeOut(standing, false, 'Ada');
    expect(changed(out, 'A', 'cardB')).toBeNull();
    expect(changed(out, 'A', 'card')).toBeUndefined();

    // and from the second slot of a camera into its first
    const moved = putIn(both, standing, { table: 'cameras', id: 'A' }, 'Camera A');
    expect(changed(moved, 'A', 'cardB')).toBeNull();
    expect(changed(moved, 'A', 'card')).toBe('C1');
  });

  it('takes it out full or with room left', () => {
    const standing = cardStanding(board({ state: 'inCamera' }, { card: 'C1' }), 'C1');
    expect(changed(takeOut(standing, true, 'Ada'), 'C1', 'state')).toBe('full');
    expect(changed(takeOut(standing, false, 'Ada'), 'C1', 'state')).toBe('out');
    expect(changed(takeOut(standing, false, 'Ada'), 'A', 'card')).toBeNull();
    expect(changed(takeOut(standing, false, 'Ada'), 'C1', 'holder')).toBe('Ada');
  });

  it('records copies: the first makes it copied, the second verified one in another place verified', () => {
    const first = board({ state: 'full' });
    const one = recordCopy(first, cardStanding(first, 'C1'), {
      where: 'disk 1',
      checked: 'checksum',
      at: minute(20),
      by: 'p3',
    });
    expect(changed(one, 'C1', 'state')).toBe('copied');
    const again = board({ state: 'copied', copies: [copy('disk 1', 'checksum', 20)] });
    const standing = cardStanding(again, 'C1');
    const there = { checked: 'byEye', at: minute(22), by: 'p3' } as const;
    expect(changed(recordCopy(again, standing, { where: ' Disk  1', ...there }), 'C1', 'state')).toBe(
      'copied',
    );
    expect(changed(recordCopy(again, standing, { where: 'disk 2', ...there }), 'C1', 'state')).toBe(
      'verified',
    );
  });

  it('a copy that began before the take was cut verifies nothing', () => {
    const reader = board({ state: 'copied', copies: [copy('disk 1', 'checksum', 20)] });
    const act = recordCopy(reader, cardStanding(reader, 'C1'), {
      where: 'disk 2',
      checked: 'checksum',
      at: minute(11),
      by: 'p3',
    });
    expect(changed(act, 'C1', 'state')).toBe('copied');
  });

  it('a check that finds a difference takes the word verified back', () => {
    const reader = board({
      state: 'verified',
      copies: [copy('disk 1', 'checksum', 20), copy('disk 2', 'checksum', 20)],
    });
    const act = checkCopy(reader, cardStanding(reader, 'C1'), 1, {
      checked: 'differs',
      at: minute(40),
      by: 'p4',
    });
    expect(changed(act, 'C1', 'state')).toBe('copied');
    expect(changed(act, 'C1', 'copies')).toMatchObject([
      {},
      { checked: 'differs', checkedBy: 'p4', checkedAt: minute(40) },
    ]);
  });

  it('does not clear what lacks copies, and says what is missing', () => {
    const standing = cardStanding(board({ state: 'copied', copies: [copy('disk 1', 'checksum', 20)] }), 'C1');
    const says =
      'It holds take S1.1 with 1 verified copy in different places; 2 are needed before it is cleared.';
    expect(clearProblem(standing)).toBe(says);
    expect(clear(standing)).toEqual({ kind: 'refused', says });
    expect(nextFor(standing)).toBe('1 more verified copy, in another place.');
  });

  it('records that it was prepared, whatever was on it', () => {
    const act = prepare(cardStanding(board({ state: 'full' }), 'C1'), minute(60));
    expect(act).toMatchObject({ kind: 'act', odd: 'It was prepared without being cleared.' });
    expect(changed(act, 'C1', 'preparedAt')).toEqual([minute(60)]);
  });

  it('makes room in the list of copies by moving what is no longer on the card, losing none', () => {
    const copies = Array.from({ length: 12 }, (_, index) => copy(`disk ${index}`, 'checksum', 20 + index));
    const reader = shootReader({
      setups: { S1: { label: 'S1' } },
      takes: { 'S1.1': TAKE, 'S1.2': { rolledAt: minute(60), cutAt: minute(61), cards: ['C1'] } },
      cards: { C1: { name: 'A-01', state: 'out', copies, preparedAt: [minute(50)] } },
    });
    const act = recordCopy(reader, cardStanding(reader, 'C1'), {
      where: 'disk 1',
      checked: 'no',
      at: minute(70),
      by: 'p3',
    });
    expect(changed(act, 'C1', 'copies')).toHaveLength(1);
    expect(changed(act, 'C1', 'copiesBefore')).toEqual(copies);
  });
});

it('a card tells its own history: prepared, takes with the camera, copies and checks, the latest first', () => {
  const reader = board({
    preparedAt: [minute(5)],
    copies: [
      {
        where: 'disk 1',
        checked: 'checksum',
        at: minute(20),
        by: 'p3',
        checkedAt: minute(25),
        checkedBy: 'p4',
      },
    ],
  });
  expect(cardHistory(reader, 'C1').map(({ kind, at }) => [kind, (at - DAWN) / 60_000])).toEqual([
    ['checked', 25],
    ['copied', 20],
    ['take', 10],
    ['prepared', 5],
  ]);
  expect(cardHistory(reader, 'C1')[2]).toMatchObject({
    take: 'S1.1',
    seconds: 120,
    device: { table: 'cameras', id: 'A' },
  });
});

describe('a card that was prepared too early', () => {
  const WIPED = { state: 'prepared', preparedAt: [minute(30)], capacityGB: 64, department: 'camera' };

  it('is not offered for what is to come, and is to be set aside', () => {
    const standing = cardStanding(board(WIPED), 'C1');
    expect(standing.lost.map(({ take }) => take.record)).toEqual(['S1.1']);
    expect(isFree(standing)).toBe(false);
    expect(nextFor(standing)).toMatch(/^Set it aside/);
  });

  it('is free again once the director has let the loss stand', () => {
    const reader = shootReader({
      setups: { S1: { label: 'S1' } },
      cards: { C1: WIPED },
      takes: { 'S1.1': TAKE },
      accepted: { 'media-card-wiped.C1': { acceptedBy: 'p1', reason: 'shot again' } },
    });
    expect(isFree(cardStanding(reader, 'C1'))).toBe(true);
  });
});
