import type { ShootRecord } from '@plumbline/shared';

const MINUTE_MS = 60_000;

/**
 * When the day would end if every setup that is left took as long as it is planned to. The one in work has used up the
 * time since it was started. `null` where nothing left has a planned length.
 */
export function wrapEstimate(
  setups: readonly ShootRecord<'setups'>[],
  now: number,
): { readonly at: number; readonly unplanned: number } | null {
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
  return planned === 0 ? null : { at: now + minutes * MINUTE_MS, unplanned };
}
