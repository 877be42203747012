import { type Dropping, dropsOfDay, type Forecast, forecastDay } from '@plumbline/shared/schedule';
import { useDesk } from '../board/useDesk.ts';
import { useDerived } from './useDerived.ts';
import { useMinute } from './useMinute.ts';

/** When a day will end, reckoned anew each minute and with every setup that is completed. */
export interface DayForecast {
  /** `null` where nothing is left of the day, or no day is planned. */
  readonly forecast: Forecast | null;
  /** What could be dropped to end in time; empty where that is likely anyway. */
  readonly drops: readonly Dropping[];
  /** ms since 1970 */
  readonly now: number;
}

export function useForecast(day: string | undefined): DayForecast {
  const desk = useDesk();
  const now = useMinute(desk.now);
  return useDerived(() => {
    if (day === undefined) return { forecast: null, drops: [], now };
    return { forecast: forecastDay(desk.board, day, now), drops: dropsOfDay(desk.board, day, now), now };
  }, [desk, day, now]);
}
