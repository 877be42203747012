import { namePart } from '@plumbline/replica';
import { choice, clockTime, flag, number, reference, retired, table, text, words } from './field.ts';
import { frameRate, rasterOf } from './kinds.ts';
import { SCANS, TRANSFERS } from './picture.ts';

const by = ['director'] as const;
const progress = ['progress'] as const;

/** A tolerance, declared once: its bounds, its step and what holds where nobody has set it. */
interface Tolerance {
  readonly label: string;
  readonly help: string;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly decimals: number;
  readonly usual: number;
}

/** How far numbers may stand apart before the board calls it a break. Usual values without a source: common practice. */
export const TOLERANCES = {
  exposureToleranceStops: {
    label: 'Exposure tolerance',
    help: 'How far the exposure of setups that cut together may differ.',
    unit: 'stops',
    min: 0.05,
    max: 2,
    step: 0.05,
    decimals: 2,
    usual: 0.3,
  },
  apertureToleranceStops: {
    label: 'Aperture tolerance',
    help: 'How far the apertures of setups that cut together may differ, for the depth of field.',
    unit: 'stops',
    min: 0.05,
    max: 3,
    step: 0.05,
    decimals: 2,
    usual: 0.5,
  },
  gainToleranceStops: {
    label: 'Gain tolerance',
    help: 'How far the gain of setups that cut together may differ, for the noise.',
    unit: 'stops',
    min: 0.1,
    max: 4,
    step: 0.1,
    decimals: 1,
    usual: 1,
  },
  ratioToleranceStops: {
    label: 'Key-to-fill tolerance',
    help: 'How far the ratio of key to fill light may differ.',
    unit: 'stops',
    min: 0.1,
    max: 3,
    step: 0.1,
    decimals: 1,
    usual: 0.5,
  },
  shutterToleranceDeg: {
    label: 'Shutter tolerance',
    help: 'How far the shutter angles of setups that cut together may differ.',
    unit: '°',
    min: 0.5,
    max: 90,
    step: 0.5,
    decimals: 1,
    usual: 5,
  },
  whiteBalanceToleranceMired: {
    label: 'White balance tolerance',
    help: 'How far the white balance of setups that cut together may differ.',
    unit: 'mired',
    min: 1,
    max: 100,
    step: 1,
    decimals: 0,
    usual: 10,
  },
  readingMaxAgeMinutes: {
    label: 'Reading good for',
    help: 'After how long a meter reading counts as old.',
    unit: 'min',
    min: 5,
    max: 600,
    step: 5,
    decimals: 0,
    usual: 60,
  },
  ndTintDensity: {
    label: 'ND may tint above',
    help: 'Above this density neutral filters are taken to tint the picture.',
    unit: 'density',
    min: 0.3,
    max: 6,
    step: 0.3,
    decimals: 2,
    usual: 1.5,
  },
  flickerTolerancePercent: {
    label: 'Flicker tolerance',
    help: 'How much of the pulsing of mains light may be left in the picture, for a lamp at its worst.',
    unit: '%',
    min: 0.5,
    max: 50,
    step: 0.5,
    decimals: 1,
    usual: 2,
  },
  lightsToleranceMired: {
    label: 'White balance to lights',
    help: 'How far the white balance may stand from the colour of the lights.',
    unit: 'mired',
    min: 1,
    max: 200,
    step: 1,
    decimals: 0,
    usual: 30,
  },
  aboveAlignmentDb: {
    label: 'Peaks above alignment',
    help: 'How far peaks may stand above the alignment level; 9 dB is the permitted maximum of EBU R 68.',
    unit: 'dB',
    min: 0,
    max: 30,
    step: 1,
    decimals: 0,
    usual: 9,
  },
  belowAlignmentDb: {
    label: 'Peaks below alignment',
    help: 'How far peaks may stay below the alignment level, safety copies excepted.',
    unit: 'dB',
    min: 0,
    max: 60,
    step: 1,
    decimals: 0,
    usual: 20,
  },
  carrierSpacingKHz: {
    label: 'Radio products keep away',
    help: 'How near a product 2A − B may come to a carrier; A + B − C and 3A − 2B half as near.',
    unit: 'kHz',
    min: 5,
    max: 500,
    step: 5,
    decimals: 0,
    usual: 100,
  },
  circuitMarginPercent: {
    label: 'Circuits carry for hours',
    help: 'How much of its fuse may stand on a circuit for hours (80 %: U.S. National Electrical Code); local codes and electricians decide.',
    unit: '%',
    min: 20,
    max: 100,
    step: 5,
    decimals: 0,
    usual: 80,
  },
} as const satisfies Record<string, Tolerance>;

export type ToleranceName = keyof typeof TOLERANCES;

const MAINS = [
  { value: '50', label: '50 Hz' },
  { value: '60', label: '60 Hz' },
] as const;

function tolerance(name: ToleranceName) {
  const { label, help, unit, min, max, step, decimals } = TOLERANCES[name];
  return number({ label, help, unit, by }, { min, max, step, decimals });
}

