import { namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import {
  between,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  number,
  retired,
  shortText,
  table,
  text,
  words,
} from './field.ts';

const all: readonly Department[] = DEPARTMENTS;
const papers = ['scouting'] as const;

/** A circuit of the place: what a lamp may be plugged into. A planning figure, never a permission. */
export const circuitSchema = z.strictObject(
  {
    name: shortText(40),
    voltageV: between(5, 480),
    fuseA: between(0.5, 400),
    note: z.exactOptional(shortText(120)),
  },
  'a circuit: name, voltageV, fuseA, note',
);

/** A window, door or open side: where it looks, and how much of the sky is seen through it. */
export const openingSchema = z.strictObject(
  {
    name: shortText(40),
    bearingDeg: between(0, 360),
    /** From its one edge to the other, as seen from where the subject is. */
    arcDeg: z.exactOptional(between(1, 360)),
    /** Below it a hill or a house hides the sun. */
    lowestDeg: z.exactOptional(between(0, 90)),
    /** Above it the lintel or the eaves hide the sun. */
    highestDeg: z.exactOptional(between(0, 90)),
  },
  'an opening: name, bearingDeg, arcDeg, lowestDeg, highestDeg',
);

/** What can hurt somebody at a place; each has a caution. */
export const HAZARD_KINDS = [
  'power',
  'heights',
  'traffic',
  'weather',
  'water',
  'sun',
  'machines',
  'fire',
] as const;
export type HazardKind = (typeof HAZARD_KINDS)[number];

export const places = table('Places', [namePart()], {
  name: text({ label: 'Place', help: 'What it is called.', by: ['director'], papers }, 80),
  latitudeDeg: number(
    { label: 'Latitude', help: 'North is positive.', unit: '°', by: ['director'], papers },
    { min: -90, max: 90, step: 0.0001, decimals: 5 },
  ),
  longitudeDeg: number(
    { label: 'Longitude', help: 'East is positive.', unit: '°', by: ['director'], papers },
    { min: -180, max: 180, step: 0.0001, decimals: 5 },
  ),
  timeZone: text(
    { label: 'Time zone', help: 'Its IANA name, such as Europe/Lisbon.', by: ['director'], papers },
    60,
  ),
  access: text(
    { label: 'Access', help: 'Keys, stairs, parking, who to ask.', by: ['director'], papers },
    500,
    true,
  ),
  address: text({ label: 'Address', help: 'Where to drive to.', by: ['director'], papers }, 200, true),
  permission: text(
    {
      label: 'Permission',
      help: 'Who allowed filming, for when and on what terms.',
      by: ['director'],
      papers,
    },
    300,
    true,
  ),
  nearestHelp: text(
    {
      label: 'Nearest help',
      help: 'First-aid kit, nearest hospital, emergency number.',
      by: ['director'],
      papers,
    },
    200,
    true,
  ),
  windowBearingDeg: number(
    {
      label: 'Window bearing',
      help: 'Where the main windows or the open side look, clockwise from true north.',
      unit: '°',
      by: ['camera'],
      papers,
    },
    { min: 0, max: 360, step: 1 },
  ),
  openings: field(
    () => z.array(openingSchema, 'a list of openings').check(z.maxLength(12, 'at most 12 openings')),
    { kind: 'object', form: 'openings' },
    {
      label: 'Openings',
      help: 'Windows, doors and open sides: where each looks, and how much of the sky is seen through it.',
      by: ['camera', 'director'],
      papers,
    },
  ),
  light: text(
    { label: 'Light', help: 'What the light does over the day.', by: ['camera', 'director'], papers },
    500,
    true,
  ),
  noise: text({ label: 'Noise', help: 'What is heard, and when.', by: ['sound'], papers }, 500, true),
  noiseDbA: number(
    { label: 'Room level', help: 'Measured with nobody speaking.', unit: 'dB(A)', by: ['sound'], papers },
    { min: 0, max: 140, step: 1 },
  ),
  roomToneAt: moment({
    label: 'Room tone recorded',
    help: 'When the room tone was recorded, on the base’s clock.',
    by: ['sound'],
    papers: ['sound'],
  }),
  circuits: field(
    () => z.array(circuitSchema, 'a list of circuits').check(z.maxLength(20, 'at most 20 circuits')),
    { kind: 'object', form: 'circuits' },
    {
      label: 'Circuits',
      help: 'Voltage and fuse of each. A sum of amps is a planning figure, never a permission: ask a licensed electrician.',
      by: all,
      papers,
    },
  ),
  hazards: text({ label: 'Hazards', help: 'What can hurt somebody here.', by: all, papers }, 500, true),
  hazardKinds: words(
    { label: 'Kinds of hazard', help: 'Each kind that is marked shows its caution.', by: all, papers },
    HAZARD_KINDS.length,
    20,
    { options: HAZARD_KINDS },
  ),
  temperatureC: number(
    { label: 'Temperature', help: 'Measured there.', unit: '°C', by: all, papers },
    { min: -60, max: 80, step: 1, decimals: 1 },
  ),
  humidityPercent: number(
    { label: 'Humidity', help: 'Relative, measured there.', unit: '%', by: all, papers },
    { min: 0, max: 100, step: 1 },
  ),
  retired: retired(['director']),
});
