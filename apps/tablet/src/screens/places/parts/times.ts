import { localTimeOfDaySeconds } from '@plumbline/craft';
import { clockAt, dateAt, isZone, momentOf } from '@plumbline/shared/places';

/** The zone that a place's times are shown in: its own, else the shoot's, else this device's. */
export function zoneOf(own: string | undefined, shoots: string | undefined): string {
  const known = [own, shoots].find((zone) => zone !== undefined && isZone(zone));
  return known ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
}

/** Seconds since midnight at a place. */
export function localTimeOfDay(at: number, zone: string | undefined): number {
  return localTimeOfDaySeconds(zoneOf(zone, undefined), new Date(at));
}

/** `2027-05-14` and `10:05` at a place, as date and time boxes hold them. */
export function boxesOf(at: number, zone: string): { readonly date: string; readonly clock: string } {
  return { date: dateAt(zone, at), clock: clockAt(zone, at) };
}

/** The moment that a date and a time box stand for; `null` where one is not filled. */
export function momentOfBoxes(date: string, clock: string, zone: string): number | null {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(date) || !/^\d{2}:\d{2}$/.test(clock)) return null;
  return momentOf(zone, date, clock);
}
