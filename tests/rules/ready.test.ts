import { acceptChanges, evaluate, type Readiness, readiness } from '@plumbline/shared/rules';
import { describe, expect, test } from 'vitest';
import { agreeingScene, type Scene } from './scene.ts';
import { at } from './truth/given.ts';

/** A setup on which everything that is asked is entered, and right. */
function readyScene(): Scene {
  const scene = agreeingScene();
  scene.set('shoot', 'shoot', { soundBitDepth: 24, alignmentDbfs: -18 });
  scene.set('scenes', 's1', { inside: 'interior', place: 'mill' });
  scene.set('places', 'mill', { name: 'Mill', temperatureC: 20 });
  scene.set('recorders', 'R1', {
    bitDepth: 24,
    timecodeRate: '25',
    card: 'c9',
    battery: 'v9',
    powerDrawW: 10,
  });
  scene.set('cards', 'c9', { name: 'S-01', capacityGB: 32, preparedAt: [at(-60)] });
  scene.set('batteries', 'v9', { energyWh: 50, chargePercent: 100, checkedAt: at(0) });
  scene.set('cards', 'c1', { name: 'A-01', capacityGB: 256, preparedAt: [at(-60)] });
  scene.set('batteries', 'v1', { energyWh: 98, chargePercent: 100, checkedAt: at(0) });
  scene.set('cameras', 'A', { card: 'c1', battery: 'v1', powerDrawW: 20 });
  for (const setup of ['1a', '1b']) {
    scene.set('setups', setup, {
      scene: 's1',
      state: 'inWork',
      takeMinutes: 5,
      lightsK: 5600,
      lightsChangedAt: at(0),
    });
    scene.set('picture', `${setup}.A`, {
      timecodeRate: '25',
      autoFunctions: [],
      bitRateMbps: 120,
      meteredAt: at(5),
      whiteBalancedAt: at(6),
    });
    scene.set('inputs', `${setup}.R1.1`, {
      source: 'Boom',
      needsPhantom: true,
      phantom: 'p48',
      levelDbfs: -18,
    });
  }
  return scene;
}

function readinessOf(scene: Scene, setup = '1a'): Readiness {
  const { findings, unknowns } = evaluate(scene.reader);
  return readiness(scene.reader, findings, unknowns, setup);
}

function against(scene: Scene, setup = '1a'): string[] {
  return readinessOf(scene, setup).findings.map(({ id }) => id);
}

