import { instantsOfLocalTime, localDate } from '@plumbline/craft';
import { SHOOT, type ShootReader } from '../tables/index.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 24 * 60 * MINUTE_MS;

/** A span of a day in which nobody works. */
export interface Break {
  /** ms since 1970 */
  readonly from: number;
  /** ms since 1970 */
  readonly to: number;
}

/** The hours of a day, in ms since 1970. */
export interface Hours {
  readonly call: number | undefined;
  /** When the day is meant to end; past midnight where it is earlier than the call. */
  readonly wrap: number | undefined;
  /** In order, none of them overlapping another. */
  readonly breaks: readonly Break[];
}

/** The zone of the shoot's clocks; UTC where none is set or it is not known. */
export function zoneOf(reader: ShootReader): string {
  const zone = reader.value('shoot', SHOOT, 'timeZone') ?? 'UTC';
  try {
    localDate(zone, new Date(0));
    return zone;
  } catch {
    return 'UTC';
  }
}

/** A moment of a date's clock; the first of two, and an hour on where the clocks skip it. */
export function momentOf(zone: string, date: string, clock: string): number | undefined {
  try {
    const [first] = instantsOfLocalTime(zone, `${date}T${clock}:00`);
    if (first) return first.getTime();
    const [hour = '0', minute = '00'] = clock.split(':');
    const later = `${String((Number(hour) + 1) % 24).padStart(2, '0')}:${minute}`;
    return instantsOfLocalTime(zone, `${date}T${later}:00`)[0]?.getTime();
  } catch {
    return undefined;
  }
}

/** The call, the planned wrap and the breaks of a day. */
export function hoursOf(reader: ShootReader, day: string): Hours {
  const zone = zoneOf(reader);
  const { call, wrap, breaks = [] } = reader.view('days', day);
  const begins = call === undefined ? undefined : momentOf(zone, day, call);
  const after = (moment: number | undefined, than: number | undefined): number | undefined =>
    moment !== undefined && than !== undefined && moment < than ? moment + DAY_MS : moment;
  const spans = breaks.flatMap((span): Break[] => {
    const [from = '', to = ''] = span.split('-');
    const start = after(momentOf(zone, day, from), begins);
    const end = after(momentOf(zone, day, to), start);
    return start === undefined || end === undefined || end <= start ? [] : [{ from: start, to: end }];
  });
  return {
    call: begins,
    wrap: wrap === undefined ? undefined : after(momentOf(zone, day, wrap), begins),
    breaks: joined(spans),
  };
}

function joined(spans: readonly Break[]): readonly Break[] {
  const result: Break[] = [];
  for (const span of [...spans].sort((a, b) => a.from - b.from)) {
    const last = result.at(-1);
    if (last && span.from <= last.to) {
      result[result.length - 1] = { from: last.from, to: Math.max(last.to, span.to) };
    } else result.push(span);
  }
  return result;
}

/** When work of so many minutes is done that begins at a moment and rests in the breaks. ms */
export function endOfWork(start: number, minutes: number, breaks: readonly Break[]): number {
  let at = start;
  let left = minutes * MINUTE_MS;
  for (const { from, to } of breaks) {
    if (to <= at) continue;
    if (from <= at) at = to;
    else if (at + left <= from) break;
    else {
      left -= from - at;
      at = to;
    }
  }
  return at + left;
}

/** The minutes of a span that are worked, breaks left out. */
export function workedMinutes(from: number, to: number, breaks: readonly Break[]): number {
  const rest = breaks.reduce(
    (sum, span) => sum + Math.max(0, Math.min(to, span.to) - Math.max(from, span.from)),
    0,
  );
  return Math.max(0, to - from - rest) / MINUTE_MS;
}
