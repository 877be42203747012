import { localIso } from '@plumbline/craft';

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];
const WEEKDAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'];

/** Times of a shoot as its papers write them: the same on every device, whatever language that is set to. */
export interface PaperClock {
  readonly zone: string;
  /** `2027-05-14T09:05:30+01:00` */
  iso(at: number): string;
  /** `09:05:30` */
  time(at: number): string;
  /** `2027-05-14` */
  date(at: number): string;
  /** `14 May 2027, 09:05:30` */
  moment(at: number): string;
}

/** Times in a zone; in UTC where none is set, or one that this machine does not know. */
export function clockOf(zone: string | undefined): PaperClock {
  const known = zone !== undefined && isZone(zone) ? zone : 'UTC';
  const iso = (at: number): string => localIso(known, new Date(at));
  return {
    zone: known,
    iso,
    time: (at) => iso(at).slice(11, 19),
    date: (at) => iso(at).slice(0, 10),
    moment: (at) => `${writtenDay(iso(at).slice(0, 10), false)}, ${iso(at).slice(11, 19)}`,
  };
}

function isZone(zone: string): boolean {
  try {
    localIso(zone, new Date(0));
    return true;
  } catch {
    return false;
  }
}

/** `Friday 14 May 2027`; what is no date stays as it is. */
export function writtenDay(day: string, weekday = true): string {
  const [year, month, date] = day.split('-').map(Number);
  const name = MONTHS[(month ?? 0) - 1];
  const moment = new Date(`${day}T12:00:00Z`);
  if (name === undefined || Number.isNaN(moment.getTime())) return day;
  return `${weekday ? `${WEEKDAYS[moment.getUTCDay()]} ` : ''}${date} ${name} ${year}`;
}

/** A length as `0:42`, `12:05`, `1:02:10`. */
export function writtenLength(seconds: number): string {
  const whole = Math.round(seconds);
  const two = (value: number): string => String(value).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}
