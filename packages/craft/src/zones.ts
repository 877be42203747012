import { CraftError } from './errors.ts';

const MS_PER_MINUTE = 60_000;
const MS_PER_HOUR = 3_600_000;
const MS_PER_DAY = 86_400_000;

const formats = new Map<string, Intl.DateTimeFormat>();

/** A formatter for the zone; making one is slow, so each zone keeps its own. */
function formatOf(zone: string): Intl.DateTimeFormat {
  const kept = formats.get(zone);
  if (kept) {
    return kept;
  }
  let format: Intl.DateTimeFormat;
  try {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone: zone,
      calendar: 'gregory',
      numberingSystem: 'latn',
      hourCycle: 'h23',
      era: 'short',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    });
  } catch {
    throw new CraftError('zone', zone, 'a time zone of the IANA database, such as Europe/Oslo');
  }
  formats.set(zone, format);
  return format;
}

function requireInstant(instant: Date): number {
  const ms = instant.getTime();
  if (!Number.isFinite(ms)) {
    throw new CraftError('instant', String(instant), 'a valid date');
  }
  return ms;
}

/** What the clocks of the zone show, counted as if it were UTC, in whole seconds. */
function wallSeconds(zone: string, ms: number): number {
  const parts: Record<string, string> = {};
  for (const { type, value } of formatOf(zone).formatToParts(ms)) {
    parts[type] = value;
  }
  const field = (name: string) => Number(parts[name]);
  const year = parts.era === 'BC' ? 1 - field('year') : field('year');
  const date = new Date(0);
  date.setUTCFullYear(year, field('month') - 1, field('day'));
  date.setUTCHours(field('hour'), field('minute'), field('second'));
  return date.getTime() / 1000;
}

/** Offset in milliseconds; whole seconds, since old local mean times have them. */
function offsetMs(zone: string, ms: number): number {
  const whole = Math.floor(ms / 1000);
  return (wallSeconds(zone, whole * 1000) - whole) * 1000;
}

/**
 * How far the clocks of a zone are ahead of UTC.
 *
 * @param zone IANA name, such as `Europe/Oslo`
 * @param instant moment in question
 * @unit minute; negative west of Greenwich
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the date is invalid
 */
export function utcOffsetMinutes(zone: string, instant: Date): number {
  return offsetMs(zone, requireInstant(instant)) / MS_PER_MINUTE;
}

/**
 * A moment as the clocks of a zone show it, with its offset.
 *
 * @param zone IANA name
 * @param instant moment in question
 * @unit ISO 8601 text to the second, `2024-10-10T12:00:00+05:45`
 * @source IANA time-zone database through `Intl`; ISO 8601
 * @throws CraftError when there is no such zone or the date is invalid
 */
