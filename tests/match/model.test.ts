import {
  comparePictures,
  type MatchLine,
  type MatchPoint,
  type MatchRowHead,
  matchModel,
} from '@plumbline/shared/match';
import { acceptChanges, type MatchRow } from '@plumbline/shared/rules';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { anyBoard, SEED } from '../rules/edits.ts';
import { agreeingScene, emptyScene, type Scene, STANDARD_PICTURE } from '../rules/scene.ts';

function modelOf(scene: Scene) {
  return matchModel(scene.reader, scene.findings());
}

/** A row with the lines of all groups. */
interface WholeRow extends MatchRowHead {
  readonly lines: readonly MatchLine[];
}

function rowsOf(scene: Scene): WholeRow[] {
  const { groups, rows } = modelOf(scene);
  return rows.map((head, index) => ({
    ...head,
    lines: groups.flatMap((group) => group.rows[index]?.lines ?? []),
  }));
}

function lineOf(scene: Scene, row: MatchRow, source = 'A', group = 'kitchen'): MatchLine {
  const there = modelOf(scene).groups.find(({ name }) => name === group);
  const lines = there?.rows.find((one) => one.row === row)?.lines;
  const line = lines?.find((one) => one.source.id === source);
  if (!line) throw new Error(`no line of ${source} in ${row}`);
  return line;
}

function pointOf(scene: Scene, row: MatchRow, setup = '1b', source = 'A'): MatchPoint {
  const point = lineOf(scene, row, source).points.find((one) => one.setup === setup);
  if (!point) throw new Error(`no point of ${setup} in ${row}`);
  return point;
}

describe('the columns of the match picture', () => {
  test('setups stand in story order, by group, in the order of the groups’ first setups', () => {
    const scene = agreeingScene();
    scene.set('scenes', 's2', { number: '2', storyOrder: 2 });
    scene.set('scenes', 's1', { number: '1', storyOrder: 1 });
    scene.set('setups', 'yard1', { label: 'Y1', scene: 's1', storyOrder: 1, matchGroup: 'yard' });
    scene.set('setups', '1a', { scene: 's1', storyOrder: 2 });
    scene.set('setups', 'yard2', { label: 'Y2', scene: 's2', storyOrder: 1, matchGroup: 'yard' });
    scene.set('setups', '1b', { scene: 's2', storyOrder: 2 });
    scene.set('setups', 'solo', { label: 'S', scene: 's2', storyOrder: 3 });
    scene.set('setups', 'gone', {
      label: 'G',
      scene: 's1',
      storyOrder: 0,
      matchGroup: 'yard',
      state: 'dropped',
    });
    const { groups, alone } = modelOf(scene);
    const columns = groups.flatMap((group) => group.columns);
    expect(columns.map(({ setup }) => setup)).toEqual(['yard1', 'yard2', '1a', '1b']);
    expect(columns.map(({ scene: number }) => number)).toEqual(['1', '2', '1', '2']);
    expect(columns.filter(({ isReference }) => isReference).map(({ setup }) => setup)).toEqual([
      'yard1',
      '1a',
    ]);
    expect(groups.map(({ name, reference, columns: own }) => [name, reference, own.length])).toEqual([
      ['yard', 'yard1', 2],
      ['kitchen', '1a', 2],
    ]);
    expect(alone).toEqual(['solo']);
  });
});

