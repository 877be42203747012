import {
  byName,
  channelsOf,
  exposureOffsetOf,
  exposureSettingsOf,
  keyToFillStopsOf,
  matchGroupOf,
  matchGroups,
  nextTake,
  openFlags,
  picturesOf,
  placeOfSetup,
  progressOf,
  rollingTake,
  setupsInShootingOrder,
  setupsInStoryOrder,
  takesOf,
} from '@plumbline/shared';
import { describe, expect, it } from 'vitest';
import { DAWN, type PlainBoard, shootReader } from '../support/shoot.ts';

const minute = (n: number): number => DAWN + n * 60_000;

describe('setups in order', () => {
  const reader = shootReader({
    scenes: { late: { number: '9', storyOrder: 20, place: 'mill' }, early: { number: '2', storyOrder: 10 } },
    setups: {
      S1: {
        scene: 'late',
        storyOrder: 1,
        shootingOrder: 1,
        day: '2030-06-01',
        matchGroup: 'g',
        reference: 'S3',
      },
      S2: { scene: 'early', storyOrder: 5, shootingOrder: 3, day: '2030-06-02', matchGroup: 'h' },
      S3: {
        scene: 'late',
        storyOrder: 2,
        shootingOrder: 2,
        day: '2030-06-01',
        matchGroup: 'g',
        place: 'yard',
      },
      S4: { scene: 'late', storyOrder: 3, matchGroup: 'g', reference: 'S3', state: 'dropped' },
      S10: { description: 'no order yet' },
      S5: { description: 'no order yet' },
      S6: { shootingOrder: 0, storyOrder: 0, retired: true, matchGroup: 'g' },
    },
  });
  const ids = (setups: readonly { id: string }[]) => setups.map(({ id }) => id);

  it('are shot as ordered, the unordered last, as people count, the retired not at all', () => {
    expect(ids(setupsInShootingOrder(reader))).toEqual(['S1', 'S3', 'S2', 'S4', 'S5', 'S10']);
    expect(ids(setupsInShootingOrder(reader, '2030-06-01'))).toEqual(['S1', 'S3']);
  });

  it('tell the story by scene first', () => {
    expect(ids(setupsInStoryOrder(reader))).toEqual(['S2', 'S1', 'S3', 'S4', 'S5', 'S10']);
  });

  it('cut together in groups, without what was dropped', () => {
    expect(matchGroups(reader).map(({ name, reference, setups }) => [name, reference, ids(setups)])).toEqual([
      ['h', 'S2', ['S2']],
      ['g', 'S3', ['S1', 'S3']],
    ]);
    expect(matchGroupOf(reader, 'S3')?.name).toBe('g');
    expect(matchGroupOf(reader, 'S5')).toBeUndefined();
  });

  it('take a group’s first setup as its reference where none, or one outside it, is named', () => {
    const odd = shootReader({
      setups: {
        S1: { storyOrder: 1, matchGroup: 'g', reference: 'S9' },
        S2: { storyOrder: 2, matchGroup: 'g' },
        S9: { storyOrder: 3 },
      },
    });
    expect(matchGroups(odd)[0]?.reference).toBe('S1');
  });

  it('stand at their own place, or their scene’s', () => {
    expect(placeOfSetup(reader, 'S1')).toBe('mill');
    expect(placeOfSetup(reader, 'S3')).toBe('yard');
    expect(placeOfSetup(reader, 'S5')).toBeUndefined();
  });

  it('are named as people count', () => {
    expect(['12a', '2', '12', '10', '12b', '1A', '1B'].sort(byName)).toEqual([
      '1A',
      '1B',
      '2',
      '10',
      '12',
      '12a',
      '12b',
    ]);
  });
});