export function localIso(zone: string, instant: Date): string {
  const ms = requireInstant(instant);
  const offset = offsetMs(zone, ms);
  const minutes = Math.round(Math.abs(offset) / MS_PER_MINUTE);
  const two = (value: number) => String(value).padStart(2, '0');
  const clock = new Date(Math.floor(ms / 1000) * 1000 + offset).toISOString().slice(0, -5);
  return `${clock}${offset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

/**
 * Date in a zone at a moment.
 *
 * @param zone IANA name
 * @param instant moment in question
 * @unit ISO 8601 date, `2024-10-10`
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the date is invalid
 */
export function localDate(zone: string, instant: Date): string {
  return localIso(zone, instant).replace(/T.*$/, '');
}

/**
 * Seconds that the clocks of a zone show past midnight.
 *
 * @param zone IANA name
 * @param instant moment in question
 * @unit s, with the fraction of the moment
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the date is invalid
 */
export function localTimeOfDaySeconds(zone: string, instant: Date): number {
  const ms = requireInstant(instant);
  const local = ms + offsetMs(zone, ms);
  return (((local % MS_PER_DAY) + MS_PER_DAY) % MS_PER_DAY) / 1000;
}

/** `2024-11-03` with or without `T01:30` or `T01:30:00`, as milliseconds counted as if it were UTC. */
function parseWall(field: string, text: string): number {
  const match = /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2}))?)?$/.exec(text);
  const [, year, month, day, hour = '0', minute = '0', second = '0'] = match ?? [];
  const ms = Date.UTC(
    Number(year),
    Number(month) - 1,
    Number(day),
    Number(hour),
    Number(minute),
    Number(second),
  );
  const date = new Date(ms);
  const isReal =
    match !== null &&
    date.getUTCMonth() === Number(month) - 1 &&
    date.getUTCDate() === Number(day) &&
    Number(hour) < 24 &&
    Number(minute) < 60 &&
    Number(second) < 60;
  if (!isReal) {
    throw new CraftError(field, text, 'a date or a date and time, such as 2024-11-03T01:30:00');
  }
  return ms;
}

/**
 * Moments at which the clocks of a zone show a time: none when it is skipped, two when the clocks are set back.
 *
 * @param zone IANA name
 * @param wallTime date and time without offset, `2024-11-03T01:30:00`
 * @unit moments in order
 * @formula every offset in force within a day and a half either way, kept if it gives the time back
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the time cannot be read
 */
export function instantsOfLocalTime(zone: string, wallTime: string): Date[] {
  const asked = `${wallTime} ${zone}`;
  let instants = found.get(asked);
  if (!instants) {
    instants = instantsOf(zone, parseWall('wallTime', wallTime));
    if (found.size >= FOUND_MOST) {
      found.clear();
    }
    found.set(asked, instants);
  }
  return instants.map((ms) => new Date(ms));
}

/** What was found lately: a board asks for the same few hours again and again, and each takes a look at three days. */
const found = new Map<string, readonly number[]>();
const FOUND_MOST = 1000;

function instantsOf(zone: string, wall: number): readonly number[] {
  const offsets = new Set<number>();
  for (let at = wall - 1.5 * MS_PER_DAY; at <= wall + 1.5 * MS_PER_DAY; at += MS_PER_HOUR) {
    offsets.add(offsetMs(zone, at));
  }
  return [...offsets]
    .map((offset) => wall - offset)
    .filter((ms) => ms + offsetMs(zone, ms) === wall)
    .sort((a, b) => a - b);
}

/**
 * First moment of a date in a zone. Where the clocks skip midnight it is the moment they are set forward.
 *
 * @param zone IANA name
 * @param date `2024-03-10`
 * @unit moment
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the date cannot be read
 */
export function startOfDay(zone: string, date: string): Date {
  const wall = parseWall('date', date);
  const [first] = instantsOfLocalTime(zone, `${date.slice(0, 10)}T00:00:00`);
  if (first) {
    return first;
  }
  // Midnight is skipped: the moment at which the clocks pass it lies between these two.
  let before = wall - 1.5 * MS_PER_DAY;
  let after = wall + 1.5 * MS_PER_DAY;
  while (after - before > 1000) {
    const middle = Math.floor((before + after) / 2000) * 1000;
    if (middle + offsetMs(zone, middle) < wall) {
      before = middle;
    } else {
      after = middle;
    }
  }
  return new Date(after);
}

/**
 * Length of a date in a zone.
 *
 * @param zone IANA name
 * @param date `2024-03-10`
 * @unit h; 23 or 25 when the clocks change, 0 for a date that a zone left out
 * @source IANA time-zone database through `Intl`
 * @throws CraftError when there is no such zone or the date cannot be read
 */
export function hoursInDay(zone: string, date: string): number {
  const next = new Date(parseWall('date', date) + MS_PER_DAY).toISOString().slice(0, 10);
  return (startOfDay(zone, next).getTime() - startOfDay(zone, date).getTime()) / MS_PER_HOUR;
}
