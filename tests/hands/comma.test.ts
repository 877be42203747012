import { valueProblem } from '@plumbline/replica';
import { type ShootField, tables } from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { enter } from '../../apps/tablet/src/values/entering.ts';
import { isRead } from '../../apps/tablet/src/values/reading.ts';

/** Figures with decimals as they are typed with a point, by how a field is typed. Exact values, so none is rounded. */
const TYPED: Readonly<Record<string, readonly string[]>> = {
  fNumber: ['f/5.6', '2.8'],
  shutter: ['172.8°', '0.5 s', '1/47.952'],
  frameRate: ['23.976', '29.97'],
  nd: ['0.9', 'ND 1.2'],
  kelvin: ['5.6k', '3.2k'],
};

const every = Object.entries(tables).flatMap(([table, { fields }]) =>
  Object.entries<ShootField>(fields).map(([name, field]) => ({ name: `${table}/${name}`, field })),
);

/** A number in the middle of what a field takes, with all the decimals that it keeps. */
function middle({ min, max, decimals }: Extract<ShootField['control'], { kind: 'number' }>): string {
  const value = Math.min(max, Math.max(min, min < 0 && max > 0 ? 1 : min + (max - min) / 7));
  const text = Math.min(value, 900).toFixed(decimals);
  return decimals > 0 ? text.replace(/0$/, '5') : text;
}

describe('a figure typed with a decimal comma is the one typed with a point', () => {
  const figures = every.filter(
    ({ field }) =>
      TYPED[field.control.kind] !== undefined ||
      (field.control.kind === 'number' && field.control.decimals > 0),
  );

  it('there are such fields', () => {
    expect(figures.length).toBeGreaterThan(40);
  });

  it.each(figures)('$name', ({ field }) => {
    const { control } = field;
    const texts = control.kind === 'number' ? [middle(control)] : (TYPED[control.kind] ?? []);
    for (const text of texts) {
      const [point, comma] = [enter(field, text), enter(field, text.replace('.', ','))];
      expect(isRead(point), `${text}: ${JSON.stringify(point)}`).toBe(true);
      expect(comma, text).toEqual(point);
      if (isRead(point)) expect(valueProblem(field, point.value)).toBeNull();
    }
  });
});

describe('every field that is typed says in one sentence what goes in', () => {
  it.each(every.filter(({ field }) => field.writers.length > 0))('$name', ({ field }) => {
    expect(field.help).toMatch(/^[\p{Lu}\d‘“"].{2,}[.?!…]$/su);
  });
});
