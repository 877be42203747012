import type { Json } from '@plumbline/replica';
import { type ShootTableName, tables } from '@plumbline/shared/tables';
import fc from 'fast-check';

/** A field set to a value, as a person would. */
export interface TestEdit {
  readonly table: ShootTableName;
  readonly record: string;
  readonly field: string;
  readonly value: Json;
}

/** ms */
const MINUTE = 60_000;

const SETUPS = ['1a', '1b', '1c', '2a'];
const CAMERAS = ['A', 'B'];
const CHANNELS = ['R1.1', 'R1.2', 'R1.3', 'R2.1'];

/** Few values each, so that edits meet, agree, disagree and lie exactly at a tolerance; `null` clears. */
const VALUES: Readonly<Partial<Record<ShootTableName, Readonly<Record<string, readonly Json[]>>>>> = {
  shoot: {
    frameRate: ['25', '24', '29.97', null],
    sampleRateHz: [48_000, 44_100, null],
    exposureToleranceStops: [0.3, 1, null],
    apertureToleranceStops: [0.5, 1, null],
    whiteBalanceToleranceMired: [10, 50, null],
    shutterToleranceDeg: [5, 90, null],
    mainsHz: ['50', '60', null],
    dropFrame: [true, false, null],
    soundBitDepth: [24, 16, null],
    alignmentDbfs: [-18, null],
    copiesRequired: [1, 2, null],
    flickerTolerancePercent: [2, 10, null],
    gainToleranceStops: [0.5, 1, null],
  },
  days: { call: ['04:50', '11:30', '20:50'], breaks: [['11:40-12:00'], null, null] },
  scenes: {
    storyOrder: [1, 2, null],
    inside: ['interior', 'exterior', null],
    hour: ['day', 'night', 'twilight', null],
    place: ['p1', 'p2', null],
  },
  setups: {
    label: ['One', 'Two', null],
    scene: ['s1', 's2', null],
    matchGroup: ['g1', 'g2', null],
    reference: ['1a', '1b', '2a', null],
    storyOrder: [1, 2, 3, null],
    shootingOrder: [1, 2, null],
    state: ['planned', 'inWork', 'complete', 'dropped', null],
    lightsK: [3200, 5600, null],
    lightsChangedAt: [10 * MINUTE, 20 * MINUTE, null],
    placeChangedAt: [25 * MINUTE, null, null],
    startedAt: [15 * MINUTE, 90 * MINUTE, null],
    takeMinutes: [2, 200, null],
    day: ['2027-05-14'],
    plannedMinutes: [30, 60],
    place: ['p1', null, null],
    retired: [true, false, false, false, null],
  },
  cameras: {
    name: ['Cam', null],
    baseIso: [400, 800, null],
    maxIso: [6400, null],
    gainConvention: ['iso', 'gain', null],
    ndAvailable: [[0.3, 0.6, 0.9], [1.2], null],
    card: ['c1', 'c2', null],
    battery: ['v1', null],
    powerDrawW: [20, null],
    retired: [true, false, false, false, null],
  },
  picture: {
    frameRate: ['25', '50', '24', null],
    plannedSpeed: ['normal', 'high', 'low', null],
    shutter: [
      { angleDeg: 180 },
      { angleDeg: 90 },
      { seconds: 0.02 },
      { seconds: 0.04 },
      { seconds: 0.05 },
      null,
    ],
    aperture: [2.8, 4, 5.6, null],
    iso: [400, 800, 1600, null],
    gainDb: [0, 6, null],
    ndDensity: [0, 0.3, 0.6, 1.8, null],
    fillLux: [125, 250, 500, null],
    meteredAt: [5 * MINUTE, 30 * MINUTE, null],
    whiteBalancedAt: [5 * MINUTE, 30 * MINUTE, null],
    whiteBalanceK: [3200, 5600, 5900, null],
    focalLengthMm: [35, null],
    focusDistanceM: [2, null],
    keyLux: [500, 1000, null],
    sampleRateHz: [48_000, 44_100, null],
    raster: ['1920x1080', '3840x2160', null],
    bitDepth: [8, 10, null],
    bitRateMbps: [100, 400, null],
    timecodeRate: ['25', '29.97', null],
    dropFrame: [true, false, null],
    autoFunctions: [[], ['exposure'], ['gain', 'focus'], null],
  },
  recorders: {
    name: ['Mixer', null],
    channels: [4, null],
    sampleRateHz: [48_000, 96_000, null],
    bitDepth: [24, 16, null],
    timecodeRate: ['25', '29.97', null],
    dropFrame: [true, false, null],
    card: ['c2', 'c1', null],
    battery: ['v2', null],
    powerDrawW: [20, null],
    retired: [true, false, false, null],
  },
  inputs: {
    source: ['Boom', 'boom ', 'Lapel', 'Room', 'Desk', null],
    secondSource: ['Lapel', 'Spare', null, null],
    subject: ['Speaker', 'Guest', null],
    safetyOf: [1, 2, null, null, null],
    state: ['open', 'closed', 'flagged', null],
    fault: ['crackles', null],
    connector: ['balanced', 'radio', 'line', null],
    phantom: ['off', 'p48', null],
    needsPhantom: [true, false, null],
    levelDbfs: [-18, -6, -50, null],
    limiterCatching: [true, false, null],
    carrierMHz: [604, 612.5, 621, null],
  },
  takes: {
    rolledAt: [20 * MINUTE, 100 * MINUTE, null],
    cutAt: [110 * MINUTE, null, null],
    cards: [['c1'], ['c1', 'c2'], null],
    retired: [true, false, false, null],
  },
  places: {
    name: ['Yard', null],
    latitudeDeg: [0, 55],
    longitudeDeg: [11],
    timeZone: ['Europe/Copenhagen'],
    openings: [
      [{ name: 'South', bearingDeg: 180, arcDeg: 120 }],
      [{ name: 'East', bearingDeg: 90, arcDeg: 150 }],
    ],
    temperatureC: [20, 44, null],
    humidityPercent: [50, 95, null],
    roomToneAt: [30 * MINUTE, null, null],
    circuits: [
      [
        { name: 'Ring', voltageV: 230, fuseA: 10 },
        { name: 'Oven', voltageV: 230, fuseA: 32 },
      ],
      null,
    ],
    retired: [true, false, false, null],
  },
  loads: {
    circuit: ['Ring', 'Oven', null],
    watts: [2000, 3000, null],
    powerFactor: [1, null],
    count: [1, null],
  },
  cards: {
    capacityGB: [2, 16, 512, null],
    state: ['blank', 'prepared', 'full', 'cleared', 'verified', null],
    preparedAt: [[MINUTE], [MINUTE, 120 * MINUTE], null],
    copies: [
      [],
      [{ where: 'disk', checked: 'checksum', at: 115 * MINUTE, by: 'p1' }],
      [{ where: 'disk', checked: 'differs', at: 115 * MINUTE, by: 'p1' }],
      [
        { where: 'disk', checked: 'checksum', at: 115 * MINUTE, by: 'p1' },
        { where: 'office', checked: 'byEye', at: 116 * MINUTE, by: 'p1' },
      ],
      null,
    ],
  },
  batteries: { energyWh: [98, null], chargePercent: [5, 100, null], checkedAt: [5 * MINUTE, null] },
  kit: {
    name: ['Thing', null],
    maxTemperatureC: [40, null],
    maxHumidityPercent: [80, null],
    condition: ['good', 'faulty', 'lost', null],
    neededBy: ['1a', ['1b'], ['1a', '1b'], null],
    camera: ['A', 'B', null],
    retired: [true, false, false, null],
  },
  custody: {
    event: [
      { item: 'camera.body', what: 'signOut', to: 'p1', signedBy: 'p1', at: MINUTE },
      { item: 'camera.body', what: 'signOut', signedBy: 'p1', at: 2 * MINUTE },
      { item: 'camera.body', what: 'handOver', to: 'p2', after: 'e.1', signedBy: 'p1', at: 3 * MINUTE },
      { item: 'camera.body', what: 'setDown', attended: false, after: 'e.2', signedBy: 'p1', at: 4 * MINUTE },
      { item: 'sound.boom', what: 'setDown', attended: false, signedBy: 'p1', at: 4 * MINUTE },
      { item: 'sound.boom', what: 'return', signedBy: 'p1', at: 5 * MINUTE },
      { item: 'sound.boom', what: 'return', toOwner: true, signedBy: 'p1', at: 5 * MINUTE },
      {
        item: 'camera.body',
        what: 'damage',
        remark: 'cracked',
        after: 'e.1',
        signedBy: 'p2',
        at: 6 * MINUTE,
      },
      { item: 'camera.body', what: 'loss', after: 'e.2', signedBy: 'p2', at: 7 * MINUTE },
      {
        item: 'camera.body',
        what: 'settle',
        to: 'p2',
        after: 'e.1',
        alsoAfter: ['e.2'],
        signedBy: 'p2',
        at: 8 * MINUTE,
      },
    ],
  },
  people: { name: ['Ada', null], leftAt: [60 * MINUTE, null, null] },
  checks: { title: ['Looked at', null], doneAt: [10 * MINUTE, null, null] },
  flags: {
    what: ['hum', null],
    about: ['inputs/1a.R1.1', 'inputs/1b.R1.2', 'picture/1a.A', null],
    severity: ['stop', 'note', null],
    answer: ['mended', null],
    retired: [true, false, false, null],
  },
};

