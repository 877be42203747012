import {
  CraftError,
  fifthOrderProducts,
  findCarriers,
  productCounts,
  type RadioPlan,
  radioConflicts,
  thirdOrderProducts,
} from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

const carriers = fc
  .uniqueArray(fc.integer({ min: 18_800, max: 24_000 }), { minLength: 2, maxLength: 7 })
  .map((steps) => steps.map((step) => step * 0.025));

describe(`products of carriers (seed ${SEED})`, () => {
  it('are as many as counting gives', () => {
    holds(
      fc.property(carriers, (set) => {
        const counts = productCounts(set.length);
        const third = thirdOrderProducts(set);
        expect(third.filter(({ kind }) => kind === 'third, two carriers').length).toBe(
          counts.thirdTwoCarriers,
        );
        expect(third.length).toBe(counts.thirdTotal);
        expect(fifthOrderProducts(set).length).toBe(counts.fifthTwoCarriers);
      }),
    );
  });

  it('are what their carriers add up to, one more added than taken away', () => {
    holds(
      fc.property(carriers, fc.integer({ min: 2, max: 5 }), (set, limit) => {
        for (const product of [...thirdOrderProducts(set), ...fifthOrderProducts(set, limit)]) {
          const sum = (indices: readonly number[]) =>
            indices.reduce((total, index) => total + (set[index] ?? 0), 0);
          expect(product.frequencyMHz).toBeCloseTo(sum(product.plus) - sum(product.minus), 5);
          expect(product.plus.length - product.minus.length).toBe(1);
          expect(product.plus.some((index) => product.minus.includes(index))).toBe(false);
        }
      }),
      40,
    );
  });

  it('move with the set', () => {
    holds(
      fc.property(carriers, fc.integer({ min: 1, max: 400 }), (set, shift) => {
        const moved = thirdOrderProducts(set.map((carrier) => carrier + shift));
        thirdOrderProducts(set).forEach((product, index) => {
          expect(moved[index]?.frequencyMHz).toBeCloseTo(product.frequencyMHz + shift, 5);
        });
      }),
    );
  });

  it('refuse two carriers on one frequency', () => {
    expect(() => thirdOrderProducts([500, 500])).toThrow(CraftError);
  });

  it('show the fifth order of more carriers when asked', () => {
    const set = [500, 500.4, 501.2, 502.8];
    expect(fifthOrderProducts(set, 2).length).toBe(12);
    expect(fifthOrderProducts(set, 3).length).toBeGreaterThan(12);
    expect(fifthOrderProducts(set, 4).length).toBeGreaterThan(fifthOrderProducts(set, 3).length);
  });
});

describe('a search for carriers', () => {
  const full: RadioPlan = {
    count: 24,
    bands: [
      { fromMHz: 470, toMHz: 550 },
      { fromMHz: 566, toMHz: 608 },
    ],
    exclusions: [{ fromMHz: 494, toMHz: 502 }],
    fifthMHz: 0.025,
  };

  it.each([1, 2, 3])('finds 24 that nothing falls on, where they may be (seed %i)', (seed) => {
    const found = findCarriers({ ...full, seed });
    expect(found).toHaveLength(24);
    const set = found ?? [];
    const inside = (carrier: number, { fromMHz, toMHz }: { fromMHz: number; toMHz: number }) =>
      carrier >= fromMHz && carrier <= toMHz;
    for (const [index, carrier] of set.entries()) {
      expect(full.bands.some((band) => inside(carrier, band))).toBe(true);
      expect((full.exclusions ?? []).some((band) => inside(carrier, band))).toBe(false);
      expect(index === 0 || carrier - (set[index - 1] ?? 0) >= 0.3 - 1e-9).toBe(true);
    }
    expect(radioConflicts(set, { thirdTwoMHz: 0.1, thirdThreeMHz: 0.05, fifthMHz: 0.025 })).toEqual([]);
  });

  it('keeps clear of carriers in use, and says so when those disturb each other', () => {
    const taken = [520, 520.5, 521.35];
    const found = findCarriers({ count: 6, bands: [{ fromMHz: 515, toMHz: 530 }], taken });
    expect(radioConflicts([...taken, ...(found ?? [])], { thirdTwoMHz: 0.1, thirdThreeMHz: 0.05 })).toEqual(
      [],
    );
    expect(found).toHaveLength(6);
    expect(() => findCarriers({ ...full, taken: [520, 520.4, 520.8] })).toThrow(CraftError);
    expect(() => findCarriers({ ...full, taken: [520, 520.1] })).toThrow(CraftError);
  });

  it('finds the same set from the same seed, and none where there is no room', () => {
    expect(findCarriers(full)).toEqual(findCarriers(full));
    expect(findCarriers({ count: 12, bands: [{ fromMHz: 500, toMHz: 502 }] })).toBeNull();
  });

  it('whatever it finds for any plan is clean', () => {
    const plan = fc.record({
      count: fc.integer({ min: 1, max: 14 }),
      width: fc.integer({ min: 1, max: 40 }),
      two: fc.integer({ min: 0, max: 8 }),
      three: fc.integer({ min: 0, max: 6 }),
      fifth: fc.integer({ min: 0, max: 4 }),
      seed: fc.nat(),
    });
    holds(
      fc.property(plan, ({ count, width, two, three, fifth, seed }) => {
        const guards = { thirdTwoMHz: two * 0.025, thirdThreeMHz: three * 0.025, fifthMHz: fifth * 0.025 };
        const found = findCarriers({
          count,
          bands: [{ fromMHz: 600, toMHz: 600 + width }],
          seed,
          tries: 4,
          ...guards,
        });
        if (found) {
          expect(found.length).toBe(count);
          expect(radioConflicts(found, guards)).toEqual([]);
        }
      }),
      120,
    );
  });
});
