import type { ShootReader, ShootRecord } from '@plumbline/shared';
import { apart } from '@plumbline/shared';
import { dateIn, formatOf } from '../values/formats.ts';

export { dateIn };

/** The days of the shoot that are in use, in order. */
export function daysOf(reader: ShootReader): string[] {
  return reader.records('days').filter((day) => reader.value('days', day, 'retired') !== true);
}

/**
 * The day to show first: today where it is a day of the shoot, otherwise the next one, otherwise the last. `undefined`
 * where no day is planned: then all setups belong together.
 */
export function dayToShow(days: readonly string[], today: string): string | undefined {
  return days.find((day) => day >= today) ?? days.at(-1);
}

/** The day to show first at a moment, ms. What the date is there is worked out only where it matters. */
export function dayAt(
  days: readonly string[],
  milliseconds: number,
  timeZone: string | undefined,
): string | undefined {
  return days.length < 2 ? days[0] : dayToShow(days, dateIn(milliseconds, timeZone));
}

const LONG = { weekday: 'long', day: 'numeric', month: 'long' } as const;

/** A date as people of this device's language write it: `Friday 14 May`. */
export function writeDate(day: string): string {
  const noon = Date.parse(`${day}T12:00:00Z`);
  if (Number.isNaN(noon)) return day;
  return apart(formatOf(undefined, LONG, 'UTC').format(noon));
}

/** Whether a setup belongs to a day: one that is planned for no day belongs to every one. */
export function isOnDay({ day: planned }: ShootRecord<'setups'>, day: string | undefined): boolean {
  return day === undefined || planned === undefined || planned === day;
}
