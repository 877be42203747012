import { BoardState, type Cell, type CellAddress, type Edit } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import {
  type Done,
  doneBy,
  type History,
  moved,
  NO_HISTORY,
  nextOf,
  remember,
  takeBack,
  type Way,
} from '../../apps/tablet/src/board/undo.ts';

const aperture: CellAddress = { table: 'picture', record: '4a.A', field: 'aperture' };
const density: CellAddress = { table: 'picture', record: '4a.A', field: 'density' };

function edit(stamp: number, ...cells: [CellAddress, number][]): Edit {
  return { n: 1, stamp, entries: cells.map(([cell, value]) => ({ ...cell, value, seen: 0 })) };
}

function board(...cells: [CellAddress, Cell][]): BoardState {
  const state = new BoardState();
  for (const [address, cell] of cells) state.set(address, cell);
  return state;
}

describe('taking back one’s last edit', () => {
  const done = doneBy('Aperture', 0, edit(10, [aperture, 5.6], [density, 0.9]), ({ field }) =>
    field === 'aperture' ? [4, 5, 'k1-1'] : undefined,
  );

  it('puts back what stood before, and clears what was empty', () => {
    const now = board([aperture, [5.6, 10, 'k1-1']], [density, [0.9, 10, 'k1-1']]);
    expect(takeBack(done, now)).toEqual({
      changes: [
        { ...aperture, value: 4 },
        { ...density, value: null },
      ],
    });
  });

  it('refuses where somebody has set a value since, and touches nothing', () => {
    const now = board([aperture, [5.6, 10, 'k1-1']], [density, [1.2, 12, 'd1-1']]);
    expect(takeBack(done, now)).toEqual({ movedOn: density });
  });

  it('takes a quick run of taps on one stepper as one', () => {
    const first = doneBy('Aperture', 1000, edit(10, [aperture, 4.5]), () => [4, 5, 'k1-1']);
    const second = doneBy('Aperture', 1400, edit(11, [aperture, 5]), () => [4.5, 10, 'k1-1']);
    const later = doneBy('Aperture', 9000, edit(12, [aperture, 5.6]), () => [5, 11, 'k1-1']);
    const { done: list } = [first, second, later].reduce(remember, NO_HISTORY);
    expect(list).toHaveLength(2);
    const now = board([aperture, [5, 11, 'k1-1']]);
    expect(list[0] && takeBack(list[0], now)).toEqual({ changes: [{ ...aperture, value: 4 }] });
  });

  it('does not take another’s value between two taps for part of the run', () => {
    const first = doneBy('Aperture', 1000, edit(10, [aperture, 4.5]), () => [4, 5, 'k1-1']);
    const second = doneBy('Aperture', 1400, edit(12, [aperture, 5]), () => [8, 11, 'd1-1']);
    expect([first, second].reduce(remember, NO_HISTORY).done).toHaveLength(2);
  });
});

/** A board that one person edits, with a stamp for each edit. */
class Hand {
  history: History = NO_HISTORY;
  readonly state = new BoardState();
  #stamp = 100;

  set(value: number, label = String(value)): void {
    this.history = remember(this.history, this.#write(label, this.#stamp * 10_000, [[aperture, value]]));
  }

  step(way: Way): 'moved on' | 'nothing' | number | null {
    const next = nextOf(this.history, way);
    if (!next) return 'nothing';
    const back = takeBack(next, this.state);
    if ('movedOn' in back) return 'moved on';
    const values = back.changes.map(({ value, ...cell }): [CellAddress, number | null] => [
      cell,
      value as number | null,
    ]);
    this.history = moved(this.history, way, this.#write(next.label, 0, values));
    return this.value;
  }

  /** Somebody else sets it. */
  stranger(value: number): void {
    this.state.set(aperture, [value, ++this.#stamp, 'd1-1']);
  }

  get value(): number | null {
    return (this.state.cell('picture', '4a.A', 'aperture')?.[0] ?? null) as number | null;
  }

  #write(label: string, at: number, values: [CellAddress, number | null][]): Done {
    const stamp = ++this.#stamp;
    const entries = values.map(([cell, value]) => ({ ...cell, value, seen: 0 }));
    const done = doneBy(label, at, { n: 1, stamp, entries }, (cell) =>
      this.state.cell(cell.table, cell.record, cell.field),
    );
    for (const [cell, value] of values) this.state.set(cell, [value, stamp, 'k1-1']);
    return done;
  }
}

describe('going back and forth through one’s edits', () => {
  it('goes back to the beginning and forth to the end, also over edits of one and the same cell', () => {
    const hand = new Hand();
    for (const value of [4, 5.6, 8]) hand.set(value);
    expect([hand.step('undo'), hand.step('undo'), hand.step('undo'), hand.step('undo')]).toEqual([
      5.6,
      4,
      null,
      'nothing',
    ]);
    expect([hand.step('redo'), hand.step('redo'), hand.step('redo'), hand.step('redo')]).toEqual([
      4,
      5.6,
      8,
      'nothing',
    ]);
    expect([hand.step('undo'), hand.step('redo'), hand.step('undo'), hand.step('undo')]).toEqual([
      5.6, 8, 5.6, 4,
    ]);
  });

  it('forgets what could be brought back once something new is set', () => {
    const hand = new Hand();
    hand.set(4);
    hand.set(5.6);
    hand.step('undo');
    hand.set(11);
    expect(hand.step('redo')).toBe('nothing');
    expect(hand.step('undo')).toBe(4);
  });

  it('stops in either direction where somebody else has set the value since', () => {
    const hand = new Hand();
    hand.set(4);
    hand.set(5.6);
    hand.step('undo');
    hand.stranger(16);
    expect(hand.step('redo')).toBe('moved on');
    expect(hand.step('undo')).toBe('moved on');
    expect(hand.value).toBe(16);
  });
});
