import { dateIn, writeMonthDay, writeTime } from '../values/formats.ts';
import { counted } from './words.ts';

/** `40 s`, `12 min`, `3 hours`. */
export function behindWords(milliseconds: number): string {
  const seconds = Math.round(milliseconds / 1000);
  if (seconds < 100) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 120 ? `${minutes} min` : counted(Math.round(minutes / 60), 'hour');
}

/** When something was, as short as is plain: `14:02`, and of another day `14 May, 14:02`. */
export function sinceWords(milliseconds: number, now: number, timeZone: string | undefined): string {
  const time = writeTime(milliseconds, timeZone);
  if (dateIn(milliseconds, timeZone) === dateIn(now, timeZone)) return time;
  return `${writeMonthDay(milliseconds, timeZone)}, ${time}`;
}

/** `14:02:31` where this device is. */
export function timeOfDay(milliseconds: number): string {
  const date = new Date(milliseconds);
  return [date.getHours(), date.getMinutes(), date.getSeconds()]
    .map((part) => String(part).padStart(2, '0'))
    .join(':');
}
