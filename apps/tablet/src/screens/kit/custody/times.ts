/** Writes times of day and days in one zone. Making one costs as much as a thousand uses of it, so each is kept. */
interface Formats {
  readonly time: Intl.DateTimeFormat;
  /** `2027-05-14` */
  readonly day: Intl.DateTimeFormat;
}

const made = new Map<string, Formats>();

function formatsOf(zone: string | undefined): Formats {
  const timeZone = zone === undefined ? {} : { timeZone: zone };
  return {
    time: new Intl.DateTimeFormat(undefined, {
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
      ...timeZone,
    }),
    day: new Intl.DateTimeFormat('en-CA', { year: 'numeric', month: '2-digit', day: '2-digit', ...timeZone }),
  };
}

/** The time of day and the day of a moment at the place; where this browser does not know the zone, in its own. */
export function timeAndDay(
  at: number,
  zone: string | undefined,
): { readonly time: string; readonly day: string } {
  const key = zone ?? '';
  let formats = made.get(key);
  if (!formats) {
    try {
      formats = formatsOf(zone);
    } catch {
      formats = formatsOf(undefined);
    }
    made.set(key, formats);
  }
  return { time: formats.time.format(at), day: formats.day.format(at) };
}
