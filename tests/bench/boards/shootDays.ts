import type { CellAddress, Json } from '@plumbline/replica';
import { findField, valueProblem } from '@plumbline/replica';
import { tables } from '@plumbline/shared';
import { type Random, randomOf } from '../../support/random.ts';

/** A value that stands on the board of an invented shoot. */
export type ShootValue = CellAddress & { readonly value: Json };

/** Setups, cameras, channels and takes of an invented day: about 5,000 values with what is set a second time. */
export const DAY = { setups: 20, takes: 4, channels: 6, cameras: ['A', 'B'] } as const;

const SEED = 20_310_301;
const MORNING = Date.UTC(2031, 2, 1, 7);
const DAY_MS = 86_400_000;
const MARKS = [2.8, 4, 5.6, 8] as const;
const STEPS = ['1', '2', '3', '4'] as const;

/** The id of a setup: `d12s04` is the fourth of the twelfth day. */
export function setupId(day: number, setup: number): string {
  return `d${day}s${String(setup + 1).padStart(2, '0')}`;
}

/** What stands on the board before the first day: the shoot, its cameras, its recorder. */
export function shootValues(): ShootValue[] {
  const record = recorder();
  record('shoot', 'shoot', {
    title: 'The tide tables',
    mainsHz: '50',
    frameRate: '25',
    sampleRateHz: 48_000,
    raster: '3840x2160',
    scan: 'progressive',
    transfer: 'log',
    copiesRequired: 2,
    timeZone: 'Europe/Lisbon',
  });
  for (const camera of DAY.cameras) {
    record('cameras', camera, {
      name: `${camera} camera`,
      sensorWidthMm: 24,
      sensorHeightMm: 13.5,
      baseIso: 800,
      maxIso: 6400,
      gainConvention: 'iso',
      ndAvailable: [0.3, 0.6, 0.9, 1.2],
    });
  }
  record('recorders', 'R1', { name: 'Cart', channels: 8, sampleRateHz: 48_000, bitDepth: 24 });
  return record.values;
}

/**
 * Everything that is written down on one shooting day, in order, the values set a second time included. The same for
 * the same day, and legal for every field.
 */
export function dayValues(day: number): ShootValue[] {
  const random = randomOf(SEED + day);
  const record = recorder();
  const date = new Date(MORNING + day * DAY_MS).toISOString().slice(0, 10);
  const place = `place${day % 7}`;
  const group = `d${day}`;
  if (day < 7) {
    record('places', place, {
      name: `Quay ${day + 1}`,
      noiseDbA: 30 + day,
      hazards: 'Wet steps, moving boats',
    });
  }
  record('days', date, { call: '07:30', wrap: '18:00', places: [place] });
  for (let scene = 0; scene < 4; scene++) {
    record('scenes', `${group}c${scene + 1}`, {
      number: `${day + 1}.${scene + 1}`,
      title: 'What the harbour master remembers',
      place,
      inside: random.pick(['interior', 'exterior']),
      storyOrder: day * 10 + scene,
    });
  }
  for (let index = 0; index < DAY.setups; index++) setupValues(record, random, day, index, date);
  for (let card = 1; card <= 6; card++) {
    record('cards', `${group}m${card}`, {
      name: `Card ${card}`,
      capacityGB: 512,
      state: 'full',
      holder: 'Loader',
    });
  }
  for (let item = 0; item < 10; item++) {
    record('kit', `${random.pick(['camera', 'sound'])}.d${day}k${item}`, {
      name: random.pick(['Matte box', 'Boom pole', 'Follow focus', 'Wind shield', 'Slider']),
      kind: 'rig',
      serial: `SN-${day}-${item}`,
      value: 100 + random.below(3000),
      weightKg: 1 + random.below(9),
      condition: 'good',
    });
  }
  const changed = record.values.filter(({ table }) => table === 'picture' || table === 'inputs');
  for (const value of changed) if (random.next() < 0.2) record.values.push(value);
  return record.values;
}

type Recorder = ReturnType<typeof recorder>;

function recorder() {
  const values: ShootValue[] = [];
  const record = (table: string, id: string, fields: Readonly<Record<string, Json>>): void => {
    for (const [field, value] of Object.entries(fields)) values.push({ table, record: id, field, value });
  };
  return Object.assign(record, { values });
}

