import { readerOf } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import { acceptChanges, evaluate } from '@plumbline/shared/rules';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { boardOf, outcome, set, somebody } from '../support/shoot.ts';
import { anyBoard, SEED } from './edits.ts';
import { agreeingScene, emptyScene, type Scene, STANDARD_PICTURE } from './scene.ts';
import { at } from './truth/given.ts';

const director = somebody('director');

describe('readings age', () => {
  function metered(): Scene {
    const scene = agreeingScene();
    scene.set('scenes', 's1', { inside: 'interior', place: 'mill' });
    scene.set('setups', '1a', { scene: 's1' });
    scene.set('picture', '1a.A', { meteredAt: at(10), whiteBalancedAt: at(10) });
    return scene;
  }
  const old = (scene: Scene) => scene.open().filter((id) => id.endsWith('-old.1a.A'));

  test('when the lights move on', () => {
    const scene = metered();
    expect(old(scene)).toEqual([]);
    scene.set('setups', '1a', { lightsChangedAt: at(11) });
    expect(old(scene).sort()).toEqual(['colour-balance-old.1a.A', 'exposure-reading-old.1a.A']);
  });

  test('when the place moves on, each told in its own words', () => {
    const scene = metered();
    scene.set('setups', '1a', { placeChangedAt: at(25) });
    expect(scene.finding('exposure-reading-old.1a.A')?.message).toBe(
      'Setup 1A, camera A: the light was read 15 min before the setup was moved to another place.',
    );
    scene.set('picture', '1a.A', { meteredAt: at(26), whiteBalancedAt: at(26) });
    expect(old(scene)).toEqual([]);
  });

  test('outside, when time moves on; inside lamps do not move by themselves', () => {
    const scene = metered();
    scene.set('takes', '1a.1', { rolledAt: at(200) });
    expect(old(scene)).toEqual([]);
    scene.set('scenes', 's1', { inside: 'exterior' });
    expect(old(scene)).toEqual(['exposure-reading-old.1a.A']);
  });

  test('the base notes when a setup is moved: by its own place, by its scene, or by its scene’s place', () => {
    const board = boardOf({
      places: { mill: { name: 'Mill' }, yard: { name: 'Yard' } },
      scenes: { s1: { place: 'mill' }, s2: { place: 'yard' } },
      setups: { S1: { scene: 's1' }, S2: { scene: 's1', place: 'yard' }, S3: {}, S4: { label: 'S4' } },
    });
    const movedAt = (setup: string) => board.cell('setups', setup, 'placeChangedAt')?.[0];
    const DAWN_PLUS = (minutes: number) => Date.UTC(2030, 5, 1, 4) + minutes * 60_000;
    expect(outcome(set(board, director, [['scenes', 's1', 'place', 'yard']], 1))).toBe('stored');
    expect(movedAt('S1')).toBe(DAWN_PLUS(1));
    // It has a place of its own, so its scene's does not move it.
    expect(movedAt('S2')).toBeUndefined();
    set(board, director, [['setups', 'S2', 'place', 'mill']], 2);
    expect(movedAt('S2')).toBe(DAWN_PLUS(2));
    set(board, director, [['setups', 'S4', 'place', 'mill']], 3);
    expect(movedAt('S4')).toBeUndefined();
    set(board, director, [['setups', 'S1', 'scene', 's2']], 4);
    // From the yard to the yard.
    expect(movedAt('S1')).toBe(DAWN_PLUS(1));
    expect(outcome(set(board, director, [['setups', 'S1', 'placeChangedAt', 5]], 5))).toBe('right');
  });
});

describe('what is meant is no break', () => {
  test('a planned high speed is no other capture rate, and its blur is not held against the others', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { frameRate: '50', ndDensity: 0.3 });
    expect(scene.open()).toContain('motion-rate.1b.A');
    scene.set('picture', '1b.A', { plannedSpeed: 'high' });
    expect(scene.open()).toEqual([]);
  });

  test('a planned look is accepted once, for its values, and comes back with the first of them that moves', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    const finding = scene.finding('exposure-offset.1b.A');
    if (!finding) throw new Error('no finding');
    scene.apply(acceptChanges(scene.reader, finding, 'p1', 'the memory is bright', 1));
    expect(scene.open()).toEqual([]);
    scene.set('picture', '1b.A', { keyLux: 1001 });
    expect(scene.open()).toEqual(['exposure-offset.1b.A']);
    scene.set('picture', '1b.A', { keyLux: 1000 });
    expect(scene.open()).toEqual([]);
    scene.set('picture', '1b.A', { focalLengthMm: 35 });
    expect(scene.open()).toEqual([]);
  });
});

describe('one disagreement, one name', () => {
  test('per camera and between cameras: who strays from the reference is told once', () => {
    const scene = agreeingScene();
    scene.set('cameras', 'B', { name: 'B camera', baseIso: 800 });
    for (const setup of ['1a', '1b']) scene.set('picture', `${setup}.B`, { ...STANDARD_PICTURE });
    scene.set('picture', '1b.B', { aperture: 2.8 });
    expect(scene.open().filter((id) => id.startsWith('exposure-'))).toEqual(['exposure-offset.1b.B']);
  });

  test('a battery that was too little when it was read is not also drained', () => {
    const scene = agreeingScene();
    scene.set('setups', '1a', { state: 'inWork', takeMinutes: 60, startedAt: at(60) });
    scene.set('cameras', 'A', { battery: 'v1', powerDrawW: 20 });
    scene.set('batteries', 'v1', { energyWh: 98, chargePercent: 10, checkedAt: at(0) });
    expect(scene.open().filter((id) => id.startsWith('power-'))).toEqual(['power-battery-short.1a.A']);
  });

  test(`no two findings of one board have one id, whatever stands on it (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyBoard, (edits) => {
        const scene = emptyScene();
        scene.apply(edits);
        const ids = scene.findings().map(({ id }) => id);
        expect(ids.filter((id, index) => ids.indexOf(id) !== index)).toEqual([]);
      }),
      { seed: SEED, numRuns: 10 },
    );
  });
});

describe('missing values', () => {
  test('of each field that a compared exposure hangs on: no finding, and its name under what is not known', () => {
    for (const field of ['aperture', 'shutter', 'iso', 'keyLux']) {
      const scene = agreeingScene();
      scene.set('picture', '1b.A', { aperture: 2.8 });
      scene.set('picture', '1b.A', { [field]: null });
      const { findings, unknowns } = evaluate(scene.reader);
      expect(findings.map(({ rule }) => rule)).not.toContain('exposure-offset');
      const missing = unknowns
        .filter(({ rule }) => rule === 'exposure-offset')
        .flatMap((unknown) => unknown.missing.map((target) => target.field));
      expect(missing, field).toContain(field);
    }
  });

  test('an empty board finds nothing', () => {
    expect(evaluate(readerOf(tables, boardOf({}))).findings).toEqual([]);
  });
});
