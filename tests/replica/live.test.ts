import { BoardState, type CellAddress, idsUnder, LiveBoard, splitId } from '@plumbline/replica';
import { effect } from '@preact/signals-core';
import { describe, expect, it } from 'vitest';
import { randomOf, seedOf } from '../support/random.ts';
import { toyTables } from '../support/toy.ts';

const SEED = seedOf(20_270_514);

/** A board of shelves that come and go; a shelf that is known or not is all that counts. */
function shelves() {
  const state = new BoardState();
  const here = new Set<string>();
  const source = {
    cell: state.cell.bind(state),
    exists: (_table: string, record: string) => here.has(record),
    fields: state.fields.bind(state),
    records: () => here,
  };
  const at = (record: string): CellAddress => ({ table: 'shelves', record, field: 'name' });
  return { here, at, live: new LiveBoard(toyTables, () => source) };
}

describe(`a live list of records (seed ${SEED})`, () => {
  it('holds what exists, sorted as text is, after whatever came and went', () => {
    const random = randomOf(SEED);
    for (let round = 0; round < 40; round += 1) {
      const { here, at, live } = shelves();
      for (let left = random.below(30); left > 0; left -= 1) here.add(`s${random.below(60)}`);
      expect(live.records('shelves')).toEqual([...here].sort());
      for (let step = 0; step < 30; step += 1) {
        const touched = Array.from({ length: 1 + random.below(6) }, () => `s${random.below(60)}`);
        for (const id of touched) {
          if (random.below(2) === 0) here.add(id);
          else here.delete(id);
        }
        live.changed(touched.map(at));
        expect(live.records('shelves'), `round ${round}, step ${step}`).toEqual([...here].sort());
      }
    }
  });

  it('is the same list, and nobody is told, where values changed and no record came or went', () => {
    const { here, at, live } = shelves();
    for (const id of ['b', 'a', 'c']) here.add(id);
    let told = 0;
    const stop = effect(() => {
      live.records('shelves');
      told += 1;
    });
    const before = live.records('shelves');
    live.changed([at('a'), at('c')]);
    expect(live.records('shelves')).toBe(before);
    expect(told).toBe(1);
    here.add('aa');
    live.changed([at('aa')]);
    expect(live.records('shelves')).toEqual(['a', 'aa', 'b', 'c']);
    expect(before).toEqual(['a', 'b', 'c']);
    expect(told).toBe(2);
    stop();
  });
});

it(`of a sorted list what belongs to a record is found, whatever its neighbours are called (seed ${SEED})`, () => {
  const random = randomOf(SEED);
  const part = (): string =>
    Array.from({ length: 1 + random.below(3) }, () => 'aZ9_-'[random.below(5)] ?? '').join('');
  for (let round = 0; round < 200; round += 1) {
    const ids = Array.from({ length: random.below(60) }, () =>
      Array.from({ length: 1 + random.below(3) }, part).join('.'),
    ).sort();
    const first = part();
    const under = ids.filter((id) => {
      const [of, ...rest] = splitId(id);
      return of === first && rest.length > 0;
    });
    expect(idsUnder(ids, first), `${first} in ${ids.join(' ')}`).toEqual(under);
  }
});
