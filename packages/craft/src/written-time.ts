import { CraftError, requirePositive } from './errors.ts';

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
