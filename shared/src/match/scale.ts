import type { MatchScale } from './model.ts';

/** Distances between ticks that read well, for each power of ten. */
const STEPS = [1, 2, 5, 10];

/** The most ticks on either side of 0 that can be read on a small screen. */
const MOST_TICKS = 4;

/**
 * A scale that holds all values and is the same on both sides of 0, so that rows can be compared at a glance.
 *
 * @param least what it spans at least, so that a row that agrees does not look torn
 * @param signed whether values fall below 0 at all
 */
export function scaleFor(
  values: readonly number[],
  { least, tolerance, signed, step }: { least: number; tolerance: number; signed: boolean; step?: number },
): MatchScale {
  const reach = Math.max(least, tolerance, ...values.map(Math.abs));
  const size = step ? step * Math.ceil(reach / step / MOST_TICKS - 1e-9) : niceStep(reach / MOST_TICKS);
  const steps = Math.max(1, Math.ceil(reach / size - 1e-9));
  const first = signed ? -steps : 0;
  const ticks = Array.from({ length: steps - first + 1 }, (_, index) => {
    const value = Number(((first + index) * size).toPrecision(12));
    return { value, label: tickLabel(value, signed) };
  });
  return { min: signed ? -steps * size : 0, max: steps * size, ticks, tolerance };
}

function niceStep(rough: number): number {
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = STEPS.find((candidate) => candidate * power >= rough * (1 - 1e-9)) ?? 10;
  return step * power;
}

function tickLabel(value: number, signed: boolean): string {
  if (value === 0 || !signed) return String(value);
  return value > 0 ? `+${value}` : `−${Math.abs(value)}`;
}
