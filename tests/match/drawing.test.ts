import {
  COLUMNS_AT_ONCE,
  drawGroup,
  heightOf,
  inView,
  layOut,
  MATCH_SIZES,
  type MatchGroupModel,
  type MatchRowHead,
  type MatchShape,
  stripsOf,
} from '@plumbline/shared/match';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { SEED } from '../rules/edits.ts';

const SIZES = MATCH_SIZES;
const HEAD: MatchRowHead = {
  row: 'exposure',
  title: 'Exposure',
  unit: 'stops',
  above: 'brighter',
  below: 'darker',
  decimals: 1,
  scale: { min: -2, max: 2, ticks: [], tolerance: 0.3 },
};

/** A group with these values on one camera, or on several by letter. */
function groupOf(values: Readonly<Record<string, readonly (number | null)[]>>): MatchGroupModel {
  const count = Math.max(...Object.values(values).map(({ length }) => length));
  return {
    name: 'walk',
    reference: 's0',
    columns: Array.from({ length: count }, (_, index) => ({
      setup: `s${index}`,
      label: `S${index}`,
      scene: null,
      isReference: index === 0,
      state: 'planned' as const,
    })),
    rows: [
      {
        row: 'exposure',
        reach: 2,
        lines: Object.entries(values).map(([id, along]) => ({
          source: { kind: 'camera' as const, id, name: `Camera ${id}` },
          mark: null,
          points: along.map((value, column) => ({
            column,
            setup: `s${column}`,
            value,
            text: '',
            mark:
              value !== null && Math.abs(value) > 0.3
                ? { state: 'break' as const, findings: [`f${id}${column}`], accepted: null }
                : null,
          })),
        })),
      },
    ],
  };
}

function draw(group: MatchGroupModel, from = 0, to = group.columns.length - 1): MatchShape[] {
  return drawGroup(group, [HEAD], {
    sizes: SIZES,
    columns: { from, to },
    orders: new Map([
      ['A', 0],
      ['B', 1],
    ]),
  });
}

function shapes<K extends MatchShape['kind']>(
  all: readonly MatchShape[],
  kind: K,
): Extract<MatchShape, { kind: K }>[] {
  return all.filter((shape): shape is Extract<MatchShape, { kind: K }> => shape.kind === kind);
}

const level = (value: number): number => SIZES.headHeight + heightOf(SIZES, HEAD.scale, value);

