import { fNumberMarks, formatFrameRate, isoMarks, parseFrameRate, sameFrameRate } from '@plumbline/craft';
import { type Json, valueProblem } from '@plumbline/replica';
import type { Control, ShootField } from '@plumbline/shared';
import { andThen, plain, type Reading, read, unread } from './reading.ts';
import { densitiesAtHand, type EnteringContext } from './stepping.ts';
import {
  readAperture,
  readDensity,
  readIso,
  readKelvin,
  readLux,
  readMetres,
  readQuantity,
  readRate,
  readShutter,
  roundTo,
} from './trade.ts';

/** Reads what was typed into a field, in the field's own form, or says in a sentence what would do. */
export function enter(field: ShootField, text: string): Reading<Json> {
  if (text.trim() === '') {
    return field.nullable ? read(null) : unread('This field cannot be left empty.');
  }
  return andThen(readControl(field, text), (value) => {
    const problem = valueProblem(field, value);
    return problem === null ? read(value) : unread(sentence(problem));
  });
}

function sentence(problem: string): string {
  return /^[a-z]/.test(problem) ? `It must be ${problem}.` : problem;
}

function readControl(field: ShootField, text: string): Reading<Json> {
  const { control, unit } = field;
  switch (control.kind) {
    case 'fNumber':
      return readAperture(text);
    case 'shutter':
      return readShutter(text);
    case 'nd':
      return readDensity(text);
    case 'iso':
      return readIso(text);
    case 'kelvin':
      return readKelvin(text);
    case 'frameRate':
      return andThen(readRate(text), (rate) => {
        const written = formatFrameRate(rate);
        return read(sameFrameRate(parseFrameRate(written), rate) ? written : `${rate.num}/${rate.den}`);
      });
    case 'number':
      return readNumber(control, unit, text);
    case 'clock':
      return readClock(text);
    case 'choice':
      return readChoice(control.options, text);
    case 'switch':
      return readSwitch(text);
    case 'list':
      return read(
        text
          .split(/[,;،、，；\n]/)
          .map((part) => part.trim())
          .filter((part) => part !== ''),
      );
    case 'text':
      return read(
        /^\s*\d+\s*[x×]\s*\d+\s*$/i.test(text) ? plain(text).replace(/\s*[x×]\s*/, 'x') : text.trim(),
      );
    default:
      return read(text.trim());
  }
}

function readNumber(
  control: Extract<Control, { kind: 'number' }>,
  unit: string | null,
  text: string,
): Reading<number> {
  const bounds = { min: control.min, max: control.max, decimals: control.decimals };
  if (unit === 'lx') return readLux(text);
  if (unit === 'm') {
    return andThen(readMetres(text, control.min < 0), (metres) =>
      Number.isFinite(metres) ? read(roundTo(metres, control.decimals)) : read(control.max),
    );
  }
  const scale = unit === null ? {} : (OTHER_UNITS[unit] ?? {});
  return readQuantity(text, { unit: unit ?? '', ...bounds, scale });
}

/** Other units that a quantity is written in, and how many of its own one of them is. */
const OTHER_UNITS: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  Hz: { khz: 1000, k: 1000 },
  mm: { cm: 10, m: 1000 },
  min: { h: 60, hours: 60, hour: 60, mins: 1, minutes: 1 },
  MHz: { ghz: 1000 },
  dBFS: { db: 1 },
  dB: {},
  GB: { tb: 1000 },
  W: { kw: 1000 },
  '°': { deg: 1, degrees: 1, º: 1 },
  'Mbit/s': { mbps: 1, 'gbit/s': 1000 },
  bit: { bits: 1, '-bit': 1 },
  stops: { stop: 1 },
  mired: { mireds: 1 },
};

/** `7:30`, `0730`, `7.30`: a time of day. */
function readClock(text: string): Reading<string> {
  const parts = /^(\d{1,2})(?:[:.h]?(\d{2}))?$/.exec(plain(text));
  const [hour, minute] = [Number(parts?.[1]), Number(parts?.[2] ?? 0)];
  if (!parts || hour > 23 || minute > 59) return unread('Write a time of day as 07:30.');
  return read(`${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`);
}

function readChoice(options: readonly { value: string; label: string }[], text: string): Reading<string> {
  const typed = text.trim().toLowerCase();
  const found = options.find(
    (option) => option.value.toLowerCase() === typed || option.label.toLowerCase() === typed,
  );
  return found ? read(found.value) : unread(`One of ${options.map((option) => option.label).join(', ')}.`);
}

function readSwitch(text: string): Reading<boolean> {
  const typed = text.trim().toLowerCase();
  if (['on', 'yes', 'true', '1'].includes(typed)) return read(true);
  if (['off', 'no', 'false', '0'].includes(typed)) return read(false);
  return unread('On or off.');
}

/** Values worth one touch when a field is entered: the marks around what stands, or the usual ones. */
export function suggestions(
  field: ShootField,
  value: Json | undefined,
  context: EnteringContext = {},
): Json[] {
  switch (field.control.kind) {
    case 'fNumber':
      return around(
        fNumberMarks('third').map((mark) => mark.marked),
        typeof value === 'number' ? value : 4,
        4,
      );
    case 'iso':
      return around(
        isoMarks('third').map((mark) => mark.marked),
        typeof value === 'number' ? value : 800,
        4,
      );
    case 'nd':
      return [...densitiesAtHand(context)];
    case 'kelvin':
      return [2700, 3200, 4000, 4300, 5000, 5600, 6500];
    case 'shutter':
      return [
        { angleDeg: 90 },
        { angleDeg: 172.8 },
        { angleDeg: 180 },
        { angleDeg: 360 },
        { seconds: 1 / 50 },
        { seconds: 1 / 60 },
        { seconds: 1 / 100 },
      ];
    case 'frameRate':
      return ['23.976', '24', '25', '29.97', '30', '50', '59.94', '60', '100', '120'];
    default:
      return [];
  }
}

function around(list: readonly number[], value: number, span: number): number[] {
  let near = 0;
  list.forEach((entry, index) => {
    if (Math.abs(Math.log2(entry / value)) < Math.abs(Math.log2((list[near] ?? entry) / value))) near = index;
  });
  return list.slice(Math.max(0, near - span), near + span + 1);
}
