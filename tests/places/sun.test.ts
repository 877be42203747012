import { readFileSync } from 'node:fs';
import { CraftError, sunAtBearing, sunPosition } from '@plumbline/craft';
import {
  bearingsApart,
  clockAt,
  isInOpening,
  locate,
  momentOf,
  type Opening,
  openingsOf,
  type Phase,
  phaseOf,
  plannedTimes,
  SUN_UP_DEG,
  spanOfDate,
  spanText,
  sunDayAt,
  sunInOpening,
  sunMoment,
  sunTrack,
} from '@plumbline/shared/places';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as z from 'zod';
import { drawingOf, timeText } from '../../apps/tablet/src/screens/places/sun/model.ts';
import { SEED } from '../craft/seed.ts';

const MINUTE = 60_000;

/** The two directions of a sky, in degrees apart. */
function apart(
  a: { azimuthDeg: number; heightDeg: number },
  b: { azimuthDeg: number; heightDeg: number },
): number {
  const rad = Math.PI / 180;
  const cosine =
    Math.sin(a.heightDeg * rad) * Math.sin(b.heightDeg * rad) +
    Math.cos(a.heightDeg * rad) * Math.cos(b.heightDeg * rad) * Math.cos((a.azimuthDeg - b.azimuthDeg) * rad);
  return Math.acos(Math.min(1, Math.max(-1, cosine))) / rad;
}

const exact = (place: { latitude: number; longitude: number }, at: number) => {
  const { azimuthDeg, trueHeightDeg } = sunPosition(place, new Date(at));
  return { azimuthDeg, heightDeg: trueHeightDeg };
};