describe('ready to roll', () => {
  test('a setup on which everything is entered and agrees', () => {
    expect(readinessOf(readyScene())).toEqual({
      setup: '1a',
      ready: true,
      findings: [],
      unknowns: [],
      checks: [],
      by: { director: [], camera: [], sound: [] },
    });
  });

  // Each line is common practice, no source.
  test.each([
    [
      'white balance older than the lights',
      'setups',
      '1a',
      { lightsChangedAt: at(30) },
      'colour-balance-old.1a.A',
    ],
    [
      'automatic aperture left on',
      'picture',
      '1a.A',
      { autoFunctions: ['exposure'] },
      'camera-automatic.1a.A',
    ],
    ['a channel flagged', 'inputs', '1a.R1.1', { state: 'flagged' }, 'sound-flagged-open.1a.R1.1'],
    ['a battery nearly empty', 'batteries', 'v1', { chargePercent: 1 }, 'power-battery-short.1a.A'],
    ['a card nearly full', 'cards', 'c1', { capacityGB: 1 }, 'media-card-short.1a.A'],
    [
      '1/200 s under 50 Hz mains inside',
      'picture',
      '1a.A',
      { shutter: { seconds: 1 / 200 } },
      'motion-flicker.1a.A',
    ],
    ['the recorder at another rate', 'recorders', 'R1', { sampleRateHz: 96_000 }, 'sound-rate-recorder.R1'],
    ['drop-frame asked of 25 frames/s', 'shoot', 'shoot', { dropFrame: true }, 'timecode-drop-shoot.shoot'],
  ] as const)('not with %s', (_, table, record, values, id) => {
    const scene = readyScene();
    scene.set(table, record, values as Parameters<Scene['set']>[2]);
    expect(readinessOf(scene).ready).toBe(false);
    expect(against(scene)).toContain(id);
  });

  test('44 °C against a camera’s 0 to 40 °C stands against the setups there (common practice, no source)', () => {
    const scene = readyScene();
    scene.set('kit', 'camera.body', { name: 'Camera body', minTemperatureC: 0, maxTemperatureC: 40 });
    expect(against(scene)).toEqual([]);
    scene.set('places', 'mill', { temperatureC: 44 });
    expect(against(scene)).toEqual(['kit-climate.mill.camera']);
    scene.set('setups', '1b', { place: 'yard' });
    expect(against(scene, '1b')).toEqual([]);
  });

  test('a camera set down unattended stands against the setup that needs it (common practice, no source)', () => {
    const scene = readyScene();
    scene.set('kit', 'camera.body', { name: 'Camera body', neededBy: '1a' });
    const event = { item: 'camera.body', what: 'setDown', attended: false, signedBy: 'p1', at: at(10) };
    scene.set('custody', 'body.1', { event });
    expect(against(scene)).toEqual(['custody-unattended.camera.body']);
    expect(against(scene, '1b')).toEqual([]);
  });

  test('a card that was wiped too early stands against every setup that would be recorded on it', () => {
    const scene = readyScene();
    scene.set('setups', '1c', { label: '1C' });
    scene.set('takes', '1c.1', { rolledAt: at(10), cutAt: at(11), cards: ['c1'] });
    scene.set('cards', 'c1', { preparedAt: [at(-60), at(20)] });
    expect(against(scene)).toEqual(['media-card-wiped.c1']);
    scene.set('cameras', 'A', { card: 'c2' });
    expect(against(scene)).toEqual([]);
  });

  test('advice that can wait does not stand against it, and what the director accepted does not', () => {
    const scene = readyScene();
    scene.set('picture', '1a.A', { ndDensity: 1.8, keyLux: 16_000 });
    expect(scene.open()).toContain('exposure-nd-tint.1a.A');
    expect(against(scene)).toEqual([]);
    scene.set('picture', '1a.A', { autoFunctions: ['focus'] });
    const finding = scene.finding('camera-automatic.1a.A');
    if (!finding) throw new Error('no finding');
    expect(against(scene)).toEqual([finding.id]);
    scene.apply(acceptChanges(scene.reader, finding, 'p1', 'follows the runner', 1));
    expect(against(scene)).toEqual([]);
  });

  test('it says who mends what: findings computed, fields to enter, checks to tick', () => {
    const scene = readyScene();
    scene.set('picture', '1a.A', { autoFunctions: ['exposure'], timecodeRate: null });
    scene.set('inputs', '1a.R1.1', { phantom: 'off' });
    scene.set('checks', '1a.sound.phones', { title: 'Listened on headphones' });
    scene.set('checks', '1a.camera.legs', { title: 'Legs locked', doneBy: 'p1', doneAt: at(7) });
    const { ready, by } = readinessOf(scene);
    expect(ready).toBe(false);
    expect(by.director).toEqual([]);
    expect(by.camera).toEqual([
      expect.objectContaining({ kind: 'finding', id: 'camera-automatic.1a.A' }),
      {
        kind: 'unknown',
        department: 'camera',
        missing: [{ table: 'picture', record: '1a.A', field: 'timecodeRate' }],
      },
    ]);
    expect(by.sound).toEqual([
      expect.objectContaining({ kind: 'finding', id: 'sound-phantom-missing.1a.R1.1' }),
      { kind: 'check', department: 'sound', record: '1a.sound.phones', title: 'Listened on headphones' },
    ]);
  });

  test('what is wrong with another setup does not stand against this one', () => {
    const scene = readyScene();
    scene.set('picture', '1b.A', { aperture: 2.8, autoFunctions: ['gain'] });
    expect(readinessOf(scene, '1b').ready).toBe(false);
    expect(readinessOf(scene).ready).toBe(true);
  });
});
