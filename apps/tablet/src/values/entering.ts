import {
  exactFNumber,
  exactIso,
  FRAME_RATES,
  fNumberMarks,
  formatFrameRate,
  isoMarks,
  type Mark,
  parseFrameRate,
  sameFrameRate,
  stepMark,
  videoTimeMarks,
} from '@plumbline/craft';
import { type Json, valueProblem } from '@plumbline/replica';
import type { Control, ShootField, Shutter } from '@plumbline/shared';
import { andThen, isRead, plain, type Reading, read, unread } from './reading.ts';
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

/** What entering a value may need to know beyond the field. */
export interface EnteringContext {
  /** Densities at hand for the camera, where they are known. */
  readonly densities?: readonly number[];
}

/** Shutter angles that cameras offer and the trade names. Common practice, no source. */
const ANGLES = [11.25, 22.5, 45, 72, 90, 108, 120, 144, 150, 172.8, 180, 216, 270, 300, 360];

/** Densities of the filters that are sold one by one, a stop apart. Common practice, no source. */
const DENSITIES = [0, 0.3, 0.6, 0.9, 1.2, 1.5, 1.8, 2.1, 2.4];

const RATES = Object.keys(FRAME_RATES).sort((a, b) => Number(a) - Number(b));

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
          .split(/[,;\n]/)
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

/** One step up or down from a value; `null` where there is none further. */
export function step(
  field: ShootField,
  value: Json,
  direction: 1 | -1,
  context: EnteringContext = {},
): Json | null {
  const next = stepControl(field.control, value, direction, context);
  return next === null || next === value || valueProblem(field, next) !== null ? null : next;
}

function stepControl(
  control: Control,
  value: Json,
  direction: 1 | -1,
  context: EnteringContext,
): Json | null {
  if (control.kind === 'shutter') return isShutter(value) ? stepShutter(value, direction) : null;
  if (control.kind === 'frameRate') return typeof value === 'string' ? stepRate(value, direction) : null;
  if (typeof value !== 'number') return null;
  switch (control.kind) {
    case 'fNumber':
      return alongMarks(fNumberMarks('third'), value, exactFNumber(value), direction);
    case 'iso':
      return alongMarks(isoMarks('third'), value, exactIso(value), direction);
    case 'nd':
      return alongList(densities(context), value, direction);
    case 'kelvin':
      return alongGrid(value, value + direction <= 10_000 ? 100 : 500, direction);
    case 'number':
      return roundTo(
        Math.min(Math.max(alongGrid(value, control.step, direction), control.min), control.max),
        Math.max(control.decimals, decimalsOf(control.step)),
      );
    default:
      return null;
  }
}

/** Whether a field of this kind is stepped at all. */
export function isStepped({ control }: ShootField): boolean {
  return ['fNumber', 'shutter', 'iso', 'nd', 'kelvin', 'frameRate', 'number'].includes(control.kind);
}

function densities({ densities: atHand }: EnteringContext): readonly number[] {
  return atHand && atHand.length > 0 ? [...new Set([0, ...atHand])].sort((a, b) => a - b) : DENSITIES;
}

/** The next mark beyond a value. A value between two marks goes to the nearer end of its gap, not past it. */
function alongMarks(marks: readonly Mark[], written: number, exact: number, direction: 1 | -1): number {
  const near = stepMark(marks, exact, 0);
  if (near.marked !== written && Math.sign(near.exact - exact) === direction) return near.marked;
  return stepMark(marks, exact, direction).marked;
}

function alongList(list: readonly number[], value: number, direction: 1 | -1): number | null {
  const beyond = list.filter((entry) => (entry - value) * direction > 1e-6);
  return (direction === 1 ? beyond[0] : beyond.at(-1)) ?? null;
}

/** The next multiple of a step beyond a value. */
function alongGrid(value: number, size: number, direction: 1 | -1): number {
  const steps = value / size;
  const next = direction === 1 ? Math.floor(steps + 1e-6) + 1 : Math.ceil(steps - 1e-6) - 1;
  return roundTo(next * size, 6);
}

function decimalsOf(size: number): number {
  return String(size).split('.')[1]?.length ?? 0;
}

function isShutter(value: Json): value is Shutter {
  return typeof value === 'object' && value !== null && ('angleDeg' in value || 'seconds' in value);
}

function stepShutter(shutter: Shutter, direction: 1 | -1): Shutter | null {
  if ('angleDeg' in shutter) {
    const angleDeg = alongList(ANGLES, shutter.angleDeg, direction);
    return angleDeg === null ? null : { angleDeg };
  }
  // Up is longer for a time as it is for an angle.
  const times = videoTimeMarks()
    .map((mark) => mark.exact)
    .sort((a, b) => a - b);
  const beyond = times.filter((time) => (time / shutter.seconds - 1) * direction > 1e-4);
  const seconds = direction === 1 ? beyond[0] : beyond.at(-1);
  return seconds === undefined ? null : { seconds };
}

function stepRate(rate: string, direction: 1 | -1): string | null {
  const typed = readRate(rate);
  if (!isRead(typed)) return null;
  const fps = typed.value.num / typed.value.den;
  const beyond = RATES.filter((name) => (Number(name) - fps) * direction > 0.005);
  return (direction === 1 ? beyond[0] : beyond.at(-1)) ?? null;
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
      return [...densities(context)];
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
