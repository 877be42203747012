import type { ShootRecord } from '@plumbline/shared';

const MINUTE_MS = 60_000;

/**
 * How long what is left would take if every setup took as long as it is planned to; the one in work has used up the
 * time since it was started. `null` where nothing left has a planned length.
 *
 * @param now the base's clock, ms
 */
export function minutesLeft(
  setups: readonly ShootRecord<'setups'>[],
  now: number,
): { readonly minutes: number; readonly unplanned: number } | null {
  let minutes = 0;
  let unplanned = 0;
  let planned = 0;
  for (const { state, plannedMinutes, startedAt } of setups) {
    if (state === 'complete' || state === 'dropped') continue;
    if (plannedMinutes === undefined) {
      unplanned++;
      continue;
    }
    planned++;
    const used =
      state === 'inWork' && startedAt !== undefined ? Math.max(0, (now - startedAt) / MINUTE_MS) : 0;
    minutes += Math.max(0, plannedMinutes - used);
  }
  return planned === 0 ? null : { minutes, unplanned };
}