export const shoot = table('Shoot', [namePart(/^shoot$/)], {
  title: text({ label: 'Title', help: 'What the shoot is called on its papers.', by, papers: progress }),
  mainsHz: choice(MAINS, {
    label: 'Mains',
    help: 'The mains frequency where the lamps are plugged in; lamps flicker at twice of it.',
    unit: 'Hz',
    by,
  }),
  frameRate: frameRate({
    label: 'Frame rate',
    help: 'The frame rate of the finished programme.',
    unit: 'frames/s',
    by,
    papers: ['camera', 'sound'],
  }),
  dropFrame: flag({
    label: 'Drop-frame',
    help: 'Whether timecode skips labels to keep with the clock (29.97 and 59.94 only).',
    by,
    papers: ['camera', 'sound'],
  }),
  raster: rasterOf({ label: 'Raster', help: 'The picture size of the finished programme.', unit: 'px', by }),
  scan: choice(SCANS, { label: 'Scan', help: 'Whole frames or fields, in the finished programme.', by }),
  transfer: choice(TRANSFERS, {
    label: 'Transfer curve',
    help: 'How light is turned into code values in the finished programme.',
    by,
  }),
  sampleRateHz: number(
    {
      label: 'Sample rate',
      help: 'The sample rate that sound is delivered at.',
      unit: 'Hz',
      by,
      papers: ['sound'],
    },
    { min: 8000, max: 192_000, step: 100, whole: true },
  ),
  soundBitDepth: number(
    {
      label: 'Sound bit depth',
      help: 'The bit depth that sound is delivered at.',
      unit: 'bit',
      by,
      papers: ['sound'],
    },
    { min: 16, max: 32, step: 8, whole: true },
  ),
  alignmentDbfs: number(
    {
      label: 'Alignment level',
      help: 'Where the line-up tone stands below full scale, such as −18 (EBU R 68) or −20 (SMPTE RP 155).',
      unit: 'dBFS',
      by,
      papers: ['sound'],
    },
    { min: -30, max: 0, step: 1 },
  ),
  copiesRequired: number(
    {
      label: 'Copies before clearing',
      help: 'How many verified copies in different places a take needs before its card may be cleared.',
      unit: 'copies',
      by,
    },
    { min: 1, max: 4, step: 1, whole: true },
  ),
  timeZone: text(
    { label: 'Time zone', help: 'Its IANA name, such as Europe/Lisbon, for the times on the papers.', by },
    60,
  ),
  currency: text(
    { label: 'Currency', help: 'Of the values in the kit list, by its ISO 4217 code, such as EUR.', by },
    3,
  ),
  rehearsal: flag({
    label: 'Rehearsal',
    help: 'Whether this board is played for practice: every tablet then says that nothing here is real.',
    by,
  }),
  exposureToleranceStops: tolerance('exposureToleranceStops'),
  apertureToleranceStops: tolerance('apertureToleranceStops'),
  gainToleranceStops: tolerance('gainToleranceStops'),
  ratioToleranceStops: tolerance('ratioToleranceStops'),
  shutterToleranceDeg: tolerance('shutterToleranceDeg'),
  whiteBalanceToleranceMired: tolerance('whiteBalanceToleranceMired'),
  readingMaxAgeMinutes: tolerance('readingMaxAgeMinutes'),
  ndTintDensity: tolerance('ndTintDensity'),
  flickerTolerancePercent: tolerance('flickerTolerancePercent'),
  lightsToleranceMired: tolerance('lightsToleranceMired'),
  aboveAlignmentDb: tolerance('aboveAlignmentDb'),
  belowAlignmentDb: tolerance('belowAlignmentDb'),
  carrierSpacingKHz: tolerance('carrierSpacingKHz'),
  circuitMarginPercent: tolerance('circuitMarginPercent'),
});

/** A day's record is its date, `2027-05-14`. */
export const DAY_ID = /^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$/;

export const days = table('Days', [namePart(DAY_ID)], {
  call: clockTime({ label: 'Call', help: 'When the unit is called, local time.', by, papers: progress }),
  wrap: clockTime({
    label: 'Planned wrap',
    help: 'When the day is meant to end, local time.',
    by,
    papers: progress,
  }),
  breaks: words(
    {
      label: 'Breaks',
      help: 'From when to when nobody works, local time, such as 13:00-13:45.',
      by,
      papers: progress,
    },
    8,
    11,
    {},
    { form: /^([01]\d|2[0-3]):[0-5]\d-([01]\d|2[0-3]):[0-5]\d$/, sentence: 'a span such as 13:00-13:45' },
  ),
  places: words({ label: 'Places', help: 'The places in the order they are shot.', by }, 20, 40, {
    table: 'places',
  }),
  note: text({ label: 'Note', help: 'What everybody should know of this day.', by }, 500, true),
  retired: retired(by),
});

const INSIDE = [
  { value: 'interior', label: 'Interior' },
  { value: 'exterior', label: 'Exterior' },
] as const;

const HOURS = [
  { value: 'day', label: 'Day' },
  { value: 'twilight', label: 'Twilight' },
  { value: 'night', label: 'Night' },
] as const;

export const scenes = table('Scenes', [namePart()], {
  number: text(
    {
      label: 'Number',
      help: 'The scene’s number in the script or the list of questions.',
      by,
      papers: ['continuity', 'takes'],
    },
    12,
  ),
  title: text({ label: 'Title', help: 'What happens, in a few words.', by, papers: ['continuity', 'takes'] }),
  place: reference('places', { label: 'Place', help: 'Where it is shot.', by }),
  description: text(
    { label: 'Description', help: 'What it must tell, or the questions to ask.', by, papers: ['continuity'] },
    500,
    true,
  ),
  hour: choice(HOURS, {
    label: 'Day or night',
    help: 'What light it plays in; an exterior of which nothing is said counts as day.',
    by,
  }),
  inside: choice(INSIDE, { label: 'Interior or exterior', help: 'Whether it plays inside or outside.', by }),
  storyOrder: number(
    { label: 'Story order', help: 'Its place in the finished programme.', by },
    { min: 0, max: 100_000, step: 1 },
  ),
  retired: retired(by),
});
