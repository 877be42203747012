import type { JSX } from 'preact';
import { painted } from '../app/firstPaint.ts';
import { writeDate } from '../board/days.ts';

/** A date in words. Writing the first one costs a slow tablet more than all else in a head: until the page is painted it keeps the place. */
export function DayName({ day }: { day: string }): JSX.Element {
  return <>{painted.value ? writeDate(day) : '\u00a0'}</>;
}
