import { CraftError, requireInteger, requireNotNegative, requirePositive } from './errors.ts';
import { radioConflicts } from './radio.ts';

/** A stretch of spectrum, both ends included. */
export interface Band {
  readonly fromMHz: number;
  readonly toMHz: number;
}

/** What set of carriers is wanted. */
export interface RadioPlan {
  /** How many new carriers. */
  readonly count: number;
  /** Where they may lie. */
  readonly bands: readonly Band[];
  /** Where they may not: television transmitters, other units, a frequency heard in a scan. */
  readonly exclusions?: readonly Band[];
  /** Carriers that are already in use and stay. */
  readonly taken?: readonly number[];
  /** Steps that the transmitters can be tuned in, MHz; 0.025 when left out. */
  readonly stepMHz?: number;
  /** Least distance between two carriers, MHz; 0.3 when left out. */
  readonly spacingMHz?: number;
  /** Least distance of a 2A − B product from a carrier, MHz; 0.1 when left out. */
  readonly thirdTwoMHz?: number;
  /** Least distance of an A + B − C product from a carrier, MHz; 0.05 when left out, null to not look. */
  readonly thirdThreeMHz?: number | null;
  /** Least distance of a 3A − 2B product from a carrier, MHz; not looked at when left out. */
  readonly fifthMHz?: number;
  /** Start of the pseudo-random order that later tries use; 1 when left out. The same seed finds the same set. */
  readonly seed?: number;
  /** Tries before giving up; 40 when left out. */
  readonly tries?: number;
}

const HZ_PER_MHZ = 1_000_000;

interface Guards {
  readonly spacing: number;
  readonly two: number;
  readonly three: number;
  readonly fifth: number;
}

/**
 * Searches for carriers that are compatible with each other and with those in use.
 *
 * @param plan how many, where, and how far apart everything must be
 * @unit MHz in ascending order, or null when no set was found
 * @formula greedy choice with a map of the frequencies that products make useless, in rising order first and then in pseudo-random orders
 * @constants 25 kHz steps, 300 kHz between carriers, 100 kHz from 2A − B, 50 kHz from A + B − C (common practice, no source)
 * @source intermodulation of transmitters (textbooks of radio coordination)
 * @note Which frequencies may be used is local law and licence: ask the authority. No set found does not prove that there is none.
 * @throws CraftError when a figure is out of range or the carriers in use already disturb each other
 */
export function findCarriers(plan: RadioPlan): number[] | null {
  const count = requireInteger('count', plan.count, 1);
  const tries = requireInteger('tries', plan.tries ?? 40, 1);
  const guards = guardsOf(plan);
  const candidates = candidatesOf(plan);
  const taken = takenOf(plan, guards);
  const start = new Uint8Array(candidates.length);
  for (const [index, carrier] of taken.entries()) {
    block(carrier, taken.slice(0, index), candidates, start, guards);
  }
  const random = mulberry32(requireInteger('seed', plan.seed ?? 1));
  const order = Uint32Array.from(candidates, (_, index) => index);
  for (let attempt = 0; attempt < tries; attempt += 1) {
    if (attempt > 0) {
      shuffle(order, random);
    }
    const found = greedy(taken, candidates, start.slice(), order, guards, count);
    if (found) {
      return found.sort((a, b) => a - b).map((hertz) => hertz / HZ_PER_MHZ);
    }
  }
  return null;
}

/** The carriers in use, which must not disturb each other already. */
function takenOf(plan: RadioPlan, guards: Guards): number[] {
  const taken = plan.taken ?? [];
  const conflict = radioConflicts(taken, {
    thirdTwoMHz: guards.two / HZ_PER_MHZ,
    ...(guards.three >= 0 && { thirdThreeMHz: guards.three / HZ_PER_MHZ }),
    ...(guards.fifth >= 0 && { fifthMHz: guards.fifth / HZ_PER_MHZ }),
  })[0];
  const hertz = taken.map((carrier) => Math.round(carrier * HZ_PER_MHZ));
  const tooClose = hertz.find((carrier, index) =>
    hertz.some((other, at) => at !== index && Math.abs(other - carrier) < guards.spacing),
  );
  if (conflict || tooClose !== undefined) {
    const carrier = conflict ? taken[conflict.carrier] : (tooClose ?? 0) / HZ_PER_MHZ;
    throw new CraftError('taken', carrier, 'carriers that do not disturb each other already');
  }
  return hertz;
}

