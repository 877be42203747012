import { type Finding, type Remedy, ruleCatalogue, severityRank } from '@plumbline/shared/rules';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PATIENCE_MS, size } from '../soak/size.ts';
import { anyBoard, SEED, type TestEdit } from './edits.ts';
import { agreeingScene, emptyScene, type Scene } from './scene.ts';
import { truthTables } from './truth/all.ts';
import { sceneOf as sceneGiven } from './truth/table.ts';

/** Mended with what else is at hand, which their tables have not: each has a test by hand below. */
const BY_HAND = ['sound-channel-order', 'media-recorder-card-short', 'power-recorder-short'];

function sceneOf(edits: readonly TestEdit[]): Scene {
  const scene = emptyScene();
  scene.apply(edits);
  return scene;
}

function openOf(scene: Scene): Finding[] {
  return scene.findings().filter(({ accepted }) => accepted === null);
}

function labels(finding: Finding | undefined): string[] {
  return finding?.remedies.map(({ label }) => label) ?? [];
}

function remedy(finding: Finding | undefined, id: string): Remedy {
  const found = finding?.remedies.find((one) => one.id === id);
  if (!found) throw new Error(`no remedy ${id} among ${finding?.remedies.map((one) => one.id).join(', ')}`);
  return found;
}

describe('what is offered mends', () => {
  test(
    `a remedy applied removes its finding and brings none as grave (seed ${SEED})`,
    () => {
      fc.assert(
        fc.property(anyBoard, (edits) => {
          const scene = sceneOf(edits);
          const before = openOf(scene);
          const stood = new Set(before.map(({ id }) => id));
          for (const finding of before) {
            for (const { changes, cost } of finding.remedies) {
              expect(cost).toBeGreaterThan(0);
              // Something that must be done with the hands: there is nothing to write.
              if (changes.length === 0) continue;
              const mended = sceneOf(edits);
              mended.apply(changes);
              const after = openOf(mended);
              expect(after.map(({ id }) => id)).not.toContain(finding.id);
              const come = after.filter(({ id }) => !stood.has(id));
              const grave = come.filter(
                ({ severity }) => severityRank(severity) <= severityRank(finding.severity),
              );
              expect(grave.map(({ id }) => id)).toEqual([]);
            }
          }
        }),
        { seed: SEED, numRuns: size(400, 6) },
      );
    },
    PATIENCE_MS,
  );

  test('every rule offers something on its truth table, and the best of it mends', () => {
    const offered = new Set<string>(BY_HAND);
    for (const { id } of ruleCatalogue) {
      for (const { given } of truthTables[id]?.fires ?? []) {
        const scene = sceneGiven(given);
        const finding = scene.findings().find(({ rule }) => rule === id);
        const first = finding?.remedies[0];
        if (!finding || !first) continue;
        offered.add(id);
        if (first.changes.length === 0) continue;
        scene.apply(first.changes);
        expect(scene.open()).not.toContain(finding.id);
      }
    }
    expect([...offered].sort()).toEqual(ruleCatalogue.map(({ id }) => id).sort());
  });

  test('the best comes first, no two are the same, and there are at most six', () => {
    fc.assert(
      fc.property(anyBoard, (edits) => {
        for (const { remedies, severity } of openOf(sceneOf(edits))) {
          expect(severity).toBeTruthy();
          const costs = remedies.map(({ cost }) => cost);
          expect(costs).toEqual([...costs].sort((a, b) => a - b));
          expect(new Set(remedies.map(({ id }) => id)).size).toBe(remedies.length);
          expect(remedies.length).toBeLessThanOrEqual(6);
        }
      }),
      { seed: SEED, numRuns: size(60, 6) },
    );
  });
});

