import {
  CraftError,
  fifthOrderProducts,
  findCarriers,
  productCounts,
  type RadioGuards,
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

function isClean(set: readonly number[], guards: RadioGuards): boolean {
  const sorted = set.toSorted((a, b) => a - b);
  const isSpaced = sorted.every(
    (carrier, index) => index === 0 || carrier - (sorted[index - 1] ?? 0) > 0.049,
  );
  return isSpaced && radioConflicts(set, guards).length === 0;
}

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
      // Carriers in use lie on both sides of what is looked for, so that new ones fall between others.
      used: fc.uniqueArray(fc.integer({ min: 0, max: 1600 }), { maxLength: 5 }),
    });
    holds(
      fc.property(plan, ({ count, width, two, three, fifth, seed, used }) => {
        const guards = { thirdTwoMHz: two * 0.025, thirdThreeMHz: three * 0.025, fifthMHz: fifth * 0.025 };
        const taken: number[] = [];
        for (const one of used.map((step) => 600 + step * 0.025)) {
          if (isClean([...taken, one], guards)) {
            taken.push(one);
          }
        }
        const band = { fromMHz: 600, toMHz: 600 + width };
        const found = findCarriers({
          count,
          bands: [band],
          taken,
          seed,
          tries: 4,
          spacingMHz: 0.05,
          ...guards,
        });
        if (found) {
          expect(found.length).toBe(count);
          expect(radioConflicts([...taken, ...found], guards)).toEqual([]);
        }
      }),
      400,
    );
  });
});
