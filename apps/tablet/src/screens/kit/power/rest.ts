import type { ShootReader } from '@plumbline/shared';
import { dateIn, daysOf, dayToShow } from '../../../board/days.ts';
import { writeTime } from '../../../values/showing.ts';

function minutesOf(clock: string): number {
  const [hour = 0, minute = 0] = clock.split(':').map(Number);
  return hour * 60 + minute;
}

/** How long the day still goes on by its planned wrap; a day to come counts from its call. `null` without a wrap. */
export function restOfDay(
  reader: ShootReader,
  now: number,
  timeZone: string | undefined,
): { readonly minutes: number; readonly words: string } | null {
  const today = dateIn(now, timeZone);
  const day = dayToShow(daysOf(reader), today);
  if (day === undefined) return null;
  const { call, wrap } = reader.view('days', day);
  if (wrap === undefined) return null;
  if (day > today) {
    if (call === undefined) return null;
    return {
      minutes: span(call, wrap),
      words: `for the day to come, from the call at ${call} to the wrap at ${wrap},`,
    };
  }
  const clock = writeTime(now, timeZone);
  if (day < today || minutesOf(clock) >= minutesOf(wrap))
    return { minutes: 0, words: `to the wrap at ${wrap}, which is past,` };
  return { minutes: span(clock, wrap), words: `to the wrap at ${wrap}` };
}

/** Minutes from one time of day to the next time that it is another. */
function span(from: string, to: string): number {
  return (minutesOf(to) - minutesOf(from) + 24 * 60) % (24 * 60);
}
