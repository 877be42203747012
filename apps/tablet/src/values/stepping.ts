import {
  exactFNumber,
  exactIso,
  FRAME_RATES,
  fNumberMarks,
  isoMarks,
  type Mark,
  stepMark,
  videoTimeMarks,
} from '@plumbline/craft';
import { type Json, valueProblem } from '@plumbline/replica';
import type { Control, ShootField, Shutter } from '@plumbline/shared';
import { isRead } from './reading.ts';
import { readRate, roundTo } from './trade.ts';

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
      return alongList(densitiesAtHand(context), value, direction);
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

/** The densities that can be put before the camera: those at hand where they are known, else the usual ones. */
export function densitiesAtHand({ densities: atHand }: EnteringContext): readonly number[] {
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