describe('the exposure of a picture', () => {
  const board = (picture: PlainBoard[string][string], camera: PlainBoard[string][string] = {}) =>
    shootReader({
      setups: { S1: { label: 'S1' } },
      cameras: { A: { name: 'A', ...camera } },
      shoot: { shoot: { frameRate: '25' } },
      picture: { 'S1.A': picture },
    });
  const full = {
    shutter: { angleDeg: 180 },
    aperture: 4,
    iso: 800,
    ndDensity: 0.6,
    keyLux: 1000,
    frameRate: '25',
  };

  it('agrees with a worked example: 25 fps, 180°, f/4, ISO 800, ND 0.6 and 1000 lx are right for C = 250', () => {
    // E S t / (C N²) = 1000 × 800 × 0.02 / (250 × 16) = 4, two stops; ND 0.6 takes 1.993 of them. ISO 2720 form.
    const offset = exposureOffsetOf(board(full), 'S1.A');
    expect(offset.known && offset.value).toBeCloseTo(2 - 0.6 / Math.log10(2), 6);
    const wider = exposureOffsetOf(board({ ...full, aperture: 2.8 }), 'S1.A');
    expect(wider.known && offset.known && wider.value - offset.value).toBeCloseTo(1, 6);
  });

  it('takes the mark on the lens for the number behind it, and an angle at the shoot’s rate where no other is set', () => {
    const { frameRate: _, ...noRate } = full;
    expect(exposureSettingsOf(board({ ...noRate, aperture: 5.6 }), 'S1.A')).toEqual({
      known: true,
      value: { aperture: 2 ** 2.5, exposureSeconds: 0.02, iso: 800, ndDensity: 0.6 },
    });
  });

  it.each([
    ['ISO', { iso: 640, gainDb: 6 }, { gainConvention: 'iso', baseIso: 400 }, 640],
    ['dB', { iso: 640, gainDb: 20 }, { gainConvention: 'gain', baseIso: 100 }, 1000],
    ['dB, nothing said', { gainDb: 20 }, { baseIso: 100 }, 1000],
    ['ISO, nothing said', { iso: 640, gainDb: 20 }, { baseIso: 100 }, 640],
  ])('is set in %s', (_, set, camera, iso) => {
    const settings = exposureSettingsOf(board({ ...full, iso: null, ...set }, camera), 'S1.A');
    expect(settings.known && settings.value.iso).toBeCloseTo(iso, 9);
  });

  it.each([
    [{ ...full, aperture: null }, {}, ['Aperture']],
    [{ ...full, shutter: null, iso: null }, {}, ['Shutter', 'ISO']],
    [{ ...full, iso: null, gainDb: 3 }, { gainConvention: 'gain' }, ['Base ISO']],
    [{ ...full, iso: null }, { gainConvention: 'gain', baseIso: 400 }, ['Gain']],
  ])('names what is missing: %#', (set, camera, missing) => {
    expect(exposureSettingsOf(board(set, camera), 'S1.A')).toEqual({ known: false, missing });
  });

  it('names the reading that is missing, and counts no ND as none', () => {
    expect(exposureOffsetOf(board({ ...full, keyLux: null }), 'S1.A')).toEqual({
      known: false,
      missing: ['Key reading'],
    });
    const bare = exposureSettingsOf(board({ ...full, ndDensity: null }), 'S1.A');
    expect(bare.known && bare.value.ndDensity).toBe(0);
  });

  it('has a key-to-fill ratio in stops', () => {
    const ratio = keyToFillStopsOf(board({ ...full, fillLux: 250 }), 'S1.A');
    expect(ratio.known && ratio.value).toBeCloseTo(2, 9);
    expect(keyToFillStopsOf(board(full), 'S1.A')).toEqual({ known: false, missing: ['Fill reading'] });
  });

  it('is not asked of cameras out of use, or with nothing entered', () => {
    const reader = shootReader({
      setups: { S1: { label: 'S1' }, S11: { label: 'S11' } },
      cameras: { A: { name: 'A' }, B: { name: 'B', retired: true }, C: { name: 'C' } },
      picture: { 'S1.A': { iso: 800 }, 'S1.B': { iso: 800 }, 'S11.C': { iso: 800 } },
    });
    expect(picturesOf(reader, 'S1').map(({ camera }) => camera)).toEqual(['A']);
  });
});