describe('the lines of the match picture', () => {
  test('run level at 0 while everything agrees, with the settings as people write them', () => {
    const scene = agreeingScene();
    for (const { row, lines } of rowsOf(scene)) {
      for (const { points } of lines) {
        for (const { value, mark } of points) {
          expect(value, row).toBe(row === 'format' ? null : 0);
          expect(mark).toBeNull();
        }
      }
    }
    expect(pointOf(scene, 'exposure').text).toBe('0.0 stop over the meter');
    expect(pointOf(scene, 'depth').text).toBe('f/4');
    expect(pointOf(scene, 'motion').text).toBe('180°');
    expect(pointOf(scene, 'colour').text).toBe('5600 K');
    expect(pointOf(scene, 'sound').text).toBe('48 kHz');
  });

  test('step in the unit in which it is felt', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', {
      aperture: 8,
      shutter: { seconds: 1 / 25 },
      whiteBalanceK: 3200,
      sampleRateHz: 44_100,
      focalLengthMm: 50,
      focusDistanceM: 3,
    });
    // f/4 to f/8 is −2 stops, 1/50 to 1/25 s is +1; 360° against 180°; 10⁶/3200 − 10⁶/5600 = 133.9 mired
    expect(pointOf(scene, 'exposure').value).toBeCloseTo(-1, 9);
    expect(pointOf(scene, 'depth').value).toBeCloseTo(2, 9);
    expect(pointOf(scene, 'motion').value).toBeCloseTo(180, 9);
    expect(pointOf(scene, 'colour').value).toBeCloseTo(133.93, 2);
    expect(pointOf(scene, 'sound').value).toBe(1);
    expect(pointOf(scene, 'motion').text).toBe('1/25 s, 360°');
    // 50 mm at 3 m on 24 × 13.5 mm (c = 0.018358 mm): H = 50² / (8 c) + 50 = 17 072 mm; far − near = 3633.6 − 2554.8 = 1.1 m
    expect(pointOf(scene, 'depth').text).toBe('f/8, 1.1 m');
  });

  test('format counts the fields that differ, of those that both have', () => {
    const scene = agreeingScene();
    scene.set('picture', '1a.A', { raster: '3840x2160', scan: 'progressive', bitDepth: 10, transfer: 'hlg' });
    scene.set('picture', '1b.A', { raster: '1920x1080', scan: 'progressive', bitDepth: 8 });
    expect(pointOf(scene, 'format')).toMatchObject({ value: 2, text: '1920x1080, Progressive, 8 bit' });
  });

  test('sound counts the channels that carry something else', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('inputs', '1a.R1.2', { source: 'Lapel' });
    scene.set('inputs', '1b.R1.1', { source: 'Lapel' });
    scene.set('inputs', '1b.R1.2', { source: 'Boom' });
    scene.set('inputs', '1b.R1.3', { source: 'Room', state: 'closed' });
    expect(pointOf(scene, 'sound', '1b', 'R1')).toMatchObject({ value: 2, text: '1 Lapel, 2 Boom' });
    expect(pointOf(scene, 'sound', '1a', 'R1').value).toBe(0);
  });

  test('have a gap, not a step, where something is not known', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { keyLux: null, aperture: null, shutter: null, whiteBalanceK: null });
    for (const row of ['exposure', 'depth', 'motion', 'colour'] as const) {
      expect(pointOf(scene, row)).toMatchObject({ value: null, mark: null });
    }
    expect(pointOf(scene, 'colour').text).toBe('');
  });

  test('say of exposure just what the rule says, filters that nobody entered included', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { ndDensity: null });
    expect(pointOf(scene, 'exposure')).toMatchObject({ value: null, mark: null });
  });

  test('there is one for each camera that shot, and points only where it did', () => {
    const scene = agreeingScene();
    scene.set('cameras', 'B', { name: 'Second camera' });
    scene.set('picture', '1b.B', { ...STANDARD_PICTURE });
    const line = lineOf(scene, 'depth', 'B');
    expect(line.source).toEqual({ kind: 'camera', id: 'B', name: 'Second camera' });
    // Its reference setup has no camera B, so there is nothing to hold it against.
    expect(line.points.map(({ setup, value }) => [setup, value])).toEqual([['1b', null]]);
  });
});

