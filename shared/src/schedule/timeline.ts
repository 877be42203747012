import type { SetupView, ShootReader } from '../index.ts';
import { setupsInShootingOrder } from '../index.ts';
import { endOfWork, hoursOf } from './clock.ts';

/** A setup without a planned length is given that of the middle one of its day, and failing that this. Common practice, no source. */
const USUAL_MINUTES = 30;

/** When a setup is meant to begin and end, ms since 1970. */
export interface Slot {
  readonly setup: string;
  readonly minutes: number;
  /** Nobody planned how long it takes; `minutes` is that of the day's middle setup. */
  readonly isGuess: boolean;
  readonly from: number | undefined;
  readonly to: number | undefined;
}

/** The setups of a day that are not dropped, in shooting order. */
export function setupsOfDay(reader: ShootReader, day: string): SetupView[] {
  return setupsInShootingOrder(reader, day).filter(({ view }) => view.state !== 'dropped');
}

/** How long each setup of a day is meant to take. */
export function plannedMinutes(
  setups: readonly SetupView[],
): ReadonlyMap<string, { readonly minutes: number; readonly isGuess: boolean }> {
  const known = setups
    .flatMap(({ view }) => (view.plannedMinutes === undefined ? [] : [view.plannedMinutes]))
    .sort((a, b) => a - b);
  const middle = known[Math.floor(known.length / 2)] ?? USUAL_MINUTES;
  return new Map(
    setups.map(({ id, view }) => [
      id,
      { minutes: view.plannedMinutes ?? middle, isGuess: view.plannedMinutes === undefined },
    ]),
  );
}

/** The day as planned: one setup after the other from the call, breaks kept. Times are unknown where no call is set. */
export function plannedDay(reader: ShootReader, day: string): readonly Slot[] {
  const setups = setupsOfDay(reader, day);
  const lengths = plannedMinutes(setups);
  const { call, breaks } = hoursOf(reader, day);
  let at = call;
  return setups.map(({ id }) => {
    const { minutes, isGuess } = lengths.get(id) ?? { minutes: USUAL_MINUTES, isGuess: true };
    const from = at === undefined ? undefined : endOfWork(at, 0, breaks);
    at = from === undefined ? undefined : endOfWork(from, minutes, breaks);
    return { setup: id, minutes, isGuess, from, to: at };
  });
}
