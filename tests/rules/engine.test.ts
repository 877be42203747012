import { createFindings, evaluate, type Finding, ruleCatalogue, type Unknown } from '@plumbline/shared/rules';
import { effect } from '@preact/signals-core';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { PATIENCE_MS, size } from '../soak/size.ts';
import { anyBoard, anyEdit, SEED } from './edits.ts';
import { agreeingScene, emptyScene, type Scene, STANDARD_PICTURE } from './scene.ts';

/** Edits one after the other. */
const EDITS = size(100_000, 2_000);

/** Everything a finding says, remedies and message too. */
function whole(findings: readonly Finding[]): unknown {
  return JSON.parse(JSON.stringify(findings));
}

function unknownText({ rule, setup, missing }: Unknown): string {
  return `${rule} ${setup} ${missing.map(({ table, record, field }) => `${table}/${record}/${field}`).join(' ')}`;
}

/** Findings that follow a scene, with the runs of rules counted. */
function following(scene: Scene) {
  const runs: string[] = [];
  const findings = createFindings(scene.live, (rule, instance) => runs.push(`${rule} ${instance}`));
  return {
    findings,
    /** The runs since it was last asked. */
    runs: () => runs.splice(0).sort(),
  };
}

describe('the findings follow the board', () => {
  test(`after any edits in any order they are what judging from scratch gives, remedies and all (seed ${SEED})`, () => {
    fc.assert(
      fc.property(fc.array(anyEdit, { minLength: 1, maxLength: 120 }), (edits) => {
        const scene = emptyScene();
        const { findings } = following(scene);
        for (const [index, edit] of edits.entries()) {
          scene.apply([edit]);
          if (index % 40 === 39) expect(whole(findings.all.value)).toEqual(whole(scene.findings()));
        }
        const scratch = evaluate(scene.reader);
        expect(whole(findings.all.value)).toEqual(whole(scratch.findings));
        const setups = scene.reader.records('setups');
        const unknowns = setups.flatMap((setup) => findings.unknownsOf(setup)).map(unknownText);
        const expected = scratch.unknowns.filter(({ setup }) => setup !== null).map(unknownText);
        expect(unknowns.sort()).toEqual(expected.sort());
        findings.dispose();
      }),
      { seed: SEED, numRuns: 60 },
    );
  });

  test(`a whole board changed at once comes to the same, and so does the order of the changes (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyBoard, fc.infiniteStream(fc.nat()), (edits, order) => {
        const scene = emptyScene();
        const { findings } = following(scene);
        scene.apply(edits);
        const shuffled = edits
          .map((edit) => ({ edit, place: order.next().value ?? 0 }))
          .sort((a, b) => a.place - b.place);
        const other = emptyScene();
        for (const { edit } of shuffled) other.apply([edit]);
        expect(whole(findings.all.value)).toEqual(whole(other.findings()));
        findings.dispose();
      }),
      { seed: SEED, numRuns: 25 },
    );
  });

  test(
    `${EDITS} edits one after the other leave nothing behind (seed ${SEED})`,
    () => {
      const seen = new Set<string>();
      const edits = fc.sample(anyEdit, { seed: SEED, numRuns: EDITS });
      const scene = emptyScene();
      const { findings } = following(scene);
      for (const [index, edit] of edits.entries()) {
        scene.apply([edit]);
        for (const { rule } of findings.all.value) seen.add(rule);
        if (index % 500 === 0) {
          expect(findings.all.value.map(({ id }) => id)).toEqual(scene.findings().map(({ id }) => id));
        }
      }
      expect(whole(findings.all.value)).toEqual(whole(scene.findings()));
      findings.dispose();
      // Most rules had their turn, or the comparison says little; the others have theirs on whole boards, above.
      expect(seen.size).toBeGreaterThan(ruleCatalogue.length / 2);
    },
    PATIENCE_MS,
  );

  test('each record tells what lies on it, and hears of it alone', () => {
    const scene = agreeingScene();
    const { findings } = following(scene);
    const heard: string[][] = [];
    const stop = effect(() => {
      heard.push(findings.of('picture', '1b.A').map(({ id }) => id));
    });
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('recorders', 'R1', { sampleRateHz: 96_000 });
    scene.set('picture', '1b.A', { aperture: 4 });
    expect(heard).toEqual([[], ['exposure-offset.1b.A'], []]);
    stop();
    findings.dispose();
  });

  test('what would mend a finding follows what the camera has, though the finding does not change', () => {
    const scene = agreeingScene();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    const { findings } = following(scene);
    const nd = () => findings.all.value[0]?.remedies.filter(({ id }) => id.startsWith('ndDensity')).length;
    const before = findings.all.value[0];
    expect(nd()).toBe(1);
    scene.set('cameras', 'A', { ndAvailable: [0.6] });
    expect(nd()).toBe(0);
    expect(findings.all.value[0]).toBe(before);
    findings.dispose();
  });
});

describe('one change runs only the rules of the scopes that it touches', () => {
  function wideScene(): Scene {
    const scene = agreeingScene();
    scene.set('cameras', 'B', { name: 'B camera' });
    for (let n = 1; n <= 20; n += 1) {
      scene.set('setups', `w${n}`, { label: `W${n}`, storyOrder: 10 + n, matchGroup: `wide${n % 5}` });
      scene.set('picture', `w${n}.A`, { ...STANDARD_PICTURE });
      scene.set('inputs', `w${n}.R1.1`, { source: 'Boom' });
    }
    return scene;
  }
  const about = (scope: string) => ruleCatalogue.filter((rule) => rule.scope === scope).map(({ id }) => id);
  const PICTURE = about('each camera of each setup');
  const MATCH = about('each camera of each setup, against the reference setup of its match group');
  const CHANNELS = about('the sound channels of each setup');
  const on = (rules: readonly string[], instance: string) => rules.map((rule) => `${rule} ${instance}`);

  test('a setting of one camera: that camera’s rules on that setup', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    runs();
    scene.set('picture', 'w7.A', { aperture: 5.6 });
    expect(runs()).toEqual([...on(MATCH, 'w7.A'), ...on(PICTURE, 'w7.A')].sort());
    findings.dispose();
  });

  test('a setting on a reference setup: also the setups that are matched to it, and no others', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    runs();
    scene.set('picture', 'w1.A', { aperture: 5.6 });
    const matched = ['w6.A', 'w11.A', 'w16.A'].flatMap((id) => on(MATCH, id));
    expect(runs()).toEqual([...on(PICTURE, 'w1.A'), ...matched].sort());
    findings.dispose();
  });

  test('a channel: that setup’s channels', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    runs();
    scene.set('inputs', 'w3.R1.1', { levelDbfs: -18 });
    expect(runs()).toEqual(on(CHANNELS, 'w3').sort());
    findings.dispose();
  });

  test('a flag: the channels that it is about', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    runs();
    scene.set('flags', 'f1', { about: 'inputs/w3.R1.1', what: 'hum', severity: 'mend' });
    expect(new Set(runs())).toEqual(new Set(on(CHANNELS, 'w3')));
    findings.dispose();
  });

  test('an event of an item: that item, and no setup', () => {
    const scene = wideScene();
    scene.set('kit', 'camera.legs', { name: 'Legs' });
    scene.set('kit', 'sound.boom', { name: 'Boom' });
    const { findings, runs } = following(scene);
    runs();
    const event = { item: 'camera.legs', what: 'signOut', signedBy: 'p1', at: 1 };
    scene.set('custody', 'e.1', { event });
    expect(new Set(runs())).toEqual(new Set(on(about('each item of the kit'), 'camera.legs')));
    findings.dispose();
  });

  test('a take on a card: that card, and the setup that was rolled', () => {
    const scene = wideScene();
    scene.set('cards', 'c1', { name: 'A-01', capacityGB: 64, preparedAt: [1] });
    scene.set('cards', 'c2', { name: 'A-02', capacityGB: 64, preparedAt: [1] });
    const { findings, runs } = following(scene);
    runs();
    scene.set('takes', 'w3.1', { rolledAt: 5, cutAt: 9, cards: ['c1'] });
    const instances = new Set(runs().map((run) => run.split(' ')[1]));
    expect([...instances].sort()).toEqual(['c1', 'w3', 'w3.A']);
    findings.dispose();
  });

  test('what no rule reads: none', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    runs();
    scene.set('crew', 'ada', { name: 'Ada' });
    scene.set('days', '2027-05-14', { call: '06:45' });
    expect(runs()).toEqual([]);
    findings.dispose();
  });

  test('the number of runs does not grow with the board', () => {
    const counts = [1, 10, 40].map((times) => {
      const scene = agreeingScene();
      for (let n = 0; n < 10 * times; n += 1) {
        scene.set('setups', `w${n}`, {
          label: `W${n}`,
          storyOrder: 10 + n,
          matchGroup: `wide${n % (2 * times)}`,
        });
        scene.set('picture', `w${n}.A`, { ...STANDARD_PICTURE });
      }
      const { findings, runs } = following(scene);
      runs();
      scene.set('picture', '1a.A', { keyLux: 1200 });
      const count = runs().length;
      findings.dispose();
      return count;
    });
    expect(new Set(counts).size).toBe(1);
  });

  test('a setup that goes out of use takes its findings along and is judged no more', () => {
    const scene = wideScene();
    scene.set('picture', 'w7.A', { aperture: 8 });
    const { findings, runs } = following(scene);
    expect(findings.of('picture', 'w7.A')).toHaveLength(1);
    scene.set('setups', 'w7', { state: 'dropped' });
    expect(findings.all.value).toEqual([]);
    runs();
    scene.set('picture', 'w7.A', { aperture: 11 });
    expect(runs()).toEqual([]);
    findings.dispose();
  });

  test('a record cleared altogether is let go of', () => {
    const scene = wideScene();
    scene.set('setups', 'gone', { label: 'Gone', matchGroup: 'kitchen' });
    scene.set('picture', 'gone.A', { ...STANDARD_PICTURE, aperture: 2.8 });
    const { findings, runs } = following(scene);
    expect(findings.all.value.map(({ id }) => id)).toEqual(['exposure-offset.gone.A']);
    scene.set('setups', 'gone', { label: null, matchGroup: null });
    expect(findings.all.value).toEqual([]);
    expect(findings.unknownsOf('gone')).toEqual([]);
    runs();
    scene.set('picture', 'gone.A', { aperture: 4 });
    expect(runs()).toEqual([]);
    findings.dispose();
  });

  test('nothing runs once it is disposed of', () => {
    const scene = wideScene();
    const { findings, runs } = following(scene);
    findings.dispose();
    runs();
    scene.set('picture', '1b.A', { aperture: 2.8 });
    scene.set('flags', 'f1', { about: 'inputs/w3.R1.1', severity: 'stop' });
    scene.set('setups', 'new', { label: 'New' });
    expect(runs()).toEqual([]);
  });
});

describe('the order of findings', () => {
  test('the gravest first, then by scene and story, then by shooting order', () => {
    const scene = agreeingScene();
    scene.set('scenes', 's1', { storyOrder: 1 });
    scene.set('scenes', 's2', { storyOrder: 2 });
    scene.set('setups', '1b', { scene: 's2' });
    scene.set('setups', '1c', {
      label: '1C',
      scene: 's1',
      storyOrder: 9,
      matchGroup: 'kitchen',
      reference: '1a',
    });
    scene.set('setups', '1a', { scene: 's1' });
    scene.set('picture', '1c.A', { ...STANDARD_PICTURE, whiteBalanceK: 3200 });
    scene.set('picture', '1b.A', { aperture: 2.8, ndDensity: 0.9, shutter: { seconds: 1 / 20 } });
    scene.set('recorders', 'R1', { sampleRateHz: 96_000 });
    const { findings } = following(scene);
    expect(findings.all.value.map(({ id }) => id)).toEqual([
      'motion-over-frame.1b.A',
      'sound-rate-recorder.R1',
      'colour-white-balance.1c.A',
      'depth-aperture.1b.A',
    ]);
    scene.set('scenes', 's2', { storyOrder: 0 });
    scene.set('picture', '1b.A', { whiteBalanceK: 3200 });
    expect(findings.all.value.map(({ id }) => id).slice(2, 4)).toEqual([
      'colour-white-balance.1b.A',
      'colour-white-balance.1c.A',
    ]);
    findings.dispose();
  });
});
