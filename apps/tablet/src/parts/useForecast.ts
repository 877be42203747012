import type { Dropping, Forecast } from '@plumbline/shared/schedule';
import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { useDesk } from '../board/useDesk.ts';
import { useDerived } from './useDerived.ts';
import { useMinute } from './useMinute.ts';

/** When a day will end, reckoned anew each minute and with every setup that is completed. */
export interface DayForecast {
  /** Whether it was reckoned: its arithmetic is fetched after the first screen is shown. */
  readonly reckoned: boolean;
  /** `null` where nothing is left of the day, or no day is planned. */
  readonly forecast: Forecast | null;
  /** What could be dropped to end in time; empty where that is likely anyway. */
  readonly drops: readonly Dropping[];
  /** ms since 1970 */
  readonly now: number;
}

const schedule = signal<typeof import('@plumbline/shared/schedule') | null>(null);

/** Fetches the arithmetic, so that it is here with the network gone. */
export async function prepareForecast(): Promise<void> {
  schedule.value ??= await import('@plumbline/shared/schedule');
}

/** When a day will end. Follows the board. */
export function useForecast(day: string | undefined): DayForecast {
  const desk = useDesk();
  const now = useMinute(desk.now);
  useEffect(() => {
    // where it cannot be fetched now, it comes with the other screens
    prepareForecast().catch(() => {});
  }, []);
  return useDerived(() => {
    const there = schedule.value;
    const reckoned = there !== null;
    if (day === undefined || !there) return { reckoned, forecast: null, drops: [], now };
    return {
      reckoned,
      forecast: there.forecastDay(desk.board, day, now),
      drops: there.dropsOfDay(desk.board, day, now),
      now,
    };
  }, [desk, day, now]);
}
