import type { SetupView, ShootReader } from '../index.ts';
import { type Chance, chanceOf, normal, normalAbove } from './chance.ts';
import { type Break, endOfWork, hoursOf, workedMinutes } from './clock.ts';
import { type Pace, paceOf, possible, usualRatio } from './pace.ts';
import { plannedMinutes, setupsOfDay } from './timeline.ts';

/** A moment that is not certain, ms since 1970: as likely before `middle` as after it, and eight times in ten in between. */
export interface Span {
  readonly early: number;
  readonly middle: number;
  readonly late: number;
}

/** When a day will end, and what that rests on. */
export interface Forecast {
  readonly wrap: Span;
  /** How likely the day ends by its planned wrap; `undefined` where none is planned. */
  readonly onTime: number | undefined;
  /** When each setup that is left would be done, in shooting order. */
  readonly setups: readonly { readonly setup: string; readonly done: Span }[];
  /** How many completed setups the unit's pace was learnt from. */
  readonly learntFrom: number;
  /** How many times its planned minutes a setup usually takes. */
  readonly usualRatio: number;
  /** Setups left whose length nobody planned. */
  readonly guessed: number;
}

/** What is left of a day, as a forecast needs it. */
export interface Rest {
  /** From when on it is worked, ms. */
  readonly from: number;
  readonly breaks: readonly Break[];
  readonly wrap: number | undefined;
  readonly setups: readonly {
    readonly setup: string;
    readonly minutes: number;
    readonly isGuess: boolean;
    /** Minutes already worked on it. */
    readonly used: number;
  }[];
}

/** How often a day is played through. */
const PLAYS = 1000;
const EARLY = 0.1;
const LATE = 0.9;

/** What is left of a day now; `null` where nothing is. @param now the base's clock, ms */
export function restOfDay(reader: ShootReader, day: string, now: number): Rest | null {
  const { call, wrap, breaks } = hoursOf(reader, day);
  const setups = setupsOfDay(reader, day);
  const lengths = plannedMinutes(setups);
  const left = setups.filter(({ view }) => view.state !== 'complete');
  if (left.length === 0) return null;
  const hasBegun = setups.some(({ view }) => view.startedAt !== undefined);
  const from = call !== undefined && !hasBegun ? Math.max(now, call) : now;
  // what is being worked on comes first, whatever its place in the plan
  const inOrder = [...left].sort((a, b) => Number(isInWork(b)) - Number(isInWork(a)));
  return {
    from,
    breaks,
    wrap,
    setups: inOrder.map(({ id, view }) => ({
      setup: id,
      minutes: lengths.get(id)?.minutes ?? 0,
      isGuess: lengths.get(id)?.isGuess ?? true,
      used:
        isInWork({ id, view }) && view.startedAt !== undefined
          ? workedMinutes(view.startedAt, now, breaks)
          : 0,
    })),
  };
}

function isInWork({ view }: SetupView): boolean {
  return view.state === 'inWork';
}

/** One way the rest of the day could go: the minutes each setup still takes. */
export function playThrough(rest: Rest, pace: Pace, chance: Chance): number[] {
  const unit = possible(pace, chance);
  return rest.setups.map(({ minutes, used }) => {
    if (minutes <= 0) return 0;
    const log =
      used > 0
        ? normalAbove(unit.mean, unit.deviation, Math.log(used / minutes), chance)
        : unit.mean + unit.deviation * normal(chance);
    return Math.max(0, minutes * Math.exp(log) - used);
  });
}

/** The forecast of what is left. The rest is played through a thousand times at the unit's own pace. */
export function forecastOf(rest: Rest, pace: Pace, seed = 1): Forecast {
  const chance = chanceOf(seed);
  const ends = rest.setups.map(() => new Float64Array(PLAYS));
  for (let play = 0; play < PLAYS; play++) {
    let at = rest.from;
    const taken = playThrough(rest, pace, chance);
    for (let index = 0; index < ends.length; index++) {
      at = endOfWork(at, taken[index] ?? 0, rest.breaks);
      const of = ends[index];
      if (of) of[play] = at;
    }
  }
  const spans = ends.map(spanOf);
  const wraps = ends.at(-1) ?? new Float64Array();
  const { wrap } = rest;
  return {
    wrap: spans.at(-1) ?? { early: rest.from, middle: rest.from, late: rest.from },
    onTime: wrap === undefined ? undefined : share(wraps, wrap),
    setups: rest.setups.map(({ setup }, index) => ({
      setup,
      done: spans[index] ?? { early: rest.from, middle: rest.from, late: rest.from },
    })),
    learntFrom: pace.setups,
    usualRatio: usualRatio(pace),
    guessed: rest.setups.filter(({ isGuess }) => isGuess).length,
  };
}

function spanOf(moments: Float64Array): Span {
  const sorted = moments.slice().sort();
  const at = (quantile: number): number =>
    sorted[Math.min(sorted.length - 1, Math.floor(quantile * sorted.length))] ?? 0;
  return { early: at(EARLY), middle: at(0.5), late: at(LATE) };
}

function share(moments: Float64Array, wrap: number): number {
  return moments.filter((moment) => moment <= wrap).length / Math.max(1, moments.length);
}

/** The forecast of a day from the board itself; `null` where nothing is left of it. @param now the base's clock, ms */
export function forecastDay(reader: ShootReader, day: string, now: number): Forecast | null {
  const rest = restOfDay(reader, day, now);
  return rest && forecastOf(rest, paceOf(reader));
}