describe('a stop too bright at f/2.8 where the reference has f/4', () => {
  function opened(values: Readonly<Record<string, number>> = {}): Scene {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8, ...values });
    return scene;
  }

  test('put back, filtered, or lit less', () => {
    expect(labels(opened().finding('exposure-offset.1b.A'))).toEqual([
      'f/2.8 → f/4',
      'ND 0.6 → 0.9',
      'Take 1.0 stop of light off the key, and meter again',
    ]);
  });

  test('a filter keeps the aperture, and says that the depth still differs', () => {
    const { changes, sideEffects, by } = remedy(opened().finding('exposure-offset.1b.A'), 'ndDensity:0.9');
    expect(changes).toEqual([{ table: 'picture', record: '1b.A', field: 'ndDensity', value: 0.9 }]);
    expect(by).toBe('camera');
    expect(sideEffects).toEqual([
      {
        what: 'depth',
        text: 'leaves a remark: Setup 1B, camera A, is opened wider than 1A by 1.0 stop: f/2.8 against f/4.',
      },
    ]);
  });

  test('closing down tells the depth of field in metres where lens, focus and sensor are known', () => {
    // 50 mm at 3 m, 24 × 13.5 mm sensor: c = √(24² + 13.5²) / 1500 = 0.018358 mm. With f = 50 and H = f² / (N c) + f:
    // at f/2.8 (2.8284): H = 48 197 mm, near = 3000 (H − 50) / (H + 2900) = 2826.9, far = 3000 (H − 50) / (H − 3000) = 3195.7: 0.37 m
    // at f/4: H = 34 095 mm, near = 3000 · 34 045 / 36 995 = 2760.8, far = 3000 · 34 045 / 31 095 = 3284.6: 0.52 m
    const finding = opened({ focalLengthMm: 50, focusDistanceM: 3 }).finding('exposure-offset.1b.A');
    expect(remedy(finding, 'aperture:4').sideEffects).toEqual([
      { what: 'depth', text: 'depth of field grows from 0.37 m to 0.52 m' },
    ]);
  });

  test('without lens data it tells the stops of aperture', () => {
    expect(remedy(opened().finding('exposure-offset.1b.A'), 'aperture:4').sideEffects).toEqual([
      { what: 'depth', text: 'depth of field grows: the aperture closes by 1.0 stop' },
    ]);
  });

  test('only filters that the camera has, alone or as a stack of two', () => {
    const scene = opened();
    scene.set('cameras', 'A', { ndAvailable: [0.3, 0.6] });
    expect(labels(scene.finding('exposure-offset.1b.A'))).toContain('ND 0.6 → 0.9 (0.3 + 0.6)');
    scene.set('cameras', 'A', { ndAvailable: [0.6, 1.8] });
    expect(labels(scene.finding('exposure-offset.1b.A')).filter((label) => label.startsWith('ND'))).toEqual(
      [],
    );
  });

  test('where nobody entered the filters, a usual one is offered with a doubt', () => {
    const scene = opened();
    scene.set('cameras', 'A', { ndAvailable: null });
    expect(labels(scene.finding('exposure-offset.1b.A'))).toContain('ND 0.6 → 0.9, if there is one');
  });

  test('less gain only down to the base, more only up to the highest', () => {
    const scene = opened();
    const isos = () =>
      labels(scene.finding('exposure-offset.1b.A')).filter((label) => label.startsWith('ISO'));
    expect(isos()).toEqual([]);
    scene.set('cameras', 'A', { baseIso: 400 });
    expect(isos()).toEqual(['ISO 800 → 400']);

    const dark = agreeingScene();
    dark.set('picture', '1b.A', { aperture: 5.6 });
    expect(labels(dark.finding('exposure-offset.1b.A'))).toContain('ISO 800 → 1600');
    dark.set('cameras', 'A', { maxIso: 1250 });
    expect(labels(dark.finding('exposure-offset.1b.A')).some((label) => label.startsWith('ISO'))).toBe(false);
  });

  test('more gain says how much more noise', () => {
    const dark = agreeingScene();
    dark.set('picture', '1b.A', { aperture: 5.6 });
    // One stop is 20 log10 2 = 6.02 dB.
    expect(remedy(dark.finding('exposure-offset.1b.A'), 'iso:1600').sideEffects).toContainEqual({
      what: 'noise',
      text: 'noise rises by 1.0 stop (6 dB)',
    });
  });

  test('a camera set in dB gets dB', () => {
    const scene = agreeingScene();
    scene.set('cameras', 'A', { gainConvention: 'gain' });
    scene.set('picture', '1a.A', { iso: null, gainDb: 6 });
    scene.set('picture', '1b.A', { iso: null, gainDb: 6, aperture: 5.6, ndDensity: 0.6 });
    expect(labels(scene.finding('exposure-offset.1b.A'))).toContain('gain 6 dB → 12 dB');
  });

  test('asking for light writes nothing and tells what to meter, fill included', () => {
    const scene = opened({ fillLux: 250 });
    const light = remedy(scene.finding('exposure-offset.1b.A'), 'light:-1.0');
    expect(light.changes).toEqual([]);
    expect(light.sideEffects[0]).toEqual({
      what: 'light',
      text: 'the key goes from 1000 lx to 500 lx, the fill from 250 lx to 125 lx to keep their ratio',
    });
  });
});