const RECORDS: Readonly<Partial<Record<ShootTableName, readonly string[]>>> = {
  shoot: ['shoot'],
  days: ['2027-05-14'],
  scenes: ['s1', 's2'],
  setups: SETUPS,
  cameras: CAMERAS,
  picture: SETUPS.flatMap((setup) => CAMERAS.map((camera) => `${setup}.${camera}`)),
  recorders: ['R1', 'R2'],
  inputs: SETUPS.flatMap((setup) => CHANNELS.map((channel) => `${setup}.${channel}`)),
  takes: SETUPS.flatMap((setup) => [`${setup}.1`, `${setup}.2`]),
  flags: ['f1', 'f2'],
  places: ['p1', 'p2'],
  loads: ['p1.1', 'p2.1'],
  cards: ['c1', 'c2', 'c3'],
  batteries: ['v1', 'v2', 'v3', 'v4'],
  kit: ['camera.body', 'sound.boom'],
  custody: ['e.1', 'e.2', 'e.3'],
  people: ['p1', 'p2'],
  checks: ['1a.camera.legs', '1a.sound.phones', '1b.camera.legs'],
};

/** How often a table is edited, against the others. */
const WEIGHTS: Readonly<Partial<Record<ShootTableName, number>>> = {
  picture: 12,
  setups: 6,
  inputs: 6,
  scenes: 2,
};

