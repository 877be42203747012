import { apart } from '@plumbline/shared';

/** Formats of times and dates that were asked for, by language, zone and what they write. */
const made = new Map<string, Intl.DateTimeFormat>();

/**
 * A format of times or dates. Making one costs as much as a thousand uses of it, so each is kept; pass one object of
 * options, made once. Where this browser does not know the zone, its own is taken.
 *
 * @param language a language tag; `undefined` is this device's
 * @param timeZone an IANA name; `undefined` is this device's
 */
export function formatOf(
  language: string | undefined,
  options: Intl.DateTimeFormatOptions,
  timeZone: string | undefined,
): Intl.DateTimeFormat {
  const key = `${language ?? ''}|${timeZone ?? ''}|${keyOf(options)}`;
  let format = made.get(key);
  if (!format) {
    try {
      format = new Intl.DateTimeFormat(language, { ...options, ...(timeZone && { timeZone }) });
    } catch {
      format = new Intl.DateTimeFormat(language, options);
    }
    made.set(key, format);
  }
  return format;
}

const keys = new WeakMap<Intl.DateTimeFormatOptions, string>();

function keyOf(options: Intl.DateTimeFormatOptions): string {
  let key = keys.get(options);
  if (key === undefined) {
    key = JSON.stringify(options);
    keys.set(options, key);
  }
  return key;
}

const MINUTES = { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' } as const;
const SECONDS = { ...MINUTES, second: '2-digit' } as const;
const SHORT = { year: 'numeric', month: 'short', day: 'numeric' } as const;
const MONTH_DAY = { month: 'short', day: 'numeric' } as const;
const DATE = { year: 'numeric', month: '2-digit', day: '2-digit' } as const;

/** A moment as the time of day at the place. */
export function writeTime(milliseconds: number, timeZone?: string, seconds = false): string {
  return formatOf(undefined, seconds ? SECONDS : MINUTES, timeZone).format(milliseconds);
}

/** A moment as the day at the place, short, as people of this device's language write it: `14 May 2027`. */
export function writeDay(milliseconds: number, timeZone: string | undefined): string {
  return apart(formatOf(undefined, SHORT, timeZone).format(milliseconds));
}

/** The same without the year, for what is some days ago: `14 May`. */
export function writeMonthDay(milliseconds: number, timeZone: string | undefined): string {
  return apart(formatOf(undefined, MONTH_DAY, timeZone).format(milliseconds));
}

/** The date of a moment in a time zone, `2027-05-14`. */
export function dateIn(milliseconds: number, timeZone: string | undefined): string {
  return formatOf('en-CA', DATE, timeZone).format(milliseconds);
}