describe('remedies of other findings', () => {
  test('a shutter left open goes back first: it mends blur and brightness in one', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { shutter: { seconds: 1 / 25 } });
    expect(scene.open()).toEqual(['exposure-offset.1b.A', 'motion-angle.1b.A']);
    expect(labels(scene.finding('exposure-offset.1b.A'))[0]).toBe('1/25 s → 1/50 s');
    expect(labels(scene.finding('motion-angle.1b.A'))[0]).toBe('1/25 s → 1/50 s');
  });

  test('blur that differs while exposures agree is mended with what makes up for the light', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { shutter: { angleDeg: 90 }, ndDensity: 0.3 });
    expect(scene.open()).toEqual(['motion-angle.1b.A']);
    expect(labels(scene.finding('motion-angle.1b.A'))[0]).toBe('90° → 180°, ND 0.3 → 0.6');
  });

  test('a time longer than the frame goes to one that does not flicker under the mains', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { shutter: { seconds: 1 / 20 } });
    const offered = labels(scene.finding('motion-over-frame.1b.A'));
    expect(offered.every((label) => /1\/20 s → 1\/(25|50) s/.test(label))).toBe(true);
    expect(offered.length).toBeGreaterThan(0);
  });

  test('a capture rate goes to the shoot’s, or is called planned last', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { frameRate: '50', ndDensity: 0.3 });
    const offered = labels(scene.finding('motion-rate.1b.A'));
    expect(offered[0]).toMatch(/^50 → 25 frames\/s/);
    expect(offered.at(-1)).toBe('Call it planned: high speed');
  });

  test('white balance goes to the reference’s', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { whiteBalanceK: 3200 });
    expect(labels(scene.finding('colour-white-balance.1b.A'))).toEqual(['camera A: 3200 K → 5600 K']);
  });

  test('a second source moves to the first free channel, and the move is one edit', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1b.R1.1', { source: 'Boom', secondSource: 'Lapel 1' });
    scene.set('inputs', '1b.R1.2', { source: 'Lapel 2' });
    const finding = scene.finding('sound-two-sources.1b.R1.1');
    expect(labels(finding)).toEqual([
      'Lapel 1: channel 1 → 3',
      'Lapel 1: channel 1 → 4',
      'Take Lapel 1 off channel 1',
    ]);
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.open()).toEqual([]);
    expect(scene.reader.view('inputs', '1b.R1.3')).toEqual({ source: 'Lapel 1', state: 'open' });
    expect(scene.reader.view('inputs', '1b.R1.1')).toEqual({ source: 'Boom' });
  });

  test('a move that brings a remark says so: the source was on another channel already', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1b.R1.1', { source: 'Lapel', secondSource: 'Boom' });
    scene.set('inputs', '1b.R1.2', { source: 'Boom' });
    const move = remedy(scene.finding('sound-two-sources.1b.R1.1'), 'move:3');
    expect(move.sideEffects).toEqual([
      {
        what: 'sound',
        text: 'leaves a remark: Setup 1B: Boom is on channel 2 and on channel 3, and neither is marked as the safety copy.',
      },
    ]);
  });

  test('nothing is offered after which nobody could tell whether it helped', () => {
    const scene = agreeingScene();
    // With a filter on the one and none entered on the other, the exposures could no longer be compared.
    scene.set('picture', '1a.A', { ndDensity: null });
    scene.set('picture', '1b.A', { ndDensity: null, aperture: 2.8 });
    const offered = labels(scene.finding('exposure-offset.1b.A'));
    expect(offered.length).toBeGreaterThan(0);
    expect(offered.some((label) => label.includes('ND'))).toBe(false);
  });

  test('a flag that its department has not answered is not mended by a channel called in order', () => {
    const scene = agreeingScene();
    scene.set('inputs', '1b.R1.2', { source: 'Lapel', state: 'flagged' });
    expect(labels(scene.finding('sound-flagged-open.1b.R1.2'))).toEqual([
      'Mended and listened to: channel 2 is in order',
      'Close channel 2',
    ]);
    scene.set('flags', 'f1', { about: 'inputs/1b.R1.2', what: 'hum', severity: 'mend', department: 'sound' });
    expect(labels(scene.finding('sound-flagged-open.1b.R1.2'))).toEqual(['Close channel 2']);
  });
});

