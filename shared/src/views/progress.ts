import type { ShootReader } from '../tables/index.ts';
import { setupsInShootingOrder } from './setups.ts';
import { allTakes } from './takes.ts';

/** How far a day, or the whole shoot, has come. */
export interface Progress {
  readonly setups: {
    readonly total: number;
    readonly complete: number;
    readonly inWork: number;
    readonly left: number;
    readonly dropped: number;
  };
  readonly takes: number;
  readonly goodTakes: number;
  /** Minutes from roll to cut over all takes; a take that is still rolling is not in it. */
  readonly minutesRecorded: number;
  /** Planned minutes of the setups that are neither complete nor dropped. */
  readonly plannedMinutesLeft: number;
  readonly openFlags: number;
}

/**
 * Counts a day, or with no day the whole shoot. Flags are counted over the whole shoot either way: one that is open
 * stands in the way today.
 */
export function progressOf(reader: ShootReader, day?: string): Progress {
  const setups = setupsInShootingOrder(reader, day);
  const inState = (state: string) => setups.filter(({ view }) => (view.state ?? 'planned') === state).length;
  const ids = new Set(setups.map(({ id }) => id));
  const takes = allTakes(reader).filter(({ setup, state }) => state !== 'announced' && ids.has(setup));
  const left = setups.filter(({ view }) => view.state !== 'complete' && view.state !== 'dropped');
  return {
    setups: {
      total: setups.length,
      complete: inState('complete'),
      inWork: inState('inWork'),
      left: left.length,
      dropped: inState('dropped'),
    },
    takes: takes.length,
    goodTakes: takes.filter(({ view }) => view.verdict === 'good').length,
    minutesRecorded: takes.reduce((sum, { seconds }) => sum + (seconds ?? 0), 0) / 60,
    plannedMinutesLeft: left.reduce((sum, { view }) => sum + (view.plannedMinutes ?? 0), 0),
    openFlags: openFlags(reader).length,
  };
}

/** The flags that nobody has answered, the oldest first. */
export function openFlags(reader: ShootReader): string[] {
  return reader
    .records('flags')
    .map((id) => ({ id, view: reader.view('flags', id) }))
    .filter(({ view }) => view.retired !== true && view.answer === undefined && view.answeredAt === undefined)
    .sort((a, b) => (a.view.raisedAt ?? 0) - (b.view.raisedAt ?? 0))
    .map(({ id }) => id);
}
