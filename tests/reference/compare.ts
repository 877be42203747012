import type { CaseValue, Quantity, Tolerance } from './case.ts';
import { convert } from './units.ts';

/** What a function answered: a value, or a number with its unit. */
export type Result = CaseValue | undefined | { readonly number: number; readonly unit: string };

/** A number with the unit it is counted in. */
export function measure(number: number, unit: string): Result {
  return { number, unit };
}

/** How a result compares with its check value. */
export interface Comparison {
  readonly isRight: boolean;
  /** Largest error over what is allowed; 0 for an exact match, above 1 for a failure. */
  readonly errorOverTolerance: number;
  /** Error over the check value, for numbers other than 0. */
  readonly relativeError: number;
  /** What went wrong, in words. */
  readonly detail: string;
}

const SECONDS: Record<string, number> = { s: 1, min: 60, h: 3600, day: 86_400 };
const LAST_DIGIT = 1e-12;

const RIGHT: Comparison = { isRight: true, errorOverTolerance: 0, relativeError: 0, detail: '' };

function wrong(detail: string): Comparison {
  return {
    isRight: false,
    errorOverTolerance: Number.POSITIVE_INFINITY,
    relativeError: Number.POSITIVE_INFINITY,
    detail,
  };
}

/** Compares a result with the check value within its tolerance; no tolerance means exact. */
export function compare(result: Result, expected: Quantity, tolerance: Tolerance): Comparison {
  return compareValues(inUnit(result, expected.unit), expected.value, tolerance);
}

function inUnit(result: Result, unit: string | undefined): CaseValue | undefined {
  if (typeof result === 'object' && result !== null && 'number' in result && 'unit' in result) {
    const { number, unit: from } = result;
    return typeof number === 'number' && typeof from === 'string' ? convert(number, from, unit) : result;
  }
  return result;
}

function compareValues(result: CaseValue | undefined, expected: CaseValue, tolerance: Tolerance): Comparison {
  if (result === undefined) {
    return wrong('craft holds no such value');
  }
  if (expected === null) {
    const isNothing = result === null || (typeof result === 'number' && !Number.isFinite(result));
    return isNothing ? RIGHT : wrong(`got ${show(result)}, expected nothing`);
  }
  if (Array.isArray(expected)) {
    return compareLists(result, expected, tolerance);
  }
  if (typeof expected === 'number' && typeof result === 'number') {
    return compareNumbers(result, expected, tolerance);
  }
  if (typeof expected === 'string' && typeof result === 'string' && tolerance.kind === 'absolute') {
    return compareTimes(result, expected, tolerance);
  }
  return result === expected ? RIGHT : wrong(`got ${show(result)}, expected ${show(expected)}`);
}

function compareLists(result: CaseValue, expected: readonly CaseValue[], tolerance: Tolerance): Comparison {
  if (!Array.isArray(result) || result.length !== expected.length) {
    return wrong(`got ${show(result)}, expected ${show([...expected])}`);
  }
  return expected
    .map((item, index) => compareValues(result[index], item, tolerance))
    .reduce((worst, one) => (one.errorOverTolerance > worst.errorOverTolerance ? one : worst), RIGHT);
}

function compareNumbers(result: number, expected: number, tolerance: Tolerance): Comparison {
  const error = result - expected;
  const relativeError = expected === 0 ? 0 : Math.abs(error / expected);
  const errorOverTolerance = overTolerance(result, expected, tolerance);
  // Check values are written to 15 digits; a last digit of difference is theirs.
  const isRight = Number.isFinite(result) && (errorOverTolerance <= 1 || relativeError < LAST_DIGIT);
  return {
    isRight,
    errorOverTolerance: isRight ? Math.min(errorOverTolerance, 1) : errorOverTolerance,
    relativeError,
    detail: isRight ? '' : `got ${result}, expected ${expected}`,
  };
}

function overTolerance(result: number, expected: number, tolerance: Tolerance): number {
  const error = result - expected;
  switch (tolerance.kind) {
    case 'exact':
      return Number(result.toPrecision(15)) === Number(expected.toPrecision(15))
        ? 0
        : Number.POSITIVE_INFINITY;
    case 'absolute':
      return Math.abs(error) / tolerance.value;
    case 'relative':
      return Math.abs(error) / Math.abs(tolerance.value * expected);
    case 'range':
      return error < 0 ? -error / tolerance.minus : error / tolerance.plus;
    case 'factor':
      return Math.abs(Math.log(result / expected)) / Math.log(tolerance.value);
  }
}

/** Moments within seconds, dates within days, and dates without a year on the circle of the year. */
function compareTimes(
  result: string,
  expected: string,
  tolerance: Tolerance & { kind: 'absolute' },
): Comparison {
  const unit = tolerance.unit ?? 's';
  const allowed = tolerance.value * (SECONDS[unit] ?? Number.NaN);
  const seconds = apart(result, expected);
  if (!(Number.isFinite(allowed) && Number.isFinite(seconds))) {
    return result === expected ? RIGHT : wrong(`got ${result}, expected ${expected}`);
  }
  const isRight = seconds <= allowed;
  return {
    isRight,
    errorOverTolerance: seconds / allowed,
    relativeError: 0,
    detail: isRight ? '' : `got ${result}, expected ${expected}: ${seconds} s apart`,
  };
}

function apart(one: string, other: string): number {
  const [a, b] = [moment(one), moment(other)];
  const seconds = Math.abs(a - b) / 1000;
  const isWithoutYear = /^\d{2}-\d{2}$/.test(other);
  return isWithoutYear ? Math.min(seconds, 366 * 86_400 - seconds) : seconds;
}

function moment(text: string): number {
  return Date.parse(/^\d{2}-\d{2}$/.test(text) ? `2000-${text}T00:00:00Z` : text);
}

function show(value: CaseValue): string {
  return JSON.stringify(value);
}