describe('remedies of what is not a setting of one camera', () => {
  test('changed channels are changed back in one edit, with all that is set on them and what copies them', () => {
    const scene = agreeingScene();
    scene.set('setups', '1a', { scene: 's1' });
    scene.set('setups', '1b', { scene: 's1' });
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('inputs', '1a.R1.2', { source: 'Lapel' });
    scene.set('inputs', '1b.R1.1', { source: 'Lapel', carrierMHz: 606.5, connector: 'radio' });
    scene.set('inputs', '1b.R1.2', { source: 'Boom', phantom: 'p48' });
    scene.set('inputs', '1b.R1.3', { source: 'Boom', safetyOf: 2 });
    const finding = scene.finding('sound-channel-order.1b.R1');
    expect(labels(finding)).toEqual(['Back: Lapel to 2, Boom to 1']);
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.open()).toEqual([]);
    expect(scene.reader.view('inputs', '1b.R1.1')).toEqual({ source: 'Boom', phantom: 'p48' });
    expect(scene.reader.view('inputs', '1b.R1.2')).toEqual({
      source: 'Lapel',
      carrierMHz: 606.5,
      connector: 'radio',
    });
    expect(scene.reader.value('inputs', '1b.R1.3', 'safetyOf')).toBe(1);
  });

  test('a source is not moved onto a channel that another has taken', () => {
    const scene = agreeingScene();
    scene.set('setups', '1a', { scene: 's1' });
    scene.set('setups', '1b', { scene: 's1' });
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('inputs', '1b.R1.1', { source: 'Desk' });
    scene.set('inputs', '1b.R1.2', { source: 'Boom' });
    expect(scene.finding('sound-channel-order.1b.R1')?.remedies).toEqual([]);
  });

  test('a shutter that flickers goes to the nearest time that does not, with the light made up for', () => {
    const scene = agreeingScene();
    scene.set('shoot', 'shoot', { mainsHz: '60' });
    scene.set('setups', '1b', { lightsK: 3200, matchGroup: null });
    const finding = scene.finding('motion-flicker.1b.A');
    // 60 Hz at 25 frames/s: 1/120, 2/120, 3/120 and 4/120 s; nearest to 1/50 s are 1/60 and 1/40 s: 150° and 225°.
    expect(labels(finding).slice(0, 2)).toEqual(['180° → 150°', '180° → 225°']);
    expect(remedy(finding, 'shutter:{"angleDeg":150}').sideEffects).toEqual([
      { what: 'exposure', text: 'the picture gets 0.3 stop darker' },
    ]);
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.open().filter((id) => id.startsWith('motion-flicker'))).toEqual([]);
  });

  test('in a match group the blur goes on agreeing: everything that cuts together is changed at once', () => {
    const scene = agreeingScene();
    scene.set('shoot', 'shoot', { mainsHz: '60' });
    scene.set('setups', '1a', { lightsK: 5600 });
    scene.set('setups', '1b', { lightsK: 3200 });
    const finding = scene.finding('motion-flicker.1b.A');
    expect(labels(finding)[0]).toBe('180° → 150°, here and on 1 setup that cut with it');
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.open().filter((id) => id.startsWith('motion-'))).toEqual([]);
  });

  test('a carrier moves to the nearest that nothing falls on', () => {
    const scene = agreeingScene();
    for (const [index, carrierMHz] of [604, 612.5, 621].entries()) {
      scene.set('inputs', `1b.R1.${index + 1}`, { source: `Lapel ${index + 1}`, carrierMHz });
    }
    const finding = scene.finding('sound-carrier-products.1b');
    // The nearest carrier for the first is just beyond 100 kHz, in steps of 25.
    expect(labels(finding)[0]).toBe('Lapel 1: 604 → 604.125 MHz, if the licence allows it');
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.open()).toEqual([]);
  });

  test('the smallest free card and battery that last are offered, and full ones and those in use are not', () => {
    const scene = agreeingScene();
    scene.set('setups', '1a', { state: 'inWork', takeMinutes: 20 });
    scene.set('picture', '1a.A', { bitRateMbps: 120 });
    scene.set('cameras', 'A', { card: 'c1', battery: 'v1', powerDrawW: 20 });
    scene.set('recorders', 'R1', { card: 'c4' });
    const cards = { c1: 16, c2: 256, c3: 64, c4: 64, c5: 8, c6: 512 };
    for (const [card, capacityGB] of Object.entries(cards)) {
      scene.set('cards', card, { capacityGB, state: card === 'c6' ? 'full' : 'blank' });
    }
    expect(labels(scene.finding('media-card-short.1a.A'))).toEqual([
      'Card c3 into camera A',
      'Card c2 into camera A',
    ]);
    scene.set('batteries', 'v1', { energyWh: 98, chargePercent: 5 });
    scene.set('batteries', 'v2', { energyWh: 98, chargePercent: 80 });
    scene.set('batteries', 'v3', { energyWh: 98, chargePercent: 10 });
    expect(labels(scene.finding('power-battery-short.1a.A'))).toEqual([
      'Battery v3 (10 %) into camera A',
      'Battery v2 (80 %) into camera A',
    ]);
  });

  test('a recorder gets the smallest free card and battery that last, and those in the cameras stay there', () => {
    const scene = agreeingScene();
    scene.set('setups', '1a', { state: 'inWork', takeMinutes: 60 });
    scene.set('inputs', '1a.R1.1', { source: 'Boom' });
    scene.set('cameras', 'A', { card: 'c2', battery: 'v2' });
    scene.set('recorders', 'R1', { bitDepth: 24, card: 'c1', battery: 'v1', powerDrawW: 10 });
    const cards = { c1: 0.1, c2: 8, c3: 32, c4: 4, c5: 0.2, c6: 8 };
    for (const [card, capacityGB] of Object.entries(cards)) {
      scene.set('cards', card, { capacityGB, state: card === 'c6' ? 'full' : 'blank' });
    }
    for (const [battery, chargePercent] of Object.entries({ v1: 5, v2: 100, v3: 90, v4: 10 })) {
      scene.set('batteries', battery, { energyWh: 50, chargePercent });
    }
    const card = scene.finding('media-recorder-card-short.1a.R1');
    expect(labels(card)).toEqual(['Card c4 into recorder R1', 'Card c3 into recorder R1']);
    const power = scene.finding('power-recorder-short.1a.R1');
    expect(labels(power)).toEqual(['Battery v3 (90 %) into recorder R1']);
    scene.apply([...(card?.remedies[0]?.changes ?? []), ...(power?.remedies[0]?.changes ?? [])]);
    expect(scene.open()).toEqual([]);
  });

  test('timecode is set as the shoot’s, drop-frame and all', () => {
    const scene = agreeingScene();
    scene.set('shoot', 'shoot', { frameRate: '29.97', dropFrame: true });
    scene.set('recorders', 'R1', { timecodeRate: '25', dropFrame: false });
    const finding = scene.finding('timecode-recorder.R1');
    expect(labels(finding)).toEqual(['Count timecode at 29.97 drop-frame']);
    scene.apply(finding?.remedies[0]?.changes ?? []);
    expect(scene.finding('timecode-recorder.R1')).toBeUndefined();
  });
});

