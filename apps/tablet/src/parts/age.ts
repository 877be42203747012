import { counted } from './words.ts';

/** `40 s`, `12 min`, `3 hours`. */
export function behindWords(milliseconds: number): string {
  const seconds = Math.round(milliseconds / 1000);
  if (seconds < 100) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 120 ? `${minutes} min` : counted(Math.round(minutes / 60), 'hour');
}

/** `14:02:31` where this device is. */
export function timeOfDay(milliseconds: number): string {
  const date = new Date(milliseconds);
  return [date.getHours(), date.getMinutes(), date.getSeconds()]
    .map((part) => String(part).padStart(2, '0'))
    .join(':');
}
