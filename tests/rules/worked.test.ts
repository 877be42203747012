import { describe, expect, test } from 'vitest';
import { agreeingScene, type Scene } from './scene.ts';

/**
 * Scenes worked by hand. What the settings ask of the key light is ISO 2720:1974, incident form:
 *
 *   E = N² C / (t S) · 10^D, with C = 250 lx s ISO, and the offset is log2(E read / E asked).
 */

function offsetOf(scene: Scene): number {
  const finding = scene.finding('exposure-offset.1b.A');
  if (!finding) throw new Error('the exposures agree');
  return finding.measured.value;
}

function withOwn(
  values: Readonly<Record<string, number | { seconds: number } | { angleDeg: number }>>,
): Scene {
  const scene = agreeingScene();
  scene.set('picture', '1b.A', values);
  return scene;
}

describe('exposure by hand', () => {
  test('f/4, 180° at 25 frames/s, ISO 800, ND 0.6 asks for 995 lx: a key of 1000 lx is right to a hundredth', () => {
    // t = 180 / 360 / 25 = 0.02 s; 16 · 250 / (0.02 · 800) · 10^0.6 = 250 · 3.98107 = 995.27 lx; log2(1000 / 995.27) = 0.0068
    const scene = agreeingScene();
    // A reference at exactly what is asked stands 0.0068 stop from it, far inside any tolerance.
    scene.set('picture', '1a.A', { keyLux: 995.27 });
    expect(scene.open()).toEqual([]);
    scene.set('shoot', 'shoot', { exposureToleranceStops: 0.05 });
    expect(scene.open()).toEqual([]);
  });

  test('f/4 to f/2.8 at the same light is one break of one stop, and nothing else', () => {
    // 2.8 on the ring is 2^1.5 = 2.8284: 2 log2(4 / 2.8284) = 1 exactly (by the rounded mark it would be 1.029).
    const scene = withOwn({ aperture: 2.8 });
    expect(scene.open()).toEqual(['exposure-offset.1b.A']);
    expect(offsetOf(scene)).toBeCloseTo(1, 12);
  });

  test('f/4 to f/8 is two stops less light and more depth (common practice, no source)', () => {
    const dark = withOwn({ aperture: 8 });
    expect(offsetOf(dark)).toBeCloseTo(-2, 12);
    const lit = withOwn({ aperture: 8, keyLux: 4000 });
    expect(lit.open()).toEqual(['depth-aperture.1b.A']);
    expect(lit.finding('depth-aperture.1b.A')?.measured).toMatchObject({
      value: 2,
      text: '2.0 stops closed',
    });
  });

  test('1/50 to 1/25 s at 25 frames/s is a stop more and twice the blur (common practice, no source)', () => {
    const scene = withOwn({ shutter: { seconds: 1 / 25 } });
    expect(scene.open()).toEqual(['exposure-offset.1b.A', 'motion-angle.1b.A']);
    expect(offsetOf(scene)).toBeCloseTo(1, 12);
    expect(scene.finding('motion-angle.1b.A')?.message).toContain('twice as much');
  });

  test('three changes that undo each other are no break: f/2.8, ISO 400, and the light as it was', () => {
    // +1 stop of aperture, −1 stop of sensitivity
    expect(withOwn({ aperture: 2.8, iso: 400 }).open()).toEqual(['depth-aperture.1b.A']);
  });

  test('a cloud: the key falls from 1000 to 350 lx, and f/4 is opened to f/2.5 for it', () => {
    // log2(350 / 1000) = −1.515; f/2.5 is 2^(4/3) = 2.5198, 2 log2(4 / 2.5198) = +1.333: together −0.181, inside 0.3
    const scene = withOwn({ keyLux: 350, aperture: 2.5 });
    expect(scene.open()).toEqual(['depth-aperture.1b.A']);
    // The sun is back, and nobody closed the lens: +1.333 stops.
    scene.set('picture', '1b.A', { keyLux: 1000 });
    expect(offsetOf(scene)).toBeCloseTo(4 / 3, 9);
    expect(scene.finding('exposure-offset.1b.A')?.remedies[0]?.label).toBe('f/2.5 → f/4');
  });

  test('a shutter left over from a high-speed shot: 1/200 s at 25 frames/s is two stops down and a quarter of the blur', () => {
    // log2((1 / 200) / (1 / 50)) = −2; 360 · 25 / 200 = 45°
    const scene = withOwn({ shutter: { seconds: 1 / 200 } });
    expect(offsetOf(scene)).toBeCloseTo(-2, 9);
    const [first] = scene.finding('exposure-offset.1b.A')?.remedies ?? [];
    expect(first?.label).toBe('1/200 s → 1/50 s');
    scene.apply(first?.changes ?? []);
    expect(scene.open()).toEqual([]);
  });

  test('gain raised where a filter should have come off: exposures agree, so the board has nothing to say of brightness', () => {
    // ND 0.3 more is −0.9966, ISO doubled is +1
    expect(withOwn({ ndDensity: 0.9, iso: 1600 }).open()).toEqual([]);
  });

  test('a planned high speed at 100 frames/s and 180° needs two stops more, and is no break of motion', () => {
    // t = 0.5 / 100 = 0.005 s: −2 stops; ND 0.6 off is +1.9932
    const scene = withOwn({ ndDensity: 0 });
    scene.set('picture', '1b.A', { frameRate: '100', plannedSpeed: 'high' });
    expect(scene.open()).toEqual([]);
  });
});

describe('who is matched to whom', () => {
  test('the first in story order, until the group names another', () => {
    const scene = agreeingScene();
    scene.set('setups', '1c', { label: '1C', storyOrder: 3, matchGroup: 'kitchen' });
    scene.set('picture', '1c.A', { ...scene.reader.view('picture', '1a.A'), frameRate: '25', aperture: 2.8 });
    expect(scene.open()).toEqual(['exposure-offset.1c.A']);
    scene.set('setups', '1a', { reference: '1c' });
    scene.set('setups', '1b', { reference: '1c' });
    expect(scene.open()).toEqual(['exposure-offset.1a.A', 'exposure-offset.1b.A']);
  });

  test('each camera against itself on the reference', () => {
    const scene = agreeingScene();
    scene.set('cameras', 'B', { name: 'B camera' });
    const standard = {
      shutter: { angleDeg: 180 },
      iso: 800,
      ndDensity: 0.3,
      keyLux: 1000,
      sampleRateHz: 48_000,
    };
    scene.set('picture', '1a.B', { ...standard, aperture: 5.6, whiteBalanceK: 5600 });
    scene.set('picture', '1b.B', { ...standard, aperture: 5.6, whiteBalanceK: 5600 });
    expect(scene.open()).toEqual([]);
    scene.set('picture', '1b.B', { aperture: 4 });
    expect(scene.open()).toEqual(['exposure-offset.1b.B']);
  });
});