function setupValues(record: Recorder, random: Random, day: number, index: number, date: string): void {
  const setup = setupId(day, index);
  const firstOfGroup = index - (index % 4);
  const start = MORNING + day * DAY_MS + index * 1_700_000;
  const order = day * DAY.setups + index;
  record('setups', setup, {
    scene: `d${day}c${1 + Math.floor(index / 5)}`,
    label: `${day + 1}${String.fromCharCode(65 + index)}`,
    description: random.pick([
      'Wide from the mole',
      'Close on hands and rope',
      'Two at the table, by the window',
    ]),
    storyOrder: order,
    shootingOrder: order,
    day: date,
    matchGroup: `d${day}g${firstOfGroup / 4 + 1}`,
    reference: setupId(day, firstOfGroup),
    plannedMinutes: 30,
    takeMinutes: 3,
    state: 'complete',
    startedAt: start,
    completedAt: start + 1_600_000,
    lights: 'Window left, bounce opposite, nothing overhead',
    lightsK: 5600,
  });
  const pictures = Object.fromEntries(
    DAY.cameras.map((camera) => [camera, picture(random, firstOfGroup, start)]),
  );
  for (const [camera, values] of Object.entries(pictures)) record('picture', `${setup}.${camera}`, values);
  const inputs = Object.fromEntries(
    Array.from({ length: DAY.channels }, (_, channel) => [`R1.${channel + 1}`, input(random, channel)]),
  );
  for (const [channel, values] of Object.entries(inputs)) record('inputs', `${setup}.${channel}`, values);
  for (let take = 1; take <= DAY.takes; take++) {
    const rolledAt = start + take * 240_000;
    record('takes', `${setup}.${take}`, {
      rolledAt,
      rolledBy: 'p2',
      cutAt: rolledAt + 90_000,
      cutBy: 'p2',
      cards: [`d${day}m${1 + (index % 6)}`],
      clip: `A${String(order).padStart(3, '0')}_C${take}`,
      verdict: random.pick(['good', 'keep', 'no']),
      directorNote: 'Better before the horn',
      pictureNote: 'Soft at the end',
      soundState: 'good',
      soundNote: 'Gulls at 0:40',
      timecodeIn: '10:02:33:12',
      timecodeOut: '10:04:03:12',
      asShotPicture: pictures,
      asShotInputs: inputs,
    });
  }
  for (const department of ['director', 'camera', 'sound']) {
    for (const step of STEPS) {
      record('checks', `${setup}.${department}.step${step}`, {
        title: `Step ${step} before rolling`,
        doneBy: 'p1',
        doneAt: start,
      });
    }
  }
  record('flags', `f${day}-${index}`, {
    what: 'Rustle on the lavalier',
    about: `inputs/${setup}.R1.2`,
    department: 'sound',
    severity: 'mend',
    raisedBy: 'p1',
    raisedAt: start,
    answer: 'Taped down',
    answeredBy: 'p3',
  });
}

function picture(random: Random, firstOfGroup: number, start: number): Readonly<Record<string, Json>> {
  const wrong = random.next() < 0.06;
  const aperture = MARKS[(firstOfGroup / 4 + (wrong ? 1 : 0)) % MARKS.length] ?? 4;
  const agreed = MARKS[(firstOfGroup / 4) % MARKS.length] ?? 4;
  // What the settings ask for, ISO 2720 form with C = 250: N² C / (t S) · 10^ND.
  const keyLux = Math.round(((agreed ** 2 * 250) / ((1 / 50) * 800)) * 10 ** 0.6);
  return {
    frameRate: '25',
    plannedSpeed: 'normal',
    shutter: { angleDeg: 180 },
    aperture,
    iso: 800,
    ndDensity: 0.6,
    whiteBalanceK: random.next() < 0.04 ? 4300 : 5600,
    tint: 0,
    whiteBalancedAt: start,
    focalLengthMm: random.pick([24, 35, 50, 85]),
    focusDistanceM: 1 + random.below(60) / 10,
    keyLux,
    fillLux: Math.round(keyLux / 4),
    meteredAt: start,
    raster: '3840x2160',
    scan: 'progressive',
    codec: 'Intra 422',
    bitRateMbps: 240,
    bitDepth: 10,
    chroma: '422',
    transfer: 'log',
    sampleRateHz: 48_000,
    timecodeRate: '25',
    dropFrame: false,
    note: 'Flag off the window',
  };
}

function input(random: Random, channel: number): Readonly<Record<string, Json>> {
  return {
    source: channel === 0 ? 'Boom' : `Lavalier ${channel}`,
    subject: random.pick(['Harbour master', 'Deckhand', 'Room']),
    connector: channel === 0 ? 'balanced' : 'radio',
    phantom: channel === 0 ? 'p48' : 'off',
    needsPhantom: channel === 0,
    levelDbfs: -18 - random.below(6),
    noiseFloorDbfs: -70,
    lowCutHz: 80,
    limiter: true,
    carrierMHz: 520 + channel * 1.3,
    state: 'closed',
  };
}

/** @throws Error where a value is not one that its field takes: then the board would not be one of a shoot */
export function requireLegal(values: readonly ShootValue[]): void {
  for (const { table, record, field, value } of values) {
    const declared = findField(tables, table, field);
    const problem = declared ? valueProblem(declared, value) : 'no such field';
    if (problem !== null) throw new Error(`${table}/${record}/${field}: ${problem}`);
  }
}