describe('the sun between two known places', () => {
  it(`is within 0.01° of where it is, anywhere and at any time (seed ${SEED})`, () => {
    fc.assert(
      fc.property(
        fc.double({ min: -90, max: 90, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        fc.integer({ min: Date.UTC(2000, 0), max: Date.UTC(2060, 0) }),
        (latitude, longitude, at) => {
          expect(
            apart(sunTrack({ latitude, longitude }).seen(at), exact({ latitude, longitude }, at)),
          ).toBeLessThan(0.01);
        },
      ),
      { seed: SEED, numRuns: 300 },
    );
  });
});

const eventsSchema = z.object({
  id: z.string(),
  formula_id: z.string(),
  inputs: z.object({
    latitude: z.object({ value: z.number() }),
    longitude: z.object({ value: z.number() }),
    time_zone: z.object({ value: z.string() }),
    date: z.object({ value: z.string() }),
  }),
  expected: z.record(z.string(), z.object({ value: z.unknown() })),
});

/** Sun events with their sources, see `tests/reference/SOURCES.md`: U.S. Naval Observatory's definitions, NOAA, NREL. */
const PUBLISHED = z
  .array(z.unknown())
  .parse(JSON.parse(readFileSync(new URL('../reference/open/solar.json', import.meta.url), 'utf8')))
  .flatMap((one) => {
    const read = eventsSchema.safeParse(one);
    return read.success && read.data.formula_id === 'sun_events' ? [read.data] : [];
  });

describe('published sunrises, sunsets and twilights (tests/reference/open/solar.json)', () => {
  it('are there to be held against', () => {
    expect(PUBLISHED.length).toBeGreaterThan(10);
  });

  const TURNS: Readonly<Record<string, readonly [before: Phase, after: Phase]>> = {
    sunrise: ['civil twilight', 'day'],
    sunset: ['day', 'civil twilight'],
    civil_dawn: ['nautical twilight', 'civil twilight'],
    civil_dusk: ['civil twilight', 'nautical twilight'],
    nautical_dawn: ['astronomical twilight', 'nautical twilight'],
    nautical_dusk: ['nautical twilight', 'astronomical twilight'],
    astronomical_dawn: ['night', 'astronomical twilight'],
    astronomical_dusk: ['astronomical twilight', 'night'],
  };

  it.each(PUBLISHED.map((one) => [one.id, one] as const))(
    '%s: the light turns when it is said to',
    (_, one) => {
      const { latitude, longitude } = one.inputs;
      const track = sunTrack({ latitude: latitude.value, longitude: longitude.value });
      // The twilights of high latitudes are slow: what turns is looked for within as many minutes as 0.05° takes there.
      let turned = 0;
      for (const [name, [before, after]] of Object.entries(TURNS)) {
        const value = one.expected[name]?.value;
        if (typeof value !== 'string' || !/^\d{4}-/.test(value)) continue;
        const at = Date.parse(value);
        const speed = Math.abs(track.seen(at + MINUTE).heightDeg - track.seen(at - MINUTE).heightDeg) / 2;
        const slack = (0.05 / Math.max(speed, 0.002)) * MINUTE;
        expect(phaseOf(track.seen(at - slack).heightDeg), `${name} before`).toBe(before);
        expect(phaseOf(track.seen(at + slack).heightDeg), `${name} after`).toBe(after);
        turned += 1;
      }
      expect(
        turned + Number(Object.values(one.expected).some(({ value }) => value === null || value === 'none')),
      ).toBeGreaterThan(0);
    },
  );

  it('NREL’s worked example: direction, height and shadow (NREL/TP-560-34302, Golden, 17 October 2003)', () => {
    const at = Date.parse('2003-10-17T12:30:30-07:00');
    const now = sunMoment(
      { place: { latitude: 39.742476, longitude: -105.1786, heightMetres: 1830.14 }, zone: 'America/Denver' },
      at,
      'clear',
    );
    expect(now.azimuthDeg).toBeCloseTo(194.34024, 2);
    expect(now.trueHeightDeg).toBeCloseTo(39.872046, 2);
    expect(now.phase).toBe('day');
    // Plane trigonometry: height over length is the tangent.
    expect(now.shadow?.ratio).toBeCloseTo(1 / Math.tan((now.apparentHeightDeg * Math.PI) / 180), 9);
    expect(now.shadow?.towardsDeg).toBeCloseTo(14.34, 2);
  });
});

const PLACES = {
  mill: { latitude: 55.1209, longitude: 10.9498 },
  tropics: { latitude: 4.2, longitude: 73.5 },
  south: { latitude: -43.5, longitude: 172.6 },
  north: { latitude: 69.65, longitude: 18.96 },
  pole: { latitude: 90, longitude: 0 },
  southPole: { latitude: -90, longitude: 120 },
} as const;

const OPENINGS: readonly Opening[] = [
  { name: 'south', bearingDeg: 200, arcDeg: 70 },
  { name: 'over north', bearingDeg: 350, arcDeg: 60 },
  { name: 'slit', bearingDeg: 90, arcDeg: 3 },
  { name: 'eaves', bearingDeg: 180, arcDeg: 160, highestDeg: 35 },
  { name: 'hill', bearingDeg: 250, arcDeg: 120, lowestDeg: 12 },
  { name: 'band', bearingDeg: 120, arcDeg: 200, lowestDeg: 10, highestDeg: 20 },
  { name: 'roof', bearingDeg: 0, arcDeg: 360 },
  { name: 'one side', bearingDeg: 75 },
];

/** How near the sun is to the edge of an opening, degree. */
function margin(
  { bearingDeg, arcDeg = 180, lowestDeg, highestDeg = 90 }: Opening,
  seen: ReturnType<typeof exact>,
): number {
  return Math.min(
    Math.abs(bearingsApart(seen.azimuthDeg, bearingDeg) - arcDeg / 2),
    Math.abs(seen.heightDeg - Math.max(SUN_UP_DEG, lowestDeg ?? SUN_UP_DEG)),
    Math.abs(seen.heightDeg - highestDeg),
  );
}

describe('the sun in an opening', () => {
  it.each([
    ['mill', 'Europe/Copenhagen', '2027-05-14'],
    ['mill', 'Europe/Copenhagen', '2027-03-28'],
    ['mill', 'Europe/Copenhagen', '2027-10-31'],
    ['tropics', 'Indian/Maldives', '2027-03-31'],
    ['south', 'Pacific/Auckland', '2027-12-21'],
    ['north', 'Europe/Oslo', '2027-06-21'],
    ['north', 'Europe/Oslo', '2027-12-21'],
    ['pole', 'UTC', '2027-06-21'],
    ['southPole', 'Antarctica/South_Pole', '2027-12-21'],
  ] as const)(
    '%s, %s, %s: minute by minute as looked up one by one',
    (name, zone, date) => {
      const place = PLACES[name];
      const span = spanOfDate(zone, date);
      const track = sunTrack(place);
      const found = OPENINGS.map((opening) => ({ opening, spans: sunInOpening(track, opening, span) }));
      let compared = 0;
      for (let at = span.from; at < span.to; at += MINUTE) {
        const seen = exact(place, at);
        for (const { opening, spans } of found) {
          // Within a hair of an edge either answer is right.
          if (margin(opening, seen) < 0.02) continue;
          const inSpans = spans.some(({ from, to }) => at >= from && at <= to);
          expect(inSpans, `${opening.name} at ${new Date(at).toISOString()}`).toBe(
            isInOpening(opening, seen),
          );
          compared += 1;
        }
      }
      expect(compared).toBeGreaterThan(((span.to - span.from) / MINUTE) * OPENINGS.length * 0.9);
    },
    120_000,
  );

  it('enters and leaves at the bearings of its edges, to the second or two', () => {
    const span = spanOfDate('Europe/Copenhagen', '2027-05-14');
    const [inside, ...more] = sunInOpening(
      sunTrack(PLACES.mill),
      { name: 'south', bearingDeg: 200, arcDeg: 70 },
      span,
    );
    expect(more).toEqual([]);
    const edge = (bearing: number): number =>
      sunAtBearing(PLACES.mill, new Date(span.from), new Date(span.to), bearing)
        .filter(({ position }) => position.trueHeightDeg > 0)
        .map(({ at }) => at.getTime())[0] ?? 0;
    expect(Math.abs((inside?.from ?? 0) - edge(165))).toBeLessThan(3000);
    expect(Math.abs((inside?.to ?? 0) - edge(235))).toBeLessThan(3000);
  });

  it('of a place that has but one bearing is taken from side to side, and named', () => {
    expect(openingsOf({ windowBearingDeg: 200 })).toEqual([{ name: 'Main windows', bearingDeg: 200 }]);
    expect(openingsOf({ windowBearingDeg: 200, openings: [OPENINGS[0] as Opening] })).toEqual([OPENINGS[0]]);
    expect(openingsOf({})).toEqual([]);
    const one = { name: 'a', bearingDeg: 10 };
    expect(isInOpening(one, { azimuthDeg: 281, heightDeg: 10 })).toBe(true);
    expect(isInOpening(one, { azimuthDeg: 279, heightDeg: 10 })).toBe(false);
    expect(isInOpening(one, { azimuthDeg: 10, heightDeg: -1 })).toBe(false);
  });
});

describe('a date at a place', () => {
  it.each([
    ['Europe/Copenhagen', '2027-03-28', 23],
    ['Europe/Copenhagen', '2027-10-31', 25],
    ['Australia/Lord_Howe', '2027-04-04', 24.5],
    ['Asia/Kathmandu', '2027-05-14', 24],
  ])('%s, %s has %d hours (IANA time-zone database)', (zone, date, hours) => {
    const { from, to } = spanOfDate(zone, date);
    expect((to - from) / 3_600_000).toBe(hours);
    expect(clockAt(zone, from)).toBe('00:00');
  });

  it('a time that the clocks skip is an hour later, one that they show twice is the first', () => {
    expect(clockAt('Europe/Copenhagen', momentOf('Europe/Copenhagen', '2027-03-28', '02:30'))).toBe('03:30');
    const twice = momentOf('Europe/Copenhagen', '2027-10-31', '02:30');
    expect(new Date(twice).toISOString()).toBe('2027-10-31T00:30:00.000Z');
  });

  it('at the poles the sun neither rises nor sets, and the drawing is whole all the same', () => {
    for (const [place, date, state, phase] of [
      [PLACES.pole, '2027-06-21', 'polar day', 'day'],
      [PLACES.pole, '2027-12-21', 'polar night', 'night'],
      [PLACES.southPole, '2027-12-21', 'polar day', 'day'],
    ] as const) {
      const drawing = drawingOf({ place, zone: 'UTC' }, date, OPENINGS);
      expect(drawing.day?.state).toBe(state);
      expect(drawing.day?.sunrise).toBeNull();
      expect(drawing.phases.map((piece) => piece.phase)).toEqual([phase]);
      expect(
        drawing.points.every(({ azimuthDeg, heightDeg }) => Number.isFinite(azimuthDeg + heightDeg)),
      ).toBe(true);
      expect(timeText(drawing, drawing.day?.sunset ?? null)).toBe('none');
    }
  });

  it('north of the circle at midsummer the sun does not set (Tromsø; midnight sun from 18 May to 26 July, from memory)', () => {
    expect(sunDayAt({ place: PLACES.north, zone: 'Europe/Oslo' }, '2027-06-21')?.state).toBe('polar day');
    expect(sunDayAt({ place: PLACES.north, zone: 'Europe/Oslo' }, '2027-12-21')?.state).toBe('polar night');
    expect(sunDayAt({ place: PLACES.north, zone: 'Europe/Oslo' }, '2027-03-21')?.state).toBe(
      'rises and sets',
    );
  });

  it('an event that falls on the neighbouring date says so', () => {
    const drawing = drawingOf(
      { place: { latitude: 65.68, longitude: -18.1 }, zone: 'Atlantic/Reykjavik' },
      '2027-06-14',
      [],
    );
    expect(timeText(drawing, drawing.day?.sunset ?? null)).toMatch(/^00:\d\d the day after$/);
  });

  it('a place without position, or with a zone that is none, has no sun, and nothing breaks', () => {
    expect(locate({ latitudeDeg: 1, longitudeDeg: 2 })).toBeNull();
    expect(locate({ latitudeDeg: 1, timeZone: 'UTC' })).toBeNull();
    expect(locate({ latitudeDeg: 1, longitudeDeg: 2, timeZone: 'Corvane/Mill' })).toBeNull();
    expect(locate({ latitudeDeg: 1, longitudeDeg: 2 }, 'UTC')).toEqual({
      place: { latitude: 1, longitude: 2 },
      zone: 'UTC',
    });
    expect(() => sunTrack({ latitude: 91, longitude: 0 })).toThrow(CraftError);
  });
});

describe('daylight', () => {
  const located = { place: PLACES.mill, zone: 'Europe/Copenhagen' };
  const at = (clock: string) => momentOf('Europe/Copenhagen', '2027-05-14', clock);

  it('is an estimate while the sun is up, less under cloud, and a range in the twilights', () => {
    const noon = sunMoment(located, at('13:12'), 'clear').daylight;
    const grey = sunMoment(located, at('13:12'), 'overcast').daylight;
    if (noon.kind !== 'estimate' || grey.kind !== 'estimate') throw new Error('no estimate');
    // Clear summer noon: 80 to 100 klx, overcast: 10 to 20 klx; common practice, no source.
    expect(noon.lux).toBeGreaterThan(80_000);
    expect(noon.lux).toBeLessThan(100_000);
    expect(grey.lux).toBeGreaterThan(10_000);
    expect(grey.lux).toBeLessThan(20_000);
    // Sunlit landscape: EV 15 at ISO 100, give or take half a stop; common practice, no source.
    expect(Math.abs(noon.ev100 - 15)).toBeLessThan(0.5);
    // End of civil twilight: 3.4 lx; sunrise: 400 lx (tests/reference, daylight).
    expect(sunMoment(located, at('04:40'), 'clear').daylight).toEqual({
      kind: 'between',
      most: 400,
      least: 3.4,
    });
    expect(sunMoment(located, at('01:00'), 'clear').daylight).toEqual({
      kind: 'between',
      most: 3.4,
      least: 0.001,
    });
    expect(sunMoment(located, at('01:00'), 'clear').shadow).toBeNull();
  });
});

describe('when setups are planned', () => {
  const day = { date: '2027-05-14', call: '06:45', breaks: [], zone: 'Europe/Copenhagen' };
  const text = (planned: ReturnType<typeof plannedTimes>) =>
    [...planned].map(([id, span]) => `${id} ${spanText(day.zone, span)}`);

  it('one after the other from the call, until one has no planned minutes', () => {
    const setups = [
      { id: 'a', plannedMinutes: 25 },
      { id: 'b', plannedMinutes: 0 },
      { id: 'c', plannedMinutes: 20 },
      { id: 'd', plannedMinutes: undefined },
      { id: 'e', plannedMinutes: 5 },
    ];
    expect(text(plannedTimes(setups, day))).toEqual(['a 06:45–07:10', 'b 07:10–07:10', 'c 07:10–07:30']);
  });

  it('breaks stop the clock, and a setup that begins in one begins after it', () => {
    const setups = [
      { id: 'a', plannedMinutes: 45 },
      { id: 'b', plannedMinutes: 30 },
      { id: 'c', plannedMinutes: 10 },
    ];
    expect(text(plannedTimes(setups, { ...day, breaks: ['07:30-08:00', '07:00-07:10'] }))).toEqual([
      'a 06:45–08:10',
      'b 08:10–08:40',
      'c 08:40–08:50',
    ]);
    expect(text(plannedTimes(setups.slice(1), { ...day, breaks: ['06:30-07:15'] }))).toEqual([
      'b 07:15–07:45',
      'c 07:45–07:55',
    ]);
  });

  it('across a change of the clocks a minute stays a minute', () => {
    const night = { date: '2027-03-28', call: '01:30', breaks: [], zone: 'Europe/Copenhagen' };
    expect(text(plannedTimes([{ id: 'a', plannedMinutes: 60 }], night))).toEqual(['a 01:30–03:30']);
  });
});
