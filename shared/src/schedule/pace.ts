import { type ShootReader, setupsInShootingOrder } from '../index.ts';
import { type Chance, gamma, normal } from './chance.ts';
import { type Break, hoursOf, workedMinutes } from './clock.ts';

/**
 * What is known of how long this unit takes against its plan. The logarithm of taken over planned is held to be normally
 * spread about a mean of the unit's own; what is known of mean and spread is a normal-inverse-gamma distribution, which
 * each setup that was completed sharpens.
 */
export interface Pace {
  /** How many completed setups it rests on. */
  readonly setups: number;
  readonly mean: number;
  readonly weight: number;
  readonly shape: number;
  readonly scale: number;
}

/**
 * Before anything is shot: a setup takes a tenth longer than planned, give or take; worth two setups of experience.
 * Common practice, no source.
 */
export const NO_EXPERIENCE: Pace = {
  setups: 0,
  mean: Math.log(1.1),
  weight: 2,
  shape: 3,
  scale: 2 * 0.35 ** 2,
};

/** A setup that took under a tenth of its plan or over ten times as long was not timed; it teaches nothing. */
const BELIEVABLE = Math.log(10);

/**
 * A pace with so many setups more.
 *
 * @param ratios taken minutes over planned minutes, one for each completed setup
 * @source conjugate update of the normal-inverse-gamma distribution, Gelman et al., Bayesian Data Analysis, chapter 3 (from memory)
 */
export function learn(pace: Pace, ratios: readonly number[]): Pace {
  const logs = ratios.map(Math.log).filter((log) => Math.abs(log) < BELIEVABLE);
  if (logs.length === 0) return pace;
  const n = logs.length;
  const average = logs.reduce((sum, log) => sum + log, 0) / n;
  const squares = logs.reduce((sum, log) => sum + (log - average) ** 2, 0);
  const weight = pace.weight + n;
  return {
    setups: pace.setups + n,
    mean: (pace.weight * pace.mean + n * average) / weight,
    weight,
    shape: pace.shape + n / 2,
    scale: pace.scale + squares / 2 + (pace.weight * n * (average - pace.mean) ** 2) / (2 * weight),
  };
}

/** One unit that could be this one: the mean and spread of the logarithm of taken over planned. */
export function possible(pace: Pace, chance: Chance): { readonly mean: number; readonly deviation: number } {
  const variance = pace.scale / gamma(pace.shape, chance);
  return {
    mean: pace.mean + Math.sqrt(variance / pace.weight) * normal(chance),
    deviation: Math.sqrt(variance),
  };
}

/** How many times its planned minutes a setup of this unit usually takes. */
export function usualRatio(pace: Pace): number {
  return Math.exp(pace.mean);
}

/**
 * Taken over planned for every completed setup of a day: from the completion before it (the move to it is part of what it
 * took), or where it is the day's first from when it was started, to its own, breaks left out.
 */
export function ratiosOf(reader: ShootReader, day: string, breaks: readonly Break[]): number[] {
  const completed = setupsInShootingOrder(reader, day)
    .flatMap(({ view }) =>
      view.state === 'complete' && view.completedAt !== undefined
        ? [{ ...view, completedAt: view.completedAt }]
        : [],
    )
    .sort((a, b) => a.completedAt - b.completedAt);
  return completed.flatMap(({ startedAt, completedAt, plannedMinutes }, index) => {
    const from = completed[index - 1]?.completedAt ?? startedAt;
    if (from === undefined || plannedMinutes === undefined || plannedMinutes === 0) return [];
    const minutes = workedMinutes(from, completedAt, breaks);
    return minutes > 0 ? [minutes / plannedMinutes] : [];
  });
}

/** What the whole shoot so far says of the unit's pace. */
export function paceOf(reader: ShootReader): Pace {
  const days = reader.records('days').filter((day) => reader.value('days', day, 'retired') !== true);
  return days.reduce(
    (pace, day) => learn(pace, ratiosOf(reader, day, hoursOf(reader, day).breaks)),
    NO_EXPERIENCE,
  );
}
