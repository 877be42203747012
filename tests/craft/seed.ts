import fc from 'fast-check';

/** One seed for every random test here: printed, and set by CRAFT_SEED to see a failure again. */
export const SEED = Number(process.env.CRAFT_SEED ?? Date.now() % 2 ** 31);

/** Runs a property with that seed; the title of a failing test names it. */
export function holds<Ts>(property: fc.IProperty<Ts>, numRuns = 300): void {
  fc.assert(property, { seed: SEED, numRuns });
}