describe('channels, takes and progress', () => {
  const reader = shootReader({
    setups: {
      S1: { state: 'complete', plannedMinutes: 20, day: '2030-06-01' },
      S2: { state: 'inWork', plannedMinutes: 15, day: '2030-06-01' },
      S3: { plannedMinutes: 10, day: '2030-06-02' },
      S4: { state: 'dropped', plannedMinutes: 30, day: '2030-06-01' },
      S12: { label: 'S12' },
    },
    recorders: { R1: { name: 'R1' }, R2: { name: 'R2' }, R3: { retired: true } },
    inputs: {
      'S1.R1.10': { source: 'Room', state: 'closed' },
      'S1.R1.2': { source: 'Lapel' },
      'S1.R2.1': { state: 'flagged', fault: 'hum' },
      'S1.R1.3': { subject: 'nobody yet' },
      'S1.R3.1': { source: 'Old' },
      'S12.R1.1': { source: 'Other' },
    },
    takes: {
      'S1.1': { rolledAt: minute(0), cutAt: minute(3), verdict: 'good' },
      'S1.2': { rolledAt: minute(5), cutAt: minute(6), verdict: 'no' },
      'S1.10': { rolledAt: minute(10) },
      'S1.11': { rolledAt: minute(11), cutAt: minute(90), retired: true },
      'S1.12': { clip: 'announced' },
      'S2.1': { rolledAt: minute(20), cutAt: minute(22), verdict: 'good' },
      'S12.7': { rolledAt: minute(30), cutAt: minute(29) },
    },
    flags: {
      F1: { what: 'late', raisedAt: 9 },
      F2: { what: 'early', raisedAt: 3 },
      F3: { what: 'done', answer: 'mended' },
      F4: { what: 'gone', retired: true },
    },
  });

  it('channels come by recorder and number, open unless said otherwise', () => {
    expect(channelsOf(reader, 'S1').map(({ record, channel, open }) => [record, channel, open])).toEqual([
      ['S1.R1.2', 2, true],
      ['S1.R1.3', 3, false],
      ['S1.R1.10', 10, false],
      ['S1.R2.1', 1, true],
    ]);
  });

  it('takes come by number with their state and length, mistakes left out', () => {
    expect(takesOf(reader, 'S1').map(({ number, state, seconds }) => [number, state, seconds])).toEqual([
      [1, 'cut', 180],
      [2, 'cut', 60],
      [10, 'rolling', undefined],
      [12, 'announced', undefined],
    ]);
    expect(rollingTake(reader, 'S1')?.number).toBe(10);
    expect(rollingTake(reader, 'S2')).toBeUndefined();
  });

  it('a cut before the roll, by clocks that were set between, is no negative length', () => {
    expect(takesOf(reader, 'S12')[0]?.seconds).toBe(0);
  });

  it('the next take is the one announced, or one past the highest that ever was', () => {
    expect(nextTake(reader, 'S1')).toBe('S1.12');
    expect(nextTake(reader, 'S2')).toBe('S2.2');
    expect(nextTake(reader, 'S3')).toBe('S3.1');
    const mistake = shootReader({ takes: { 'S1.4': { rolledAt: 1, retired: true } } });
    expect(nextTake(mistake, 'S1')).toBe('S1.5');
  });

  it('progress counts a day, or all of it', () => {
    expect(progressOf(reader, '2030-06-01')).toEqual({
      setups: { total: 3, complete: 1, inWork: 1, left: 1, dropped: 1 },
      takes: 4,
      goodTakes: 2,
      minutesRecorded: 6,
      plannedMinutesLeft: 15,
      openFlags: 2,
    });
    expect(progressOf(reader)).toMatchObject({
      setups: { total: 5, left: 3 },
      plannedMinutesLeft: 25,
      takes: 5,
    });
  });

  it('open flags are those that nobody answered, the oldest first', () => {
    expect(openFlags(reader)).toEqual(['F2', 'F1']);
  });
});