function guardsOf(plan: RadioPlan): Guards {
  const hertz = (field: string, value: number) => Math.round(requireNotNegative(field, value) * HZ_PER_MHZ);
  return {
    spacing: hertz('spacingMHz', plan.spacingMHz ?? 0.3),
    two: hertz('thirdTwoMHz', plan.thirdTwoMHz ?? 0.1),
    three: plan.thirdThreeMHz === null ? -1 : hertz('thirdThreeMHz', plan.thirdThreeMHz ?? 0.05),
    fifth: plan.fifthMHz === undefined ? -1 : hertz('fifthMHz', plan.fifthMHz),
  };
}

function candidatesOf(plan: RadioPlan): Float64Array {
  const step = Math.round(requirePositive('stepMHz', plan.stepMHz ?? 0.025) * HZ_PER_MHZ);
  if (step < 1) {
    throw new CraftError('stepMHz', plan.stepMHz, 'at least 0.000001');
  }
  const bands = plan.bands.map((band) => inHertz('bands', band));
  const closed = (plan.exclusions ?? []).map((band) => inHertz('exclusions', band));
  const candidates = new Set<number>();
  for (const { from, to } of bands) {
    if ((to - from) / step > 200_000) {
      throw new CraftError('bands', `${(to - from) / HZ_PER_MHZ} MHz`, 'at most 200000 steps wide');
    }
    for (let at = from; at <= to; at += step) {
      if (!closed.some((band) => at >= band.from && at <= band.to)) {
        candidates.add(at);
      }
    }
  }
  return Float64Array.from(candidates).sort();
}

function inHertz(field: string, band: Band): { from: number; to: number } {
  const from = Math.round(requirePositive(`${field}.fromMHz`, band.fromMHz) * HZ_PER_MHZ);
  const to = Math.round(requirePositive(`${field}.toMHz`, band.toMHz) * HZ_PER_MHZ);
  if (to < from) {
    throw new CraftError(`${field}.toMHz`, band.toMHz, `at least ${band.fromMHz}`);
  }
  return { from, to };
}

function greedy(
  taken: readonly number[],
  candidates: Float64Array,
  blocked: Uint8Array,
  order: Uint32Array,
  guards: Guards,
  count: number,
): number[] | null {
  const carriers = [...taken];
  for (const index of order) {
    const candidate = candidates[index] ?? 0;
    if (blocked[index] === 0) {
      block(candidate, carriers, candidates, blocked, guards);
      carriers.push(candidate);
      if (carriers.length === taken.length + count) {
        return carriers.slice(taken.length);
      }
    }
  }
  return null;
}

/**
 * Marks what a new carrier makes useless for the next one, y. Each condition "a product that y has a part in falls
 * on a carrier" is solved for y and gives a frequency that y must keep away from: 2A − B falls on y, or y is its A
 * (then y is near the middle of B and the carrier that is hit), or its B; and so on for the other kinds.
 */
function block(
  x: number,
  others: readonly number[],
  candidates: Float64Array,
  blocked: Uint8Array,
  guards: Guards,
): void {
  const near = (centre: number, reach: number) => {
    if (reach >= 0) {
      for (
        let at = firstAtLeast(candidates, centre - reach);
        (candidates[at] ?? Infinity) <= centre + reach;
        at += 1
      ) {
        blocked[at] = 1;
      }
    }
  };
  const { two, three, fifth } = guards;
  const third = Math.max(two, three);
  // 2A − B falls near B itself, and 3A − 2B too, when A and B lie closer than a part of the guard.
  near(x, Math.max(guards.spacing - 1, two / 2, fifth / 3, 0));
  for (const [index, a] of others.entries()) {
    near(2 * x - a, third);
    near(2 * a - x, third);
    near((x + a) / 2, third / 2);
    if (three >= 0) {
      for (const b of others.slice(0, index)) {
        near(a + b - x, three);
        near(x + a - b, three);
        near(x + b - a, three);
      }
    }
    if (fifth >= 0) {
      near(3 * x - 2 * a, fifth);
      near(3 * a - 2 * x, fifth);
      near((2 * x + a) / 3, fifth / 3);
      near((2 * a + x) / 3, fifth / 3);
      near((3 * x - a) / 2, fifth / 2);
      near((3 * a - x) / 2, fifth / 2);
    }
  }
}

/** Index of the first value that is not below `target`. */
function firstAtLeast(sorted: Float64Array, target: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((sorted[middle] ?? 0) < target) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

/** Mulberry32: a small generator whose whole state is its seed. */
function mulberry32(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

function shuffle(order: Uint32Array, random: () => number): void {
  for (let index = order.length - 1; index > 0; index -= 1) {
    const other = Math.floor(random() * (index + 1));
    const kept = order[index] ?? 0;
    order[index] = order[other] ?? 0;
    order[other] = kept;
  }
}
