import type { Change } from '@plumbline/replica';
import type { Chance } from '../schedule/chance.ts';
import type { Department, ShootReader } from '../tables/index.ts';

/** Somebody who plays a part: a person of the board, at one tablet. */
export interface Actor {
  /** The person's record. */
  readonly person: string;
  /** The name by which this tablet writes; what is signed for begins with it. */
  readonly writer: string;
  readonly role: string;
}

/** One thing that somebody does on the board: a single edit. */
export interface Step {
  /** Minutes of the played day from this step to the next, which is made only then. */
  readonly minutes: number;
  readonly by: Actor;
  /** What is done, in a few words. */
  readonly says: string;
  readonly changes: readonly Change[];
  /** Where the person is when it is done: a screen and its record. */
  readonly at: { readonly screen: string; readonly record?: string };
}

/** What the players work with. */
export interface Stage {
  /** The board as it stands when a step is made. */
  readonly read: () => ShootReader;
  readonly cast: readonly Actor[];
  readonly chance: Chance;
  /** The moment that is written where a moment is noted, ms on the base's clock. */
  readonly now: () => number;
}

/** Steps in order; what is read for one is read after the one before it was made. */
export type Steps = Generator<Step, void, void>;

/** One of a list by chance; `undefined` of an empty one. */
export function pick<T>(chance: Chance, from: readonly T[]): T | undefined {
  return from[Math.floor(chance() * from.length)];
}

/** Whether something happens that happens in so many of a hundred cases. */
export function happens({ chance }: Stage, percent: number): boolean {
  return chance() * 100 < percent;
}

/** A number between two bounds. */
export function between({ chance }: Stage, low: number, high: number): number {
  return low + chance() * (high - low);
}

/**
 * Somebody of a department, by chance where there are several.
 *
 * @throws RangeError where nobody plays it
 */
export function somebodyOf({ cast, chance }: Stage, role: Department): Actor {
  const actor = pick(
    chance,
    cast.filter((each) => each.role === role),
  );
  if (!actor) throw new RangeError(`Nobody plays ${role}.`);
  return actor;
}

/** The fields of one record as changes. */
export function changesOf(
  table: string,
  record: string,
  fields: Readonly<Record<string, Change['value']>>,
): Change[] {
  return Object.entries(fields).map(([field, value]) => ({ table, record, field, value }));
}

/** What a setup is called. */
export function labelOf(reader: ShootReader, setup: string): string {
  return reader.value('setups', setup, 'label') ?? setup;
}
