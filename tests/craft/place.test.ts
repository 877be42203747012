import {
  CraftError,
  hoursInDay,
  instantsOfLocalTime,
  localDate,
  localIso,
  localTimeOfDaySeconds,
  polarDay,
  polarNight,
  startOfDay,
  sunAtBearing,
  sunAtHeight,
  sunDay,
  sunPosition,
  utcOffsetMinutes,
} from '@plumbline/craft';
import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

const ZONES = [
  'UTC',
  'Europe/London',
  'Europe/Oslo',
  'Europe/Dublin',
  'Europe/Lisbon',
  'Europe/Istanbul',
  'Europe/Moscow',
  'Africa/Casablanca',
  'Africa/Cairo',
  'Africa/Nairobi',
  'America/New_York',
  'America/Denver',
  'America/Phoenix',
  'America/St_Johns',
  'America/Sao_Paulo',
  'America/Caracas',
  'America/Havana',
  'America/Santiago',
  'America/Nuuk',
  'America/Argentina/Ushuaia',
  'Asia/Kathmandu',
  'Asia/Kolkata',
  'Asia/Tehran',
  'Asia/Tokyo',
  'Asia/Pyongyang',
  'Asia/Gaza',
  'Asia/Amman',
  'Asia/Beirut',
  'Australia/Adelaide',
  'Australia/Lord_Howe',
  'Australia/Sydney',
  'Australia/Eucla',
  'Pacific/Apia',
  'Pacific/Auckland',
  'Pacific/Chatham',
  'Pacific/Honolulu',
  'Pacific/Kiritimati',
  'Pacific/Marquesas',
  'Antarctica/Troll',
  'Atlantic/Azores',
] as const;
const zone = fc.constantFrom(...ZONES);
const moment = fc.date({
  min: new Date('1990-01-01T00:00:00Z'),
  max: new Date('2035-01-01T00:00:00Z'),
  noInvalidDate: true,
});
const ZONE_RUNS = 2000;

describe(`local times are the reference library’s (seed ${SEED})`, () => {
  it('offset, date and clock of a moment', () => {
    holds(
      fc.property(zone, moment, (name, at) => {
        const local = DateTime.fromJSDate(at, { zone: name });
        expect(utcOffsetMinutes(name, at)).toBe(local.offset);
        expect(localIso(name, at)).toBe(local.toFormat("yyyy-MM-dd'T'HH:mm:ssZZ"));
        expect(localDate(name, at)).toBe(local.toISODate());
        const clock = local.hour * 3600 + local.minute * 60 + local.second + local.millisecond / 1000;
        expect(localTimeOfDaySeconds(name, at)).toBeCloseTo(clock, 6);
      }),
      ZONE_RUNS,
    );
  });

  it('moments of a clock time: the moment that showed it is among them', () => {
    holds(
      fc.property(zone, moment, (name, at) => {
        const whole = new Date(Math.floor(at.getTime() / 1000) * 1000);
        const wall = localIso(name, whole).slice(0, 19);
        const found = instantsOfLocalTime(name, wall).map((instant) => instant.getTime());
        expect(found).toContain(whole.getTime());
        expect(found.length).toBeLessThanOrEqual(2);
      }),
      ZONE_RUNS / 4,
    );
  });

  it('start and length of a day', () => {
    holds(
      fc.property(zone, moment, (name, at) => {
        const day = DateTime.fromJSDate(at, { zone: name }).startOf('day');
        const date = day.toISODate() ?? '';
        const next = day.plus({ days: 1 });
        const isPlain = [day, next].every(
          (one) => instantsOfLocalTime(name, `${one.toISODate()}T00:00:00`).length === 1 && one.hour === 0,
        );
        // Where midnight is skipped or comes twice the two choose differently; those days are tested below.
        if (isPlain) {
          expect(startOfDay(name, date).toISOString()).toBe(day.toUTC().toISO());
          expect(hoursInDay(name, date)).toBeCloseTo(next.diff(day, 'hours').hours, 9);
        }
      }),
      ZONE_RUNS / 4,
    );
  });

  it('a date that a zone left out has no hours, a skipped midnight starts late and the first of two counts', () => {
    expect(startOfDay('Atlantic/Azores', '1998-10-25').toISOString()).toBe('1998-10-25T00:00:00.000Z');
    expect(hoursInDay('Atlantic/Azores', '1998-10-25')).toBe(25);
    expect(hoursInDay('Pacific/Apia', '2011-12-30')).toBe(0);
    expect(localIso('America/Sao_Paulo', startOfDay('America/Sao_Paulo', '2018-11-04'))).toBe(
      '2018-11-04T01:00:00-02:00',
    );
  });
});

const place = fc.record({
  latitude: fc.double({ min: -89, max: 89, noNaN: true }),
  longitude: fc.double({ min: -179, max: 179, noNaN: true }),
});