describe('a line', () => {
  test('runs level while values agree, steps where they do not, and stops where nothing is known', () => {
    const [line] = shapes(draw(groupOf({ A: [0, 1, null, 0] })), 'line');
    const width = SIZES.columnWidth;
    expect(line?.runs).toEqual([
      [
        [6, level(0)],
        [width, level(0)],
        [width, level(1)],
        [2 * width - 6, level(1)],
      ],
      [
        [3 * width + 6, level(0)],
        [4 * width - 6, level(0)],
      ],
    ]);
    expect(level(1)).toBeLessThan(level(0));
    expect(level(99)).toBe(level(2));
  });

  test(`drawn lot by lot is the line drawn whole (seed ${SEED})`, () => {
    const values = fc.array(fc.option(fc.double({ min: -2, max: 2, noNaN: true }), { nil: null }), {
      minLength: 1,
      maxLength: 14,
    });
    const at = (all: readonly MatchShape[], x: number, shift: number): number[] =>
      shapes(all, 'line').flatMap(({ runs }) =>
        runs.flatMap((run) =>
          run.flatMap(([x1, y1], index) => {
            const [x2, y2] = run[index + 1] ?? [x1, y1];
            return y1 === y2 && x1 + shift < x && x < x2 + shift ? [y1] : [];
          }),
        ),
      );
    fc.assert(
      fc.property(values, fc.nat({ max: 13 }), (along, cut) => {
        const group = groupOf({ A: along });
        const first = Math.min(cut, along.length - 1);
        const whole = draw(group);
        const left = draw(group, 0, first);
        const right = first + 1 < along.length ? draw(group, first + 1) : [];
        const shift = (first + 1) * SIZES.columnWidth;
        for (let column = 0; column < along.length; column++) {
          const x = (column + 0.5) * SIZES.columnWidth;
          expect([...at(left, x, 0), ...at(right, x, shift)]).toEqual(at(whole, x, 0));
        }
        const marks = (all: readonly MatchShape[]): string[] => shapes(all, 'mark').map(({ setup }) => setup);
        expect([...marks(left), ...marks(right)]).toEqual(marks(whole));
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  test('of a second camera is drawn beside the first where both are level, and dashed', () => {
    const [first, second] = shapes(draw(groupOf({ A: [0, 0], B: [0, 0] })), 'line');
    expect([first?.order, second?.order]).toEqual([0, 1]);
    expect(second?.runs[0]?.[0]?.[1]).toBeGreaterThan((first?.runs[0]?.[0]?.[1] ?? 0) + 3);
  });
});

describe('a mark', () => {
  test('says its step with sign, and whose it is where there are several', () => {
    expect(shapes(draw(groupOf({ A: [0, -1] })), 'mark').map(({ step, word }) => [step, word])).toEqual([
      ['−1.0', 'break'],
    ]);
    const both = shapes(draw(groupOf({ A: [0, 2], B: [0, -2] })), 'mark');
    expect(both.map(({ step }) => step)).toEqual(['A +2.0', 'B −2.0']);
    expect(both[1]?.says).toBe('Exposure, Camera B: 2.0 stops darker, break');
  });

  test(`never lies on another: those that would are one, for both (seed ${SEED})`, () => {
    const value = fc.double({ min: -2, max: 2, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.tuple(value, value, value), { minLength: 1, maxLength: 6 }), (columns) => {
        const group = groupOf({
          A: columns.map(([a]) => a),
          B: columns.map(([, b]) => b),
          C: columns.map(([, , c]) => c),
        });
        const marks = shapes(draw(group), 'mark');
        for (const one of marks) {
          for (const other of marks) {
            if (one === other || one.column !== other.column) continue;
            expect(Math.abs(one.y - other.y)).toBeGreaterThanOrEqual(SIZES.markHeight / 2);
          }
        }
        const found = marks.flatMap(({ findings }) => findings).sort();
        const expected = group.rows[0]?.lines.flatMap(({ points }) =>
          points.flatMap(({ mark }) => mark?.findings ?? []),
        );
        expect(found).toEqual(expected?.sort());
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  test('fits its column and is a target of 44 px', () => {
    expect(SIZES.markHeight).toBeGreaterThanOrEqual(44);
    expect(SIZES.columnWidth).toBeGreaterThanOrEqual(112);
    expect(SIZES.headHeight - 30).toBeGreaterThanOrEqual(44);
  });
});

const outlines = fc
  .array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 60 })
  .map((counts) => counts.map((count, index) => ({ name: `g${index}`, count })));

describe('what is drawn while scrolling', () => {
  test(`is every column that can be seen, whatever the offset, and not many more (seed ${SEED})`, () => {
    const view = fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.integer({ min: 200, max: 2000 }));
    fc.assert(
      fc.property(outlines, view, (outline, [share, width]) => {
        const layout = layOut(outline, 6, SIZES);
        const left = share * Math.max(0, layout.width - width);
        const drawn = new Set<string>();
        for (const { place, columns } of inView(layout, { left, right: left + width })) {
          for (let column = columns.from; column <= columns.to; column++) {
            const key = `${place.name}.${column}`;
            expect(drawn.has(key)).toBe(false);
            drawn.add(key);
            expect(column).toBeLessThan(place.count);
          }
        }
        for (const { name, start, count } of layout.groups) {
          for (let column = 0; column < count; column++) {
            const at = start + column * SIZES.columnWidth;
            const isSeen = at + SIZES.columnWidth > left && at < left + width;
            if (isSeen) expect(drawn.has(`${name}.${column}`)).toBe(true);
          }
        }
        const most = Math.ceil(width / SIZES.columnWidth) + 4 * COLUMNS_AT_ONCE + 2;
        expect(drawn.size).toBeLessThanOrEqual(most);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });
});

describe('the picture on paper', () => {
  test(`is every column once and in order, on strips that fit the sheet (seed ${SEED})`, () => {
    fc.assert(
      fc.property(outlines, fc.integer({ min: 130, max: 1200 }), (outline, width) => {
        const strips = stripsOf(outline, SIZES, width);
        const printed = strips.flatMap(({ pieces }) =>
          pieces.flatMap(({ group, columns: { from, to } }) =>
            Array.from({ length: to - from + 1 }, (_, index) => `${group}.${from + index}`),
          ),
        );
        expect(printed).toEqual(
          outline.flatMap(({ count }, group) =>
            Array.from({ length: count }, (_, index) => `${group}.${index}`),
          ),
        );
        for (const strip of strips) {
          expect(strip.width).toBeLessThanOrEqual(width);
          const last = strip.pieces.at(-1);
          const end =
            (last?.x ?? 0) + ((last?.columns.to ?? 0) - (last?.columns.from ?? 0) + 1) * SIZES.columnWidth;
          expect(end).toBe(strip.width);
        }
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  test('does not part a group that fits on one strip', () => {
    const outline = [
      { name: 'a', count: 3 },
      { name: 'b', count: 3 },
      { name: 'c', count: 9 },
    ];
    const strips = stripsOf(outline, SIZES, 4 * SIZES.columnWidth);
    expect(
      strips.map(({ pieces }) => pieces.map(({ group, columns }) => [group, columns.from, columns.to])),
    ).toEqual([[[0, 0, 2]], [[1, 0, 2]], [[2, 0, 3]], [[2, 4, 7]], [[2, 8, 8]]]);
  });
});
