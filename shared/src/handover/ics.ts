import { hoursOf, plannedDay } from '../schedule/index.ts';
import { SHOOT, type ShootReader } from '../tables/index.ts';

/** A line holds at most so many octets, its end not counted (RFC 5545, 3.1). */
const LINE_OCTETS = 75;

/** Folds a line without cutting a character: what follows begins with a space. */
export function foldLine(line: string): string {
  const parts: string[] = [];
  let part = '';
  let octets = 0;
  for (const character of line) {
    const size = new TextEncoder().encode(character).length;
    // The space before what goes on is an octet of its line.
    if (octets + size > LINE_OCTETS) {
      parts.push(part);
      part = ' ';
      octets = 1;
    }
    part += character;
    octets += size;
  }
  parts.push(part);
  return parts.join('\r\n');
}

/** A text value (RFC 5545, 3.3.11). */
export function escapeText(text: string): string {
  return text
    .replaceAll('\\', '\\\\')
    .replaceAll(';', '\\;')
    .replaceAll(',', '\\,')
    .replace(/\r\n|\r|\n/g, '\\n')
    .replace(/(?!\t)\p{Cc}/gu, '');
}

/** `20270514T070000Z` */
function utc(at: number): string {
  return `${new Date(at).toISOString().slice(0, 19).replaceAll(/[-:]/g, '')}Z`;
}

interface Event {
  readonly uid: string;
  readonly from: number;
  readonly to: number;
  readonly summary: string;
  readonly description: string;
  readonly place: string | undefined;
  readonly transparent: boolean;
}

/**
 * The plan as a calendar: an event from call to wrap for each day, and one for each setup at the time that the plan
 * comes to. All times are moments in UTC, so that every calendar shows them on its own clock and no zone is needed.
 *
 * @param board names the board in the events' ids, so that a calendar that is read in again replaces its own
 * @param at when the board came to stand so, ms on the base's clock
 * @param version grows with every change of the board
 * @source RFC 5545; SEQUENCE and DTSTAMP as it describes them
 */
export function planCalendar(
  reader: ShootReader,
  { board, at, version }: { readonly board: string; readonly at: number; readonly version: number },
): string {
  const title = reader.value('shoot', SHOOT, 'title') ?? 'Untitled shoot';
  const days = reader
    .records('days')
    .filter((day) => reader.value('days', day, 'retired') !== true)
    .sort();
  const events = days.flatMap((day) => [...dayEvent(reader, title, day), ...setupEvents(reader, day)]);
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Plumbline//Plan//EN',
    'CALSCALE:GREGORIAN',
    'METHOD:PUBLISH',
    `NAME:${escapeText(title)}`,
    ...events.flatMap((event) => eventLines(reader, event, board, at, version)),
    'END:VCALENDAR',
  ];
  return `${lines.map(foldLine).join('\r\n')}\r\n`;
}

function dayEvent(reader: ShootReader, title: string, day: string): Event[] {
  const { call, wrap } = hoursOf(reader, day);
  if (call === undefined) return [];
  const { note = '', places = [] } = reader.view('days', day);
  const last = plannedDay(reader, day).at(-1)?.to;
  const to = wrap ?? last ?? call;
  return [
    {
      uid: `day-${day}`,
      from: call,
      to: Math.max(to, call),
      summary: title,
      description: note,
      place: places[0],
      // The day is there to be seen, the setups are what the time is taken up by.
      transparent: true,
    },
  ];
}

function setupEvents(reader: ShootReader, day: string): Event[] {
  return plannedDay(reader, day).flatMap(({ setup, from, to, isGuess }): Event[] => {
    if (from === undefined || to === undefined) return [];
    const { label, description = '', scene, place } = reader.view('setups', setup);
    const at = place ?? (scene === undefined ? undefined : reader.value('scenes', scene, 'place'));
    const words = description.split('\n')[0] ?? '';
    const name = `Setup ${label ?? setup}`;
    return [
      {
        uid: `setup-${setup}`,
        from,
        to,
        summary: words === '' ? name : `${name}: ${words}`,
        description: isGuess ? 'No length is planned: that of the day’s middle setup.' : '',
        place: at,
        transparent: false,
      },
    ];
  });
}

function eventLines(reader: ShootReader, event: Event, board: string, at: number, version: number): string[] {
  const { uid, from, to, summary, description, place, transparent } = event;
  const where = place === undefined ? undefined : reader.view('places', place);
  const location = [where?.name, where?.address].filter((part) => part !== undefined).join(', ');
  const { latitudeDeg, longitudeDeg } = where ?? {};
  return [
    'BEGIN:VEVENT',
    `UID:${uid}@${board}.plumbline.invalid`,
    `DTSTAMP:${utc(at)}`,
    `LAST-MODIFIED:${utc(at)}`,
    `SEQUENCE:${version}`,
    `DTSTART:${utc(from)}`,
    `DTEND:${utc(to)}`,
    `SUMMARY:${escapeText(summary)}`,
    ...(description === '' ? [] : [`DESCRIPTION:${escapeText(description)}`]),
    ...(location === '' ? [] : [`LOCATION:${escapeText(location)}`]),
    ...(latitudeDeg === undefined || longitudeDeg === undefined
      ? []
      : [`GEO:${latitudeDeg};${longitudeDeg}`]),
    `TRANSP:${transparent ? 'TRANSPARENT' : 'OPAQUE'}`,
    'END:VEVENT',
  ];
}
