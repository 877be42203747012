import {
  compareChannels,
  comparedSources,
  compareFelt,
  filterModel,
  followMatch,
  type LiveMatch,
  matchModel,
} from '@plumbline/shared/match';
import { createFindings, plainBoard } from '@plumbline/shared/rules';
import { effect } from '@preact/signals-core';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isMarked, nextOpen, type Position, walk } from '../../apps/tablet/src/screens/match/walking.ts';
import { anyBoard, SEED } from '../rules/edits.ts';
import { agreeingScene, emptyScene, type Scene, STANDARD_PICTURE } from '../rules/scene.ts';

function follow(scene: Scene): { live: LiveMatch; dispose: () => void } {
  const findings = createFindings(scene.live);
  return { live: followMatch(findings), dispose: () => findings.dispose() };
}

/** Two groups of two setups each. */
function twoGroups(): Scene {
  const scene = agreeingScene();
  for (const setup of ['2a', '2b']) {
    scene.set('setups', setup, { label: setup.toUpperCase(), matchGroup: 'yard', storyOrder: 20 });
    scene.set('picture', `${setup}.A`, { ...STANDARD_PICTURE });
  }
  return scene;
}

describe('the picture that follows the board', () => {
  test(`is the picture made from scratch, after any edits (seed ${SEED})`, () => {
    fc.assert(
      fc.property(fc.array(anyBoard, { minLength: 1, maxLength: 3 }), (rounds) => {
        const scene = emptyScene();
        const { live, dispose } = follow(scene);
        const stop = effect(() => void live.whole());
        for (const edits of rounds) {
          scene.apply(edits);
          expect(live.whole()).toEqual(matchModel(scene.reader, scene.findings()));
        }
        stop();
        dispose();
      }),
      { seed: SEED, numRuns: 30 },
    );
  });

  test('works a group out again only when something in that group has changed', () => {
    const scene = twoGroups();
    const { live, dispose } = follow(scene);
    const runs = { kitchen: 0, yard: 0 };
    const stops = (['kitchen', 'yard'] as const).map((name) =>
      effect(() => {
        void live.group(name).value;
        runs[name]++;
      }),
    );
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('picture', '1b.A', { whiteBalanceK: 3200 });
    expect(runs.kitchen).toBeGreaterThanOrEqual(3);
    expect(runs.yard).toBe(1);
    for (const stop of stops) stop();
    dispose();
  });

  test('is worked out a few groups at a time, beginning with the one that is looked at', () => {
    const scene = twoGroups();
    scene.set('picture', '1b.A', { whiteBalanceK: 2000 });
    const { live, dispose } = follow(scene);
    let left = 1;
    live.work(() => left-- > 0, 'yard');
    expect(live.complete.value).toBe(false);
    const colour = () => live.rows.value.find(({ row }) => row === 'colour')?.scale.max ?? 0;
    expect(colour()).toBe(50);
    live.work(() => true);
    expect(live.complete.value).toBe(true);
    // 10⁶/2000 − 10⁶/5600 = 321.4 mired
    expect(colour()).toBeGreaterThanOrEqual(321);
    dispose();
  });
});

describe('a filter', () => {
  test('leaves the lines of a department or a camera, and moves no scale', () => {
    const scene = agreeingScene();
    scene.set('cameras', 'B', { name: 'Second camera' });
    for (const setup of ['1a', '1b']) scene.set('picture', `${setup}.B`, { ...STANDARD_PICTURE });
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    const whole = matchModel(scene.reader, scene.findings());
    const sources = (filter: Parameters<typeof filterModel>[1]) =>
      filterModel(whole, filter).groups.flatMap(({ rows }) =>
        rows.map(({ row, lines }) => `${row}: ${lines.map(({ source }) => source.id).join(' ')}`),
      );
    expect(sources({ department: 'sound', camera: null })).toEqual(['sound: R1 A B']);
    expect(sources({ department: 'camera', camera: 'B' })).toEqual(
      ['exposure', 'depth', 'motion', 'colour', 'format', 'sound'].map((row) => `${row}: B`),
    );
    expect(sources({ department: null, camera: 'A' }).at(-1)).toBe('sound: R1 A');
    expect(filterModel(whole, { department: 'sound', camera: null }).rows).toEqual(whole.rows.slice(-1));
  });
});

