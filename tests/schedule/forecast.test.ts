import {
  forecastOf,
  learn,
  NO_EXPERIENCE,
  type Rest,
  usualRatio,
  whatToDrop,
} from '@plumbline/shared/schedule';
import { describe, expect, it } from 'vitest';
import { IS_WHOLE, size } from '../soak/size.ts';
import { type Random, randomOf, seedOf } from '../support/random.ts';

const MINUTE = 60_000;
const CALL = Date.parse('2027-05-14T07:00:00Z');

const normalOf = (random: Random): number =>
  Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());

/** A unit as the simulation makes it: how its setups run over, and how evenly. */
type Unit = (random: Random) => () => number;

/** Setups take a lognormal multiple of their plan; units differ as the forecast supposes they do. */
const asSupposed: Unit = (random) => {
  const mean = 0.1 + 0.25 * normalOf(random);
  const deviation = 0.25 + 0.2 * random.next();
  return () => Math.exp(mean + deviation * normalOf(random));
};

/** Setups mostly take what they are planned for, and now and then half as much again or twice as much. */
const mishaps: Unit = (random) => {
  const base = 0.85 + 0.4 * random.next();
  const often = 0.1 + 0.2 * random.next();
  return () => base * (0.85 + 0.3 * random.next()) * (random.next() < often ? 1.4 + 0.8 * random.next() : 1);
};

/** A triangular multiple, as in a network plan's three-point estimate. */
const threePoint: Unit = (random) => {
  const low = 0.6 + 0.2 * random.next();
  const high = 1.5 + 0.9 * random.next();
  const top = 1 + 0.2 * random.next();
  const at = (top - low) / (high - low);
  return () => {
    const u = random.next();
    return u < at
      ? low + Math.sqrt(u * (high - low) * (top - low))
      : high - Math.sqrt((1 - u) * (high - low) * (high - top));
  };
};

/** How often the day ends inside the range that was stated, at a random point of so many simulated days. */
function coverage(unit: Unit, days: number, random: Random): number {
  let inside = 0;
  for (let day = 0; day < days; day++) {
    const draw = unit(random);
    const planned = Array.from({ length: 8 + random.below(18) }, () => 10 + 5 * random.below(10));
    const taken = planned.map((minutes) => minutes * draw());
    const done = random.below(planned.length);
    const used = random.next() * (taken[done] ?? 0);
    const before = taken.slice(0, done).reduce((sum, minutes) => sum + minutes, 0) + used;
    const now = CALL + before * MINUTE;
    const rest: Rest = {
      from: now,
      breaks: [],
      wrap: undefined,
      setups: planned.slice(done).map((minutes, index) => ({
        setup: `s${done + index}`,
        minutes,
        isGuess: false,
        used: index === 0 ? used : 0,
      })),
    };
    const pace = learn(
      NO_EXPERIENCE,
      taken.slice(0, done).map((minutes, index) => minutes / (planned[index] ?? 1)),
    );
    const { wrap } = forecastOf(rest, pace, day + 1);
    const end = CALL + taken.reduce((sum, minutes) => sum + minutes, 0) * MINUTE;
    if (end >= wrap.early && end <= wrap.late) inside++;
  }
  return inside / days;
}

/** Everybody tires: the last setup of a day takes a quarter longer than the first would have. */
const tiring: Unit = (random) => {
  const draw = asSupposed(random);
  let drawn = 0;
  return () => draw() * (1 + 0.25 * Math.min(1, drawn++ / 20));
};

/** Fewer days tell less surely how often it held: by one and a half standard deviations of what 400 days show. */
const DAYS = size(1000, 400);
const UNSURE = IS_WHOLE ? 0 : 0.03;

