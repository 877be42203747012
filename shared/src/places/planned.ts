import { clockAt, momentOf } from './day.ts';
import type { Span } from './track.ts';

/** What of a setup says when it is planned. */
export interface PlannedSetup {
  readonly id: string;
  readonly plannedMinutes: number | undefined;
}

const MINUTE_MS = 60_000;

/**
 * When each setup of a day is planned: the day's call, then one after the other in the order they are shot, breaks
 * left out. After a setup without planned minutes nothing further is known.
 *
 * @param date `2027-05-14`
 * @param call time of day, `06:45`
 * @param breaks spans of the day in which nobody works, `13:00-13:45`
 * @param zone whose clocks the call is given on, IANA name
 */
export function plannedTimes(
  setups: readonly PlannedSetup[],
  day: {
    readonly date: string;
    readonly call: string;
    readonly breaks: readonly string[];
    readonly zone: string;
  },
): ReadonlyMap<string, Span> {
  const { date, call, zone } = day;
  const breaks = day.breaks
    .map((words): Span => {
      const [from = '', to = ''] = words.split('-');
      return { from: momentOf(zone, date, from), to: momentOf(zone, date, to) };
    })
    .filter(({ from, to }) => to > from)
    .sort((a, b) => a.from - b.from);
  const planned = new Map<string, Span>();
  let at = momentOf(zone, date, call);
  for (const { id, plannedMinutes } of setups) {
    if (plannedMinutes === undefined) break;
    const from = breaks.reduce(
      (start, pause) => (start >= pause.from && start < pause.to ? pause.to : start),
      at,
    );
    let to = from + plannedMinutes * MINUTE_MS;
    for (const pause of breaks) if (pause.from >= from && pause.from < to) to += pause.to - pause.from;
    planned.set(id, { from, to });
    at = to;
  }
  return planned;
}

/** `06:45–07:10` at the place. */
export function spanText(zone: string, { from, to }: Span): string {
  return `${clockAt(zone, from)}–${clockAt(zone, to)}`;
}