describe(`the sun (seed ${SEED})`, () => {
  it('follows the order of the day wherever it rises and sets', () => {
    holds(
      fc.property(place, moment, (where, at) => {
        const date = at.toISOString().slice(0, 10);
        const day = sunDay(where, 'UTC', date);
        const order = [
          day.astronomicalDawn,
          day.nauticalDawn,
          day.civilDawn,
          day.sunrise,
          day.solarNoon,
          day.sunset,
          day.civilDusk,
          day.nauticalDusk,
          day.astronomicalDusk,
        ].filter((one) => one !== null);
        order.slice(1).forEach((one, index) => {
          expect(one.getTime()).toBeGreaterThan(order[index]?.getTime() ?? Number.NaN);
        });
        expect(localDate('UTC', day.solarNoon)).toBe(date);
        expect(day.dayLengthSeconds === null).toBe(day.sunrise === null || day.sunset === null);
        const isUpAtNoon = day.noonHeightDeg > -0.9;
        expect(day.state === 'polar night' ? !isUpAtNoon || day.noonHeightDeg < -0.8 : isUpAtNoon).toBe(true);
      }),
      60,
    );
  });

  it('stands at the height that an event means', () => {
    holds(
      fc.property(place, moment, (where, at) => {
        const day = sunDay(where, 'UTC', at.toISOString().slice(0, 10));
        const heights = [
          [day.civilDawn, -6],
          [day.civilDusk, -6],
          [day.nauticalDawn, -12],
          [day.nauticalDusk, -12],
          [day.astronomicalDawn, -18],
          [day.astronomicalDusk, -18],
        ] as const;
        for (const [event, height] of heights) {
          if (event) {
            expect(sunPosition(where, event).trueHeightDeg).toBeCloseTo(height, 2);
          }
        }
        for (const event of [day.sunrise, day.sunset]) {
          if (event) {
            // 34′ of refraction and the sun's true radius, which the seasons change by a quarter of a minute.
            expect(Math.abs(sunPosition(where, event).trueHeightDeg + 0.8333)).toBeLessThan(0.008);
          }
        }
      }),
      60,
    );
  });

  it('is highest at noon, and there due south or north', () => {
    holds(
      fc.property(place, moment, (where, at) => {
        const { solarNoon, noonHeightDeg } = sunDay(where, 'UTC', at.toISOString().slice(0, 10));
        for (const minutes of [-120, -20, 20, 120]) {
          const other = sunPosition(where, new Date(solarNoon.getTime() + minutes * 60_000));
          expect(other.trueHeightDeg).toBeLessThan(noonHeightDeg + 0.01);
        }
      }),
      40,
    );
  });

  it('stands at the bearing and the height it was looked for at', () => {
    const oslo = { latitude: 59.9139, longitude: 10.7522 };
    const [from, to] = [new Date('2024-05-01T00:00:00Z'), new Date('2024-05-02T00:00:00Z')];
    for (const bearing of [0, 45, 90, 180, 270, 359]) {
      const found = sunAtBearing(oslo, from, to, bearing);
      expect(found).toHaveLength(1);
      const off = Math.abs((((found[0]?.position.azimuthDeg ?? Number.NaN) - bearing + 540) % 360) - 180);
      expect(off).toBeLessThan(0.001);
    }
    const { rising, sinking } = sunAtHeight(oslo, 'Europe/Oslo', '2024-05-01', 20);
    expect(rising && sunPosition(oslo, rising).trueHeightDeg).toBeCloseTo(20, 3);
    expect(sinking && sunPosition(oslo, sinking).trueHeightDeg).toBeCloseTo(20, 3);
    expect(sunAtHeight(oslo, 'Europe/Oslo', '2024-05-01', 60)).toEqual({ rising: null, sinking: null });
  });

  it('can pass a bearing twice or never in the tropics', () => {
    const place = { latitude: 10, longitude: 0 };
    const day = (date: string) => [new Date(`${date}T00:00:00Z`), new Date(`${date}T23:59:00Z`)] as const;
    const east = sunAtBearing(place, ...day('2024-06-21'), 65);
    expect(east.length).toBe(2);
    expect(
      sunAtBearing(place, ...day('2024-06-21'), 90).filter(({ position }) => position.trueHeightDeg > 0),
    ).toEqual([]);
  });

  it('is lifted by the air when up, by nothing when down', () => {
    const where = { latitude: 60, longitude: 0 };
    holds(
      fc.property(moment, (at) => {
        const { trueHeightDeg, apparentHeightDeg } = sunPosition(where, at);
        const lift = apparentHeightDeg - trueHeightDeg;
        expect(lift).toBeGreaterThanOrEqual(0);
        expect(lift).toBeLessThan(0.75);
        expect(trueHeightDeg > -0.8333 || lift === 0).toBe(true);
      }),
      200,
    );
  });

  it('has polar seasons beyond the circles and none this side, in both hemispheres', () => {
    expect(polarNight({ latitude: 60, longitude: 20 }, 2024)).toBeNull();
    expect(polarDay({ latitude: 60, longitude: 20 }, 2024)).toBeNull();
    expect(polarDay({ latitude: 71, longitude: 25.8 }, 2024)?.firstDay).toMatch(/^2024-05-1/);
    expect(polarNight({ latitude: -77.8, longitude: 166.7 }, 2024)?.firstDay).toMatch(/^2024-04-2/);
    expect(polarDay({ latitude: -77.8, longitude: 166.7 }, 2024)?.firstDay).toMatch(/^2024-10-2/);
  });

  it('refuses places that are not on the Earth', () => {
    expect(() => sunDay({ latitude: 91, longitude: 0 }, 'UTC', '2024-01-01')).toThrow(CraftError);
    expect(() => sunDay({ latitude: 0, longitude: 200 }, 'UTC', '2024-01-01')).toThrow(CraftError);
  });
});
