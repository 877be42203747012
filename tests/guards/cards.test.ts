import type { Json } from '@plumbline/replica';
import { readerOf } from '@plumbline/replica';
import { tables, takesLost, takesOnCard } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { boardOf, DAWN, outcome, set, somebody } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;
const copy = (where: string, checked: string, at: number): Json => ({
  where,
  checked,
  at: minute(at),
  by: 'p3',
});

/** A card with takes cut at these minutes, and these copies. */
function boardWith(cuts: readonly number[], copies: readonly Json[], rest: Record<string, Json> = {}) {
  return boardOf({
    setups: { S1: { label: 'S1' } },
    takes: Object.fromEntries(
      cuts.map((at, index) => [
        `S1.${index + 1}`,
        { rolledAt: minute(at - 1), cutAt: minute(at), cards: ['C1'] },
      ]),
    ),
    cards: { C1: { state: 'full', copies, ...rest }, C2: { state: 'blank' } },
  });
}

const clear = (board: ReturnType<typeof boardOf>, card = 'C1') =>
  set(board, somebody('camera'), [['cards', card, 'state', 'cleared']], 500);

describe('a card is cleared for preparing', () => {
  const good = [copy('disk 1', 'checksum', 60), copy('disk 2', 'byEye', 60)];

  it.each<[string, readonly number[], readonly Json[], Record<string, Json>, string]>([
    ['when nothing was recorded on it', [], [], {}, 'stored'],
    ['with two verified copies in two places', [10, 20], good, {}, 'stored'],
    ['but not without a copy', [10], [], {}, 'guard'],
    ['but not with one', [10], good.slice(0, 1), {}, 'guard'],
    [
      'but not with two that nobody checked',
      [10],
      [copy('disk 1', 'no', 60), copy('disk 2', 'no', 60)],
      {},
      'guard',
    ],
    [
      'but not where one of two was found to differ',
      [10],
      [copy('disk 1', 'checksum', 60), copy('disk 2', 'differs', 60)],
      {},
      'guard',
    ],
    [
      'with one copy among the earlier ones, where the list was full',
      [10],
      good.slice(0, 1),
      { copiesBefore: good.slice(1) },
      'stored',
    ],
    [
      'but not with two on one disk',
      [10],
      [copy('disk 1', 'checksum', 60), copy('Disk 1 ', 'checksum', 70)],
      {},
      'guard',
    ],
    ['but not with copies that began before the last take was cut', [10, 70], good, {}, 'guard'],
    [
      'when a later copy holds the last take as well',
      [10, 70],
      [...good, copy('disk 1', 'checksum', 80), copy('disk 2', 'checksum', 81)],
      {},
      'stored',
    ],
    [
      'when what has no copies was recorded before it was last prepared',
      [10, 70],
      [copy('disk 1', 'checksum', 80), copy('disk 2', 'checksum', 81)],
      { preparedAt: [minute(30)] },
      'stored',
    ],
    [
      'but not with copies from before it was last prepared',
      [70],
      good,
      { preparedAt: [minute(65)] },
      'guard',
    ],
  ])('%s', (_case, cuts, copies, rest, expected) => {
    expect(outcome(clear(boardWith(cuts, copies, rest)))).toBe(expected);
  });

  it('asks for as many copies as the shoot does', () => {
    const board = boardWith([10], good);
    const copies = (n: number) =>
      set(board, somebody('director'), [['shoot', 'shoot', 'copiesRequired', n]], n);
    copies(3);
    expect(outcome(clear(board))).toBe('guard');
    copies(4);
    copies(2);
    // The later value stands; the earlier edit came late.
    expect(outcome(clear(board))).toBe('guard');
    const fewer = boardWith([10], good.slice(0, 1));
    set(fewer, somebody('director'), [['shoot', 'shoot', 'copiesRequired', 1]]);
    expect(outcome(clear(fewer))).toBe('stored');
  });

  it('says which take lacks how many', () => {
    const answer = clear(boardWith([10], good.slice(0, 1)));
    expect(answer.kind === 'refused' && answer.entries[0]?.reason).toBe(
      'It holds take S1.1 with 1 verified copy in different places; 2 are needed before it is cleared.',
    );
  });

  it('counts a take that was rolled by mistake, and one that is still rolling', () => {
    const mistake = boardWith([10], []);
    set(mistake, somebody('camera'), [['takes', 'S1.1', 'retired', true]]);
    expect(outcome(clear(mistake))).toBe('guard');
    const rolling = boardWith([], good);
    set(rolling, somebody('camera'), [
      ['takes', 'S1.1', 'rolledAt', minute(100)],
      ['takes', 'S1.1', 'cards', ['C1']],
    ]);
    expect(outcome(clear(rolling))).toBe('guard');
  });

  it('counts a copy that is entered in the same edit', () => {
    const board = boardWith([10], good.slice(0, 1));
    const values = [
      ['cards', 'C1', 'copies', good],
      ['cards', 'C1', 'state', 'cleared'],
    ] as const;
    expect(outcome(set(board, somebody('camera'), values, 500))).toBe('stored');
  });

  it('looks only at its own takes', () => {
    expect(outcome(clear(boardWith([10], []), 'C2'))).toBe('stored');
  });

  it('is a permission; that a card was prepared has happened, and is recorded', () => {
    const board = boardWith([10], []);
    const values = [
      ['cards', 'C1', 'state', 'prepared'],
      ['cards', 'C1', 'preparedAt', [minute(30)]],
    ] as const;
    expect(outcome(set(board, somebody('camera'), values, 31))).toBe('stored');
    const reader = readerOf(tables, board);
    expect(takesOnCard(reader, 'C1')).toEqual([]);
    expect(takesLost(reader, 'C1').map(({ take }) => take.record)).toEqual(['S1.1']);
  });

  it('loses nothing that was copied before it was prepared', () => {
    const board = boardWith([10], [copy('disk 1', 'checksum', 15), copy('disk 2', 'checksum', 16)], {
      preparedAt: [minute(30)],
    });
    expect(takesLost(readerOf(tables, board), 'C1')).toEqual([]);
  });

  it('counts a take cut in the very moment of preparing as recorded after it, and not as lost', () => {
    const board = boardWith([30], [], { preparedAt: [minute(30)] });
    expect(takesLost(readerOf(tables, board), 'C1')).toEqual([]);
    expect(outcome(clear(board))).toBe('guard');
  });

  it('does not take copies of what was recorded later for copies of what is gone', () => {
    const copies = [copy('disk 1', 'checksum', 80), copy('disk 2', 'checksum', 81)];
    const board = boardWith([10, 70], copies, { preparedAt: [minute(30)] });
    expect(takesLost(readerOf(tables, board), 'C1').map(({ take }) => take.record)).toEqual(['S1.1']);
  });
});