describe('the range of the wrap holds as often as it says, eight times in ten', () => {
  const seed = seedOf(20270514);
  it.each([
    { world: 'setups run over as supposed', unit: asSupposed, least: 0.75, most: 0.85 },
    { world: 'most setups go to plan and some go wrong', unit: mishaps, least: 0.75, most: 0.85 },
    {
      world: 'units hardly differ, so that it may hold more often',
      unit: threePoint,
      least: 0.75,
      most: 0.95,
    },
    {
      world: 'everybody tires, so that it may hold a little less often',
      unit: tiring,
      least: 0.7,
      most: 0.85,
    },
  ])(`over ${DAYS} simulated days where $world`, ({ unit, least, most }) => {
    const held = coverage(unit, DAYS, randomOf(seed));
    console.log(`seed ${seed}: the stated 80 % held on ${(held * 100).toFixed(1)} % of the days`);
    expect(held).toBeGreaterThanOrEqual(least - UNSURE);
    expect(held).toBeLessThanOrEqual(most + UNSURE);
  });
});

const rest = (minutes: readonly number[], wrapMinutes?: number): Rest => ({
  from: CALL,
  breaks: [],
  wrap: wrapMinutes === undefined ? undefined : CALL + wrapMinutes * MINUTE,
  setups: minutes.map((each, index) => ({ setup: `s${index}`, minutes: each, isGuess: false, used: 0 })),
});

describe('the forecast learns the pace of its own unit', () => {
  it('a unit that takes half as long again is expected to go on so', () => {
    const pace = learn(
      NO_EXPERIENCE,
      Array.from({ length: 40 }, () => 1.5),
    );
    expect(usualRatio(pace)).toBeGreaterThan(1.45);
    const { wrap } = forecastOf(rest([60, 60]), pace);
    expect((wrap.middle - CALL) / MINUTE).toBeGreaterThan(165);
    expect((wrap.middle - CALL) / MINUTE).toBeLessThan(195);
  });

  it('the range narrows as setups are completed', () => {
    const width = (n: number): number => {
      const { wrap } = forecastOf(
        rest([60, 60, 60]),
        learn(
          NO_EXPERIENCE,
          Array.from({ length: n }, (_, i) => (i % 2 ? 1.1 : 0.9)),
        ),
      );
      return wrap.late - wrap.early;
    };
    expect(width(30)).toBeLessThan(width(6));
    expect(width(6)).toBeLessThan(width(0));
  });

  it('a setup that was never timed teaches nothing', () => {
    expect(learn(NO_EXPERIENCE, [0.001, 400])).toEqual(NO_EXPERIENCE);
  });

  it('a setup that has run past its plan is not expected to have ended already', () => {
    const late: Rest = { ...rest([30]), setups: [{ setup: 's0', minutes: 30, isGuess: false, used: 75 }] };
    const { wrap } = forecastOf(late, NO_EXPERIENCE);
    expect(wrap.early).toBeGreaterThan(CALL);
    expect(wrap.early).toBeLessThan(wrap.late);
  });
});

describe('what to drop to make the day', () => {
  const candidate = (setup: string, cost: number) => ({ setup, cost, isReference: false });

  it('is nothing while the day is likely made', () => {
    expect(whatToDrop(rest([60, 60], 300), NO_EXPERIENCE, [candidate('s1', 1)])).toEqual([]);
  });

  it('is nothing where no wrap is planned', () => {
    expect(whatToDrop(rest([600]), NO_EXPERIENCE, [candidate('s0', 1)])).toEqual([]);
  });

  it('begins with what costs least, and never names what must be had', () => {
    const offers = whatToDrop(rest([60, 60, 60, 60], 200), NO_EXPERIENCE, [
      candidate('s1', 3),
      candidate('s3', 1),
      candidate('s2', 1),
    ]);
    expect(offers.length).toBeGreaterThan(0);
    expect(offers[0]?.setups.every((setup) => ['s2', 's3'].includes(setup))).toBe(true);
    for (const { setups, onTime } of offers) {
      expect(setups).not.toContain('s0');
      expect(onTime).toBeGreaterThanOrEqual(0.8);
    }
  });

  it('says so by offering nothing where even all of it would not help', () => {
    expect(whatToDrop(rest([600, 30], 60), NO_EXPERIENCE, [candidate('s1', 1)])).toEqual([]);
  });
});
