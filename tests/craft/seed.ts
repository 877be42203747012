import fc from 'fast-check';

/** One seed for every random test here: printed, the same for everybody, and set by PLUMBLINE_SEED to try another. */
export const SEED = Number(process.env.PLUMBLINE_SEED ?? 273_674_740);

/** Runs a property with that seed; the title of a failing test names it. */
export function holds<Ts>(property: fc.IProperty<Ts>, numRuns = 300): void {
  fc.assert(property, { seed: SEED, numRuns });
}
