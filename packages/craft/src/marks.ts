import { CraftError, requireInteger, requirePositive } from './errors.ts';
import {
  F_HALVES,
  F_STOPS_BELOW_ONE,
  F_THIRDS,
  ISO_HALVES,
  ISO_STOPS_BELOW_100,
  ISO_THIRDS,
  TIME_HALVES,
  TIME_STOPS_ABOVE_ONE,
  TIME_THIRDS,
  VIDEO_TIMES,
} from './mark-tables.ts';
import { parseExposureTime } from './written-time.ts';

export * from './written-time.ts';

/** A value as people write it, and what it stands for. */
export interface Mark {
  /** The number on the ring or in the menu. */
  readonly marked: number;
  /** The power of two behind it. */
  readonly exact: number;
  /** The mark as it is written: `f/5.6`, `ISO 800`, `1/50`. */
  readonly label: string;
}

/** How fine a series is. */
export type MarkStep = 'full' | 'half' | 'third';

const STEPS_PER_STOP: Record<MarkStep, number> = { full: 1, half: 2, third: 3 };

function everyThird<T>(list: readonly T[]): T[] {
  return list.filter((_, index) => index % 3 === 0);
}

const fSeries: Record<MarkStep, readonly Mark[]> = {
  full: buildF(everyThird(F_THIRDS), 'full'),
  half: buildF(F_HALVES, 'half'),
  third: buildF(F_THIRDS, 'third'),
};

function buildF(marked: readonly number[], step: MarkStep): readonly Mark[] {
  const perStop = STEPS_PER_STOP[step];
  return marked.map((mark, index) => ({
    marked: mark,
    exact: 2 ** ((index / perStop - F_STOPS_BELOW_ONE) / 2),
    label: `f/${mark}`,
  }));
}

const isoSeries: Record<MarkStep, readonly Mark[]> = {
  full: buildIso(everyThird(ISO_THIRDS), 'full'),
  half: buildIso(ISO_HALVES, 'half'),
  third: buildIso(ISO_THIRDS, 'third'),
};

function buildIso(marked: readonly number[], step: MarkStep): readonly Mark[] {
  const perStop = STEPS_PER_STOP[step];
  return marked.map((mark, index) => ({
    marked: mark,
    exact: 100 * 2 ** (index / perStop - ISO_STOPS_BELOW_100),
    label: `ISO ${mark}`,
  }));
}

const timeSeries: Record<MarkStep, readonly Mark[]> = {
  full: buildTimes(everyThird(TIME_THIRDS), 'full'),
  half: buildTimes(TIME_HALVES, 'half'),
  third: buildTimes(TIME_THIRDS, 'third'),
};

function buildTimes(labels: readonly string[], step: MarkStep): readonly Mark[] {
  const perStop = STEPS_PER_STOP[step];
  return labels.map((text, index) => ({
    marked: parseExposureTime(text),
    exact: 2 ** (TIME_STOPS_ABOVE_ONE - index / perStop),
    label: text.includes('/') ? text : `${text} s`,
  }));
}

const videoTimes: readonly Mark[] = VIDEO_TIMES.map((text) => {
  const seconds = parseExposureTime(text);
  return { marked: seconds, exact: seconds, label: text };
});

/**
 * The marked apertures from f/0.7 to f/64, with the exact values behind them.
 *
 * @param step full, half or third stops
 * @unit f-number
 * @formula N = 2^(n/2), n in stops from f/1
 * @source ISO 517 (full stops); half and third marks from memory
 * @note A table, not a rounding: exact 3.564 is written 3.5 and exact 22.63 is written 22.
 */
export function fNumberMarks(step: MarkStep): readonly Mark[] {
  return fSeries[step];
}

/**
 * The marked sensitivities from ISO 3 to ISO 409600, with the exact values behind them.
 *
 * @param step full, half or third stops
 * @unit ISO
 * @formula S = 100 · 2^n, n in stops from ISO 100
 * @source ISO 12232 and ISO 3 (R10 series), from memory
 */