describe('where nothing mends it', () => {
  test('the message says so', () => {
    const scene = agreeingScene();
    // One filter, one sensitivity, and a longer time would smear: to close the lens would cost the exposure.
    scene.set('cameras', 'A', { baseIso: 800, maxIso: 800, ndAvailable: [0.9] });
    scene.set('picture', '1b.A', { aperture: 2.8, ndDensity: 0.9, keyLux: 1000 });
    scene.set('picture', '1a.A', { aperture: 5.6, ndDensity: 0.3, keyLux: 1000 });
    expect(scene.open()).toEqual(['depth-aperture.1b.A']);
    const finding = scene.finding('depth-aperture.1b.A');
    expect(finding?.remedies).toEqual([]);
    expect(finding?.message).toBe(
      'Setup 1B, camera A, is opened wider than 1A by 2.0 stops: f/2.8 against f/5.6. Nothing at hand mends it.',
    );
  });

  test('a setup that is shot keeps what it was set to', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('setups', '1b', { state: 'complete' });
    const finding = scene.finding('exposure-offset.1b.A');
    expect(finding?.remedies).toEqual([]);
    expect(finding?.message).toBe(
      'Setup 1B, camera A, comes out 1.0 stop brighter than 1A, at f/2.8 against f/4. It is shot: what is to be cut with it can still be matched to it.',
    );
  });
});
