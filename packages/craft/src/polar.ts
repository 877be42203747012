import { Body, SearchHourAngle } from 'astronomy-engine';
import { requireWithin } from './errors.ts';
import { type Place, requirePlace, SUN_ZENITHS, sunPosition } from './sun.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** First and last day of a season, as local dates. */
export interface DaySpan {
  readonly firstDay: string;
  readonly lastDay: string;
}

/**
 * The polar night that begins in a year: the days on which the sun does not rise over a level horizon.
 *
 * @param place latitude, longitude, height above the sea
 * @param year year in which it begins
 * @unit dates by the mean solar time of the place, or null when the sun rises every day
 * @formula days whose noon has the upper limb below the horizon: centre below −0.8333°
 * @source U.S. Naval Observatory (definition of sunrise); astronomy-engine 2.1.19
 * @note Published spans differ by a day or two with the year, the refraction and the hills.
 * @throws CraftError when the place or the year is out of range
 */
export function polarNight(place: Place, year: number): DaySpan | null {
  return polarSpan(place, year, 'night');
}

/**
 * The polar day that begins in a year: the days on which the sun does not set over a level horizon.
 *
 * @param place latitude, longitude, height above the sea
 * @param year year in which it begins
 * @unit dates by the mean solar time of the place, or null when the sun sets every day
 * @formula days whose midnight has the upper limb above the horizon: centre above −0.8333°
 * @source U.S. Naval Observatory (definition of sunset); astronomy-engine 2.1.19
 * @throws CraftError when the place or the year is out of range
 */
export function polarDay(place: Place, year: number): DaySpan | null {
  return polarSpan(place, year, 'day');
}

function polarSpan(place: Place, year: number, kind: 'night' | 'day'): DaySpan | null {
  const observer = requirePlace(place);
  requireWithin('year', year, 1600, 2600);
  const isNorth = place.latitude >= 0;
  // A walk through a whole year that starts half a year away from the season.
  const startMonth = (kind === 'night') === isNorth ? 5 : -1;
  const first = Date.UTC(year, startMonth, 21);
  const zoneMs = (place.longitude / 15) * HOUR_MS;
  const horizon = 90 - SUN_ZENITHS.sunriseAndSunset;
  const days: string[] = [];
  for (let day = 0; day < 366; day += 1) {
    const midnight = new Date(first + day * DAY_MS - zoneMs);
    const hourAngle = kind === 'night' ? 0 : 12;
    const at = SearchHourAngle(
      Body.Sun,
      observer,
      hourAngle,
      kind === 'night' ? midnight : new Date(midnight.getTime() - HOUR_MS),
    );
    const height = sunPosition(place, at.time.date).trueHeightDeg;
    if (kind === 'night' ? height < horizon : height > horizon) {
      days.push(new Date(first + day * DAY_MS).toISOString().slice(0, 10));
    }
  }
  const [firstDay, lastDay] = [days[0], days.at(-1)];
  return firstDay && lastDay ? { firstDay, lastDay } : null;
}