describe('any two setups', () => {
  test('are compared as they are felt, in stops, degrees and mireds, what differs first', () => {
    const scene = twoGroups();
    scene.set('picture', '2b.A', { aperture: 8, shutter: { angleDeg: 90 }, whiteBalanceK: 3200 });
    // f/4 to f/8 is 2 stops, 180° to 90° another; 10⁶/3200 − 10⁶/5600 = 133.9 mired
    expect(compareFelt(plainBoard(scene.reader), 'A', '2b', '1a').filter(({ differs }) => differs)).toEqual([
      { title: 'Exposure', distance: '3.0 stops darker', differs: true },
      { title: 'Depth', distance: '2.0 stops of aperture deeper', differs: true },
      { title: 'Motion', distance: '90 degrees of shutter less blur', differs: true },
      { title: 'Colour', distance: '134 mired set lower in kelvin', differs: true },
    ]);
  });

  test('are compared channel by channel, and by every camera and recorder that either has', () => {
    const scene = twoGroups();
    scene.set('cameras', 'B', { name: 'Second camera' });
    scene.set('picture', '2b.B', { ...STANDARD_PICTURE });
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('inputs', '1a.R1.2', { source: 'Lapel' });
    scene.set('inputs', '2b.R1.1', { source: 'Boom' });
    const board = plainBoard(scene.reader);
    expect(comparedSources(board, '1a', '2b')).toEqual({ cameras: ['A', 'B'], recorders: ['R1'] });
    expect(compareChannels(board, 'R1', '1a', '2b')).toEqual([
      { channel: 2, own: 'Lapel', other: null, differs: true },
      { channel: 1, own: 'Boom', other: 'Boom', differs: false },
    ]);
  });
});

describe('walking over the picture by keyboard', () => {
  const ground = () => {
    const scene = twoGroups();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('picture', '2b.A', { aperture: 2.8, whiteBalanceK: 3200 });
    const { groups, rows } = matchModel(scene.reader, scene.findings());
    return { groups, heads: rows };
  };
  const START: Position = { group: 0, column: 0, row: null };

  test('left and right go over all columns, group after group, and stop at the ends', () => {
    const seen: string[] = [];
    const over = ground();
    for (let at: Position | null = START; at; at = walk(over, at, 'ArrowRight')) {
      seen.push(over.groups[at.group]?.columns[at.column]?.setup ?? '');
    }
    expect(seen).toEqual(['1a', '1b', '2a', '2b']);
    expect(walk(over, START, 'ArrowLeft')).toBeNull();
    expect(walk(over, START, 'End')).toEqual({ group: 1, column: 1, row: null });
    expect(walk(over, START, 'PageDown')).toEqual({ group: 1, column: 0, row: null });
  });

  test('down goes to what is marked in the column, then from mark to mark along the row', () => {
    const over = ground();
    expect(walk(over, START, 'ArrowDown')).toBeNull();
    const first = walk(over, { ...START, column: 1 }, 'ArrowDown');
    expect(first).toEqual({ group: 0, column: 1, row: 'exposure' });
    expect(first && walk(over, first, 'ArrowRight')).toEqual({ group: 1, column: 1, row: 'exposure' });
    const last = { group: 1, column: 1, row: 'exposure' } as const;
    expect(walk(over, last, 'ArrowDown')).toEqual({ group: 1, column: 1, row: 'colour' });
    expect(walk(over, last, 'ArrowUp')).toEqual({ group: 1, column: 1, row: null });
  });

  test(`reaches every mark of any picture from its column’s head (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyBoard, (edits) => {
        const scene = emptyScene();
        scene.apply(edits);
        const { groups, rows } = matchModel(scene.reader, scene.findings());
        const over = { groups, heads: rows };
        groups.forEach(({ columns }, group) => {
          columns.forEach((_, column) => {
            const reached: (string | null)[] = [];
            for (
              let at = walk(over, { group, column, row: null }, 'ArrowDown');
              at;
              at = walk(over, at, 'ArrowDown')
            ) {
              reached.push(at.row);
            }
            const marked = rows.map(({ row }) => row).filter((row) => isMarked(over, { group, column, row }));
            expect(reached).toEqual(marked);
          });
        });
      }),
      { seed: SEED, numRuns: 40 },
    );
  });

  test('the next open mark passes over what agrees and what is accepted', () => {
    const over = ground();
    expect(nextOpen(over, { ...START, column: -1 }, 1)).toEqual({ group: 0, column: 1, row: 'exposure' });
    expect(nextOpen(over, { group: 0, column: 1, row: null }, 1)).toMatchObject({ group: 1, column: 1 });
    expect(nextOpen(over, { group: 0, column: 1, row: null }, -1)).toBeNull();
  });
});
