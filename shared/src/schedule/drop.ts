import type { ShootReader } from '../index.ts';
import { matchGroupOf } from '../index.ts';
import { chanceOf } from './chance.ts';
import { endOfWork } from './clock.ts';
import { playThrough, type Rest, restOfDay } from './forecast.ts';
import { type Pace, paceOf } from './pace.ts';

/** Setups whose dropping would make the day. */
export interface Dropping {
  readonly setups: readonly string[];
  /** How likely the day then ends by its planned wrap. */
  readonly onTime: number;
  /** The planned minutes that are given up. */
  readonly minutes: number;
  /** Setups among them that others are matched to. */
  readonly references: readonly string[];
}

/** What can be dropped, and how dearly. */
export interface Candidate {
  readonly setup: string;
  /** What giving it up costs; the lowest sum is offered first. */
  readonly cost: number;
  readonly isReference: boolean;
}

const PLAYS = 400;
/** Offered where the day is then made as often as this. */
const LIKELY = 0.8;
const MOST_CANDIDATES = 10;
const MOST_TOGETHER = 4;
const MOST_OFFERED = 3;
const COST = { spare: 1, want: 3 } as const;
/** A setup that others are matched to is given up last of its kind. */
const REFERENCE_COST = 2;

/**
 * What could be dropped to end by the planned wrap, the least painful first: those marked as such before those wanted,
 * none that must be had. Empty where the day is likely made anyway, no wrap is planned, or nothing would help.
 */
export function whatToDrop(
  rest: Rest,
  pace: Pace,
  candidates: readonly Candidate[],
  seed = 1,
): readonly Dropping[] {
  const { wrap } = rest;
  if (wrap === undefined) return [];
  const chance = chanceOf(seed);
  const plays = Array.from({ length: PLAYS }, () => playThrough(rest, pace, chance));
  const onTime = (dropped: ReadonlySet<string>): number => {
    let made = 0;
    for (const minutes of plays) {
      let at = rest.from;
      for (const [index, { setup }] of rest.setups.entries()) {
        if (!dropped.has(setup)) at = endOfWork(at, minutes[index] ?? 0, rest.breaks);
      }
      if (at <= wrap) made++;
    }
    return made / PLAYS;
  };
  if (onTime(new Set()) >= LIKELY) return [];
  const cheapest = [...candidates].sort((a, b) => a.cost - b.cost).slice(0, MOST_CANDIDATES);
  const sets = subsets(cheapest, MOST_TOGETHER)
    .map((set) => ({
      set,
      cost: set.reduce((sum, { cost }) => sum + cost, 0),
      minutes: minutesOf(rest, set),
    }))
    .sort((a, b) => a.cost - b.cost || a.minutes - b.minutes);
  const offered: Dropping[] = [];
  for (const { set, minutes } of sets) {
    if (offered.length === MOST_OFFERED) break;
    // what already helps with less given up is not offered again with more
    const contains = offered.some(({ setups }) =>
      setups.every((id) => set.some(({ setup }) => setup === id)),
    );
    if (contains) continue;
    const chanceThen = onTime(new Set(set.map(({ setup }) => setup)));
    if (chanceThen < LIKELY) continue;
    offered.push({
      setups: set.map(({ setup }) => setup),
      onTime: chanceThen,
      minutes,
      references: set.filter(({ isReference }) => isReference).map(({ setup }) => setup),
    });
  }
  return offered;
}

function minutesOf(rest: Rest, set: readonly Candidate[]): number {
  return rest.setups
    .filter(({ setup }) => set.some((candidate) => candidate.setup === setup))
    .reduce((sum, { minutes }) => sum + minutes, 0);
}

function subsets(from: readonly Candidate[], most: number): (readonly Candidate[])[] {
  const result: (readonly Candidate[])[] = [];
  const extend = (set: readonly Candidate[], start: number): void => {
    for (let index = start; index < from.length; index++) {
      const next = from[index];
      if (!next) continue;
      const grown = [...set, next];
      result.push(grown);
      if (grown.length < most) extend(grown, index + 1);
    }
  };
  extend([], 0);
  return result;
}

/** What could be dropped of a day to make it. @param now the base's clock, ms */
export function dropsOfDay(reader: ShootReader, day: string, now: number): readonly Dropping[] {
  const rest = restOfDay(reader, day, now);
  if (!rest) return [];
  const candidates = rest.setups.flatMap(({ setup, used }): Candidate[] => {
    const priority = reader.value('setups', setup, 'priority') ?? 'want';
    if (priority === 'must' || used > 0) return [];
    const group = matchGroupOf(reader, setup);
    const isReference = group !== undefined && group.setups.length > 1 && group.reference === setup;
    return [{ setup, cost: COST[priority] + (isReference ? REFERENCE_COST : 0), isReference }];
  });
  return whatToDrop(rest, paceOf(reader), candidates);
}
