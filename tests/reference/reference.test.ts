import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readCases } from './case.ts';
import { compare } from './compare.ts';
import { check } from './suite.ts';

const HERE = import.meta.dirname;
const cases = ['open', 'own'].flatMap((folder) => readCases(join(HERE, folder)));
const outcomes = cases.map(check);

describe('every check value holds', () => {
  it.each(outcomes.map((outcome) => [outcome.case.id, outcome.case.title, outcome] as const))(
    '%s %s',
    (_id, _title, outcome) => {
      expect(outcome.details).toEqual([]);
    },
  );

  it('has at least 300 of them that an adapter checks', () => {
    expect(outcomes.filter(({ verdict }) => verdict === 'right').length).toBeGreaterThanOrEqual(300);
  });

  it('gives each case an id of its own', () => {
    expect(new Set(cases.map((one) => one.id)).size).toBe(cases.length);
  });

  it('names a source for every case of our own', () => {
    for (const one of readCases(join(HERE, 'own'))) {
      expect(one.source, one.id).toBeTruthy();
    }
  });
});

describe('the suite can fail', () => {
  const [first] = cases;
  if (!first) {
    throw new Error('no cases');
  }

  it('fails a formula that has no adapter', () => {
    expect(check({ ...first, formula_id: 'no such formula' }).verdict).toBe('wrong');
  });

  it('fails a fact that the package does not hold', () => {
    const fact = { ...first, formula_id: 'fact', inputs: {}, expected: { nobody_knows: { value: 1 } } };
    expect(check(fact).details).toEqual(['nobody_knows: craft holds no such value']);
  });

  it('fails every numeric case whose check value is moved beyond its tolerance', () => {
    let moved = 0;
    for (const { case: one, results, verdict } of outcomes.filter((outcome) => outcome.verdict === 'right')) {
      for (const [name, quantity] of Object.entries(one.expected)) {
        const tolerance = one.tolerance[name];
        if (typeof quantity.value === 'number' && typeof tolerance === 'object' && 'value' in tolerance) {
          const step =
            tolerance.kind === 'absolute' ? tolerance.value : Math.abs(quantity.value * tolerance.value);
          const far = { ...quantity, value: quantity.value + 3 * step };
          if (tolerance.kind !== 'factor' && step > 0) {
            expect(compare(results[name], far, tolerance).isRight, `${verdict} ${one.id} ${name}`).toBe(
              false,
            );
            moved += 1;
          }
        }
      }
    }
    expect(moved).toBeGreaterThan(300);
  });

  it('reads the same units whichever way they are written', () => {
    const metres = { number: 2.5, unit: 'm' };
    expect(compare(metres, { value: 2500, unit: 'mm' }, { kind: 'exact' }).isRight).toBe(true);
    expect(compare(metres, { value: 2.5, unit: 'mm' }, { kind: 'exact' }).isRight).toBe(false);
  });

  it('takes nothing for an infinite or missing result, and a number for neither', () => {
    expect(compare(Number.POSITIVE_INFINITY, { value: null }, { kind: 'exact' }).isRight).toBe(true);
    expect(compare(null, { value: null }, { kind: 'exact' }).isRight).toBe(true);
    expect(compare(5, { value: null }, { kind: 'exact' }).isRight).toBe(false);
    expect(compare(undefined, { value: null }, { kind: 'exact' }).isRight).toBe(false);
  });

  it('counts days on the circle of the year and seconds between moments', () => {
    const days = { kind: 'absolute', value: 2, unit: 'day' } as const;
    expect(compare('12-31', { value: '01-01' }, days).isRight).toBe(true);
    expect(compare('12-28', { value: '01-01' }, days).isRight).toBe(false);
    const seconds = { kind: 'absolute', value: 60, unit: 's' } as const;
    const expected = { value: '2024-06-21T12:00:00+02:00' };
    expect(compare('2024-06-21T10:00:59Z', expected, seconds).isRight).toBe(true);
    expect(compare('2024-06-21T10:01:01Z', expected, seconds).isRight).toBe(false);
  });
});

describe('the documents of the format', () => {
  it.each(['FORMAT.md', 'SOURCES.md'])('%s is beside the cases', (name) => {
    expect(readFileSync(join(HERE, name), 'utf8').length).toBeGreaterThan(500);
  });

  it('has every source key of the cases in a table of sources', () => {
    const sources =
      readFileSync(join(HERE, 'SOURCES.md'), 'utf8') + readFileSync(join(HERE, 'own', 'SOURCES.md'), 'utf8');
    const keys = new Set(cases.flatMap((one) => one.source_key ?? []));
    expect([...keys].filter((key) => !new RegExp(`\\|\\s*${key}\\s*\\|`).test(sources))).toEqual([]);
  });
});