describe('the marks of the match picture', () => {
  test('a break is marked in its row alone, with its finding', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    expect(pointOf(scene, 'exposure').mark).toEqual({
      state: 'break',
      findings: ['exposure-offset.1b.A'],
      accepted: null,
    });
    for (const row of ['depth', 'motion', 'colour', 'sound'] as const) {
      expect(pointOf(scene, row).mark).toBeNull();
    }
    expect(pointOf(scene, 'exposure', '1a').mark).toBeNull();
  });

  test('an accepted break is drawn as accepted, until its values change', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    const finding = scene.finding('exposure-offset.1b.A');
    if (!finding) throw new Error('no finding');
    scene.apply(acceptChanges(scene.reader, finding, 'p1', 'it is night now', 1));
    scene.set('people', 'p1', { name: 'Ilse Marrowby' });
    expect(pointOf(scene, 'exposure').mark).toMatchObject({
      state: 'accepted',
      accepted: { by: 'Ilse Marrowby', reason: 'it is night now' },
    });
    scene.set('picture', '1b.A', { aperture: 2.5 });
    expect(pointOf(scene, 'exposure').mark?.state).toBe('break');
  });

  test('the gravest of several gives the shape, and all of them are named', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { shutter: { seconds: 1 / 20 }, frameRate: '25', plannedSpeed: 'high' });
    expect(pointOf(scene, 'motion').mark).toEqual({
      state: 'fault',
      findings: ['motion-over-frame.1b.A', 'motion-rate.1b.A'],
      accepted: null,
    });
  });

  test('what holds for a recorder as a whole is marked on its line', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1b.R1.1', { source: 'Boom', secondSource: 'Lapel' });
    scene.set('recorders', 'R1', { sampleRateHz: 96_000 });
    const line = lineOf(scene, 'sound', 'R1');
    expect(line.mark).toEqual({ state: 'break', findings: ['sound-rate-recorder.R1'], accepted: null });
    // It is drawn at the line's first point, with what is found there.
    expect(line.points.map(({ mark }) => mark?.state ?? null)).toEqual(['fault']);
    expect(line.points[0]?.mark?.findings).toContain('sound-rate-recorder.R1');
  });

  test(`every point of a rule’s row outside its tolerance is marked, and none inside (seed ${SEED})`, () => {
    let marked = 0;
    fc.assert(
      fc.property(anyBoard, (edits) => {
        const scene = emptyScene();
        scene.apply(edits);
        for (const { row, scale, lines } of rowsOf(scene)) {
          if (row !== 'exposure' && row !== 'colour') continue;
          const rule = row === 'exposure' ? 'exposure-offset' : 'colour-white-balance';
          for (const { points } of lines) {
            for (const { value, mark } of points) {
              const steps = value !== null && Math.abs(value) > scale.tolerance + 1e-6;
              const found = mark?.findings.some((id) => id.startsWith(`${rule}.`)) ?? false;
              expect(found).toBe(steps);
              if (found) marked += 1;
            }
          }
        }
      }),
      { seed: SEED, numRuns: 60 },
    );
    expect(marked).toBeGreaterThan(20);
  });
});

describe('the scale of a row', () => {
  test('holds every value, is the same on both sides of 0 and has few ticks', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 22, shutter: { angleDeg: 22.5 }, whiteBalanceK: 2000 });
    for (const { scale, lines } of rowsOf(scene)) {
      const values = lines.flatMap(({ points }) => points.flatMap(({ value }) => value ?? []));
      expect(Math.max(...values, 0)).toBeLessThanOrEqual(scale.max);
      expect(Math.min(...values, 0)).toBeGreaterThanOrEqual(scale.min);
      expect(scale.ticks.length).toBeLessThanOrEqual(9);
      expect(scale.ticks.map(({ value }) => value)).toContain(0);
      expect(scale.ticks[0]?.value).toBeCloseTo(scale.min, 9);
      expect(scale.ticks.at(-1)?.value).toBeCloseTo(scale.max, 9);
    }
  });

  test('does not tear a row that agrees: a stop, 90° and 50 mired are always in sight', () => {
    const scales = new Map(rowsOf(agreeingScene()).map(({ row, scale }) => [row, scale]));
    expect(scales.get('exposure')).toMatchObject({ min: -1, max: 1, tolerance: 0.3 });
    expect(scales.get('motion')).toMatchObject({ min: -90, max: 90, tolerance: 5 });
    expect(scales.get('motion')?.ticks.map(({ label }) => label)).toEqual(['−90', '−45', '0', '+45', '+90']);
    expect(scales.get('colour')).toMatchObject({ min: -50, max: 50, tolerance: 10 });
    expect(scales.get('format')?.ticks.map(({ label }) => label)).toEqual(['0', '1', '2']);
  });
});

describe('two setups side by side', () => {
  test('what differs comes first, with both values, and what is entered once counts as different', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8, focalLengthMm: 50 });
    const fields = comparePictures(scene.reader, 'A', '1b', '1a');
    expect(fields.slice(0, 2)).toEqual([
      { field: 'aperture', label: 'Aperture', unit: null, own: 2.8, reference: 4, differs: true },
      { field: 'focalLengthMm', label: 'Focal length', unit: 'mm', own: 50, reference: null, differs: true },
    ]);
    expect(fields.slice(2).every(({ differs }) => !differs)).toBe(true);
    expect(fields.map(({ field }) => field)).toContain('iso');
  });
});