function editOf(table: ShootTableName): fc.Arbitrary<TestEdit> {
  const fields = Object.entries(VALUES[table] ?? {});
  return fc
    .tuple(fc.constantFrom(...(RECORDS[table] ?? [])), fc.constantFrom(...fields))
    .chain(([record, [field, values]]) =>
      fc.constantFrom(...values).map((value) => ({ table, record, field, value })),
    );
}

const tableNames = (Object.keys(tables) as ShootTableName[]).filter((table) => VALUES[table]);

/** One edit somewhere on a small board. */
export const anyEdit: fc.Arbitrary<TestEdit> = fc.oneof(
  ...tableNames.map((table) => ({ arbitrary: editOf(table), weight: WEIGHTS[table] ?? 1 })),
);

/** A whole small board: every record there, with a value in nearly every field. */
export const anyBoard: fc.Arbitrary<readonly TestEdit[]> = fc
  .tuple(
    ...tableNames.flatMap((table) =>
      (RECORDS[table] ?? []).flatMap((record) =>
        Object.entries(VALUES[table] ?? {}).map(([field, values]) =>
          mostlySet(values).map((value): TestEdit => ({ table, record, field, value })),
        ),
      ),
    ),
  )
  .map((edits) => edits);

/**
 * Empty once in twenty times: a rule that compares two setups needs a dozen fields at once. A field that lists more
 * than one `null` is empty as often as it lists it.
 */
function mostlySet(values: readonly Json[]): fc.Arbitrary<Json> {
  const set = values.filter((value) => value !== null);
  if (values.length > set.length + 1) return fc.constantFrom(...values);
  return fc.oneof(
    { arbitrary: fc.constantFrom(...set), weight: 19 },
    { arbitrary: fc.constant<Json>(null), weight: 1 },
  );
}

/** The seed of every random test here; another can be given to look further. */
export const SEED = Number(process.env.PLUMBLINE_SEED ?? 20_240_607);
