import { CraftError, requireInteger, requirePositive } from './errors.ts';

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

// The marks are a table because they are not the rounded powers: 3.564 is written 3.5, 5.657 is 5.6, 22.63 is 22.
// Thirds of a stop from f/0.7 to f/64 (ISO 517 for the full stops; the thirds are what lenses and menus carry).
const F_THIRDS = [
  0.7, 0.8, 0.9, 1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10,
  11, 13, 14, 16, 18, 20, 22, 25, 29, 32, 36, 40, 45, 51, 57, 64,
];
const F_HALVES = [
  0.7, 0.8, 1, 1.2, 1.4, 1.7, 2, 2.4, 2.8, 3.3, 4, 4.8, 5.6, 6.7, 8, 9.5, 11, 13, 16, 19, 22, 27, 32, 38, 45,
  54, 64,
];
// Both tables start one stop below f/1, so f/1 has index 3 in the thirds and 2 in the halves.
const F_STOPS_BELOW_ONE = 1;

// ISO 3 to ISO 102400: the R10 preferred numbers of ISO 3, with the doublings above 10 000 that cameras write.
const ISO_THIRDS = [
  3, 4, 5, 6, 8, 10, 12, 16, 20, 25, 32, 40, 50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800,
  1000, 1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000, 10000, 12800, 16000, 20000, 25600, 32000, 40000,
  51200, 64000, 80000, 102400, 128000, 160000, 204800, 256000, 320000, 409600,
];
const ISO_HALVES = [
  3, 4.5, 6, 9, 12, 18, 25, 35, 50, 70, 100, 140, 200, 280, 400, 560, 800, 1100, 1600, 2200, 3200, 4500, 6400,
  9000, 12800, 18000, 25600, 36000, 51200, 72000, 102400, 144000, 204800, 288000, 409600,
];
const ISO_STOPS_BELOW_100 = 5;

// Seconds, longest first: whole numbers are seconds, strings are fractions as they are written.
const TIME_THIRDS = [
  '30',
  '25',
  '20',
  '15',
  '13',
  '10',
  '8',
  '6',
  '5',
  '4',
  '3.2',
  '2.5',
  '2',
  '1.6',
  '1.3',
  '1',
  '0.8',
  '0.6',
  '1/2',
  '0.4',
  '0.3',
  '1/4',
  '1/5',
  '1/6',
  '1/8',
  '1/10',
  '1/13',
  '1/15',
  '1/20',
  '1/25',
  '1/30',
  '1/40',
  '1/50',
  '1/60',
  '1/80',
  '1/100',
  '1/125',
  '1/160',
  '1/200',
  '1/250',
  '1/320',
  '1/400',
  '1/500',
  '1/640',
  '1/800',
  '1/1000',
  '1/1250',
  '1/1600',
  '1/2000',
  '1/2500',
  '1/3200',
  '1/4000',
  '1/5000',
  '1/6400',
  '1/8000',
];
const TIME_HALVES = [
  '30',
  '20',
  '15',
  '10',
  '8',
  '6',
  '4',
  '3',
  '2',
  '1.5',
  '1',
  '0.7',
  '1/2',
  '1/3',
  '1/4',
  '1/6',
  '1/8',
  '1/10',
  '1/15',
  '1/20',
  '1/30',
  '1/45',
  '1/60',
  '1/90',
  '1/125',
  '1/180',
  '1/250',
  '1/350',
  '1/500',
  '1/750',
  '1/1000',
  '1/1500',
  '1/2000',
  '1/3000',
  '1/4000',
  '1/6000',
  '1/8000',
];
const TIME_STOPS_ABOVE_ONE = 5;

// Times that video cameras set exactly, by a counter and not by a spring: the mark is the value.
const VIDEO_TIMES = [
  '1/6',
  '1/12',
  '1/24',
  '1/25',
  '1/30',
  '1/33',
  '1/40',
  '1/48',
  '1/50',
  '1/60',
  '1/75',
  '1/80',
  '1/90',
  '1/96',
  '1/100',
  '1/120',
  '1/125',
  '1/150',
  '1/180',
  '1/192',
  '1/200',
  '1/240',
  '1/250',
  '1/300',
  '1/360',
  '1/400',
  '1/480',
  '1/500',
  '1/600',
  '1/800',
  '1/1000',
  '1/1200',
  '1/1500',
  '1/2000',
  '1/4000',
  '1/8000',
];

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
 * Reads an exposure time as it is written.
 *
 * @param text `1/50`, `0.02`, `2`, `1.5 s` or `1/47.952`
 * @unit s
 * @source common practice, no source
 * @throws CraftError when it cannot be read or is not above 0
 */
export function parseExposureTime(text: string): number {
  const match = /^\s*(\d+(?:\.\d+)?)(?:\s*\/\s*(\d+(?:\.\d+)?))?\s*s?\s*$/.exec(text);
  if (!match) {
    throw new CraftError('exposure time', text, 'written as 1/50, 0.02 or 2 s');
  }
  return requirePositive('exposure time', Number(match[1]) / Number(match[2] ?? 1));
}

/**
 * Writes an exposure time the way people read it.
 *
 * @param exposureSeconds s
 * @unit text
 * @formula below 0.3 s as 1/x with x to one decimal, longer ones in seconds
 * @source common practice, no source
 * @throws CraftError when it is not above 0
 */
export function formatExposureTime(exposureSeconds: number): string {
  const seconds = requirePositive('exposureSeconds', exposureSeconds);
  if (seconds >= 0.3) {
    const half = Math.abs(seconds - 0.5) < 1e-9;
    return half ? '1/2' : `${Number(seconds.toFixed(2))} s`;
  }
  const denominator = Number((1 / seconds).toFixed(1));
  return `1/${denominator}`;
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
