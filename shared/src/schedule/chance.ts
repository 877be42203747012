/** Random numbers over [0, 1), given by whoever asks for a forecast so that it can be had again. */
export type Chance = () => number;

/** A generator that comes again with its seed (mulberry32). */
export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** One draw of the standard normal distribution (Box and Muller). */
export function normal(chance: Chance): number {
  const radius = Math.sqrt(-2 * Math.log(1 - chance()));
  return radius * Math.cos(2 * Math.PI * chance());
}

/**
 * One draw of the gamma distribution with scale 1.
 *
 * @param shape at least 1
 * @source Marsaglia and Tsang, A simple method for generating gamma variables, 2000
 */
export function gamma(shape: number, chance: Chance): number {
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normal(chance);
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(1 - chance()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
}

const TRIES = 64;

/** One draw of a normal distribution given that it is above a bound. */
export function normalAbove(mean: number, deviation: number, bound: number, chance: Chance): number {
  const low = (bound - mean) / deviation;
  if (low < 1) {
    for (let attempt = 0; attempt < TRIES; attempt++) {
      const x = normal(chance);
      if (x > low) return mean + deviation * x;
    }
  }
  // far out in the tail: Robert, Simulation of truncated normal variables, 1995
  const rate = (low + Math.sqrt(low * low + 4)) / 2;
  for (;;) {
    const x = low - Math.log(1 - chance()) / rate;
    if (chance() <= Math.exp(-((x - rate) ** 2) / 2)) return mean + deviation * x;
  }
}
