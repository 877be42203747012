/**
 * The one error this package throws: an argument that no real thing can have.
 * It says which argument, what was given and what is allowed, so that a form can put the sentence beside the field.
 */
export class CraftError extends RangeError {
  override readonly name = 'CraftError';
  /** Name of the argument, as the function's documentation spells it. */
  readonly field: string;
  /** What was given. */
  readonly value: unknown;
  /** What is allowed, in words. */
  readonly range: string;

  constructor(field: string, value: unknown, range: string) {
    super(`${field} must be ${range}, got ${describe(value)}`);
    this.field = field;
    this.value = value;
    this.range = range;
  }
}

function describe(value: unknown): string {
  return typeof value === 'string' ? `"${value}"` : String(value);
}

/**
 * No quantity of the trade is larger than this, nor nearer to zero than its inverse: a number beyond is a mistake, and
 * the bound keeps products and quotients of allowed arguments inside the range of double precision.
 */
const LARGEST = 1e30;
const SMALLEST = 1 / LARGEST;
const SANE = `of a size between ${SMALLEST} and ${LARGEST}`;

/** Returns `value` if it is a number of sane size, and throws `CraftError` otherwise. */
export function requireFinite(field: string, value: number): number {
  if (typeof value !== 'number' || !(Math.abs(value) <= LARGEST)) {
    throw new CraftError(field, value, Number.isFinite(value) ? SANE : 'a finite number');
  }
  return value;
}

/** Returns `value` if it is above zero and of sane size, and throws `CraftError` otherwise. */
export function requirePositive(field: string, value: number): number {
  if (typeof value !== 'number' || !(value >= SMALLEST && value <= LARGEST)) {
    throw new CraftError(
      field,
      value,
      Number.isFinite(value) && value > 0 ? SANE : 'a finite number above 0',
    );
  }
  return value;
}

/** Returns `value` if it is zero or above and of sane size, and throws `CraftError` otherwise. */
export function requireNotNegative(field: string, value: number): number {
  if (typeof value !== 'number' || !(value >= 0 && value <= LARGEST)) {
    throw new CraftError(
      field,
      value,
      Number.isFinite(value) && value > 0 ? SANE : 'a finite number, 0 or above',
    );
  }
  return value;
}

/** Returns `value` if it lies from `min` to `max`, both included, and throws `CraftError` otherwise. */
export function requireWithin(field: string, value: number, min: number, max: number): number {
  if (typeof value !== 'number' || !(value >= min && value <= max)) {
    throw new CraftError(field, value, `a number from ${min} to ${max}`);
  }
  return value;
}

/** Returns `value` if it is a whole number of at least `min`, and throws `CraftError` otherwise. */
export function requireInteger(field: string, value: number, min = Number.MIN_SAFE_INTEGER): number {
  if (!Number.isSafeInteger(value) || value < min) {
    const range = min === Number.MIN_SAFE_INTEGER ? 'a whole number' : `a whole number, ${min} or above`;
    throw new CraftError(field, value, range);
  }
  return value;
}

/**
 * Returns `result` if it is finite. Arguments that are each allowed can still be so far apart that the
 * answer leaves the range of double precision; that is an error too, never a silent Infinity.
 */
export function requireFiniteResult(field: string, result: number): number {
  if (!Number.isFinite(result)) {
    throw new CraftError(field, result, 'within the range of double-precision numbers');
  }
  return result;
}