export function isoMarks(step: MarkStep): readonly Mark[] {
  return isoSeries[step];
}

/**
 * The marked exposure times of still photography from 30 s to 1/8000 s, with the exact powers of two behind them.
 *
 * @param step full, half or third stops
 * @unit s
 * @formula t = 2^−n, n in stops from 1 s
 * @source the marked series, from memory
 * @note Video cameras count their times exactly: see `videoTimeMarks`.
 */
export function exposureTimeMarks(step: MarkStep): readonly Mark[] {
  return timeSeries[step];
}

/**
 * Exposure times that video cameras offer; here the mark is the value (1/48 is 1/48).
 *
 * @unit s
 * @source common practice, no source
 */
export function videoTimeMarks(): readonly Mark[] {
  return videoTimes;
}

/**
 * Exact aperture behind a written one.
 *
 * @param written f-number as marked; a number that is no mark returns itself
 * @unit f-number
 * @formula 5.6 → 2^2.5
 * @source ISO 517
 * @note Where a third-stop and a half-stop mark read the same (1.2, 13), the third-stop value is meant.
 * @throws CraftError when it is not above 0
 */
export function exactFNumber(written: number): number {
  return exactOf(fSeries, requirePositive('written', written));
}

/**
 * Exact sensitivity behind a written one.
 *
 * @param written ISO as marked; a number that is no mark returns itself
 * @unit ISO
 * @formula 160 → 100 · 2^(2/3)
 * @source ISO 12232, from memory
 * @throws CraftError when it is not above 0
 */
export function exactIso(written: number): number {
  return exactOf(isoSeries, requirePositive('written', written));
}

function exactOf(series: Record<MarkStep, readonly Mark[]>, written: number): number {
  for (const step of ['third', 'half'] as const) {
    const mark = series[step].find((candidate) => candidate.marked === written);
    if (mark) {
      return mark.exact;
    }
  }
  return written;
}

/**
 * The mark that lies nearest to a value, measured in stops.
 *
 * @param marks a series
 * @param exactValue exact value, above 0
 * @unit that of the series
 * @source definition of the stop
 * @throws CraftError when the value is not above 0 or the series is empty
 */
export function nearestMark(marks: readonly Mark[], exactValue: number): Mark {
  return markAt(marks, nearestIndex(marks, exactValue));
}

/**
 * The mark some steps away from the one nearest to a value. Stays on the last mark at either end of the series.
 *
 * @param marks a series
 * @param exactValue exact value, above 0
 * @param steps whole steps along the series; negative goes back
 * @unit that of the series
 * @source definition of the series
 * @throws CraftError when the value is not above 0, the steps not whole or the series empty
 */
export function stepMark(marks: readonly Mark[], exactValue: number, steps: number): Mark {
  const index = nearestIndex(marks, exactValue) + requireInteger('steps', steps);
  return markAt(marks, Math.min(Math.max(index, 0), marks.length - 1));
}

function nearestIndex(marks: readonly Mark[], exactValue: number): number {
  const target = Math.log2(requirePositive('exactValue', exactValue));
  let best = -1;
  let distance = Number.POSITIVE_INFINITY;
  marks.forEach((mark, index) => {
    const away = Math.abs(Math.log2(mark.exact) - target);
    if (away < distance) {
      best = index;
      distance = away;
    }
  });
  return best;
}

function markAt(marks: readonly Mark[], index: number): Mark {
  const mark = marks[index];
  if (!mark) {
    throw new CraftError('marks', marks.length, 'a series of at least one mark');
  }
  return mark;
}

/**
 * Logarithmic speed (the degrees of the old film scale).
 *
 * @param iso arithmetic speed, ISO
 * @unit degree, whole
 * @formula S° = round(10 log10 S + 1)
 * @source ISO 12232 / ISO 6, from memory
 * @throws CraftError when the speed is not above 0
 */
export function speedDegrees(iso: number): number {
  return Math.round(10 * Math.log10(requirePositive('iso', iso)) + 1);
}
