import { BoardState, type Cell, type CellAddress, type Edit } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { doneBy, remember, takeBack } from '../../apps/tablet/src/board/undo.ts';

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
    field === 'aperture' ? 4 : null,
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
    const first = doneBy('Aperture', 1000, edit(10, [aperture, 4.5]), () => 4);
    const second = doneBy('Aperture', 1400, edit(11, [aperture, 5]), () => 4.5);
    const later = doneBy('Aperture', 9000, edit(12, [aperture, 5.6]), () => 5);
    const list = [first, second, later].reduce(remember, []);
    expect(list).toHaveLength(2);
    const now = board([aperture, [5, 11, 'k1-1']]);
    expect(list[0] && takeBack(list[0], now)).toEqual({ changes: [{ ...aperture, value: 4 }] });
  });
});
