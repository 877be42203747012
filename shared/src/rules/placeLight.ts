import {
  clockAt,
  type Phase,
  phaseOf,
  type Span,
  SUN_UP_DEG,
  type SunTrack,
  spansWhere,
  spanText,
  sunInOpening,
  sunTrack,
} from '../places/index.ts';
import { sentence } from '../views/apart.ts';
import type { Target } from './finding.ts';
import type { PlannedShot } from './plannedDay.ts';
import { type Candidate, type Draft, found, type Rule } from './rule.ts';
import type { DayView } from './scopes.ts';
import { listed, plain } from './words.ts';

const MINUTE_MS = 60_000;
const BASIS_SUN =
  'sunrise, sunset and twilights as the U.S. Naval Observatory defines them, level horizon; that plan and light should agree: common practice, no source';

/** The fields that say when a setup is shot, and where. */
function whenAndWhere({ setup, placeId }: PlannedShot, day: string): Target[] {
  const { id, scene } = setup;
  return [
    { table: 'setups', record: id, field: 'plannedMinutes' },
    { table: 'setups', record: id, field: 'shootingOrder' },
    { table: 'days', record: day, field: 'call' },
    ...(scene === null ? [] : [{ table: 'scenes', record: scene, field: 'hour' } as const]),
    { table: 'places', record: placeId, field: 'latitudeDeg' },
    { table: 'places', record: placeId, field: 'longitudeDeg' },
  ];
}

function minutesOf(spans: readonly Span[]): number {
  return Math.round(spans.reduce((sum, { from, to }) => sum + to - from, 0) / MINUTE_MS);
}

/** A setup's stretch of time with a minute at least, so that one planned for none is judged at its beginning. */
function judgedSpan({ span }: PlannedShot): Span {
  return { from: span.from, to: Math.max(span.to, span.from + MINUTE_MS) };
}

const DEPTH: readonly Phase[] = [
  'day',
  'civil twilight',
  'nautical twilight',
  'astronomical twilight',
  'night',
];

/** How dark it gets in a stretch of time. */
function darkest(track: SunTrack, { from, to }: Span): Phase {
  let worst: Phase = 'day';
  for (let at = from; at <= to; at += MINUTE_MS) {
    const phase = phaseOf(track.seen(Math.min(at, to)).heightDeg);
    if (DEPTH.indexOf(phase) > DEPTH.indexOf(worst)) worst = phase;
  }
  return worst;
}

function setHour(shot: PlannedShot, hour: 'day' | 'twilight' | 'night', label: string): Candidate[] {
  const { scene } = shot.setup;
  if (scene === null) return [];
  return [
    {
      id: `play${hour}`,
      label,
      changes: [{ table: 'scenes', record: scene, field: 'hour', value: hour }],
      trouble: 0.8,
    },
  ];
}

/** The shot that a finding of a day is about. */
function shotOf(view: DayView, { scope }: Draft): PlannedShot | undefined {
  return view.shots.find(({ setup }) => setup.id === scope[0]);
}

const READS_WHEN = [
  'setups.day',
  'setups.shootingOrder',
  'setups.plannedMinutes',
  'setups.state',
  'setups.place',
  'scenes.place',
  'scenes.inside',
  'scenes.hour',
  'days.call',
  'days.breaks',
  'places.latitudeDeg',
  'places.longitudeDeg',
  'places.timeZone',
] as const;

export const lightSunDown: Rule<'day'> = {
  id: 'light-sun-down',
  title: 'Planned by daylight, and the sun is down',
  severity: 'advice',
  beforeTake: false,
  department: 'director',
  scope: 'day',
  row: null,
  reads: READS_WHEN,
  tolerance: null,
  basis: BASIS_SUN,
  catches:
    'An exterior that plays by day, or of which nothing is said, while the sun is below the horizon for any part of its planned time. Its time is the day’s call and what is planned before it.',
  why: 'Daylight that is not there cannot be lit by a small unit, and twilight falls by a stop every few minutes: takes of one setup will not match.',
  check(view) {
    const drafts = view.shots.flatMap((shot): Draft[] => {
      if (shot.setup.inside !== 'exterior' || (shot.hour ?? 'day') !== 'day') return [];
      const track = sunTrack(shot.located.place);
      const span = judgedSpan(shot);
      const dark = spansWhere((at) => track.seen(at).heightDeg < SUN_UP_DEG, span);
      const minutes = minutesOf(dark);
      if (minutes === 0) return [];
      const { zone } = shot.located;
      const phase = darkest(track, span);
      const whole = minutes >= Math.round((span.to - span.from) / MINUTE_MS);
      const turn =
        dark[0]?.from === span.from
          ? `rises at ${clockAt(zone, dark[0].to)}`
          : `sets at ${clockAt(zone, dark[0]?.from ?? span.to)}`;
      const how = whole ? `the sun is down all that time (${phase})` : `the sun ${turn} (${phase})`;
      return [
        {
          scope: [shot.setup.id],
          targets: whenAndWhere(shot, view.id),
          message: sentence`${shot.setup.label} is planned for ${spanText(zone, shot.span)} at ${shot.placeName} by daylight; ${how}.`,
          measured: { value: minutes, unit: 'min', text: `${minutes} min without sun, ${phase}` },
          allowed: { value: 0, unit: 'min', text: 'the sun up' },
        },
      ];
    });
    return found(...drafts);
  },
  candidates: (view, draft) => {
    const shot = shotOf(view, draft);
    if (!shot) return [];
    return [
      ...setHour(shot, 'twilight', 'It is meant as twilight'),
      ...setHour(shot, 'night', 'It is meant as night'),
    ];
  },
};

export const lightSunUp: Rule<'day'> = {
  id: 'light-sun-up',
  title: 'Planned as night, and the sun is up',
  severity: 'advice',
  beforeTake: false,
  department: 'director',
  scope: 'day',
  row: null,
  reads: READS_WHEN,
  tolerance: null,
  basis: BASIS_SUN,
  catches:
    'An exterior that plays at night while the sun is above the horizon for any part of its planned time. In the twilights it is silent: much night is shot there.',
  why: 'Shooting night by day is possible, but it is decided beforehand: with filters, framing without sky, and the sun behind.',
  check(view) {
    const drafts = view.shots.flatMap((shot): Draft[] => {
      if (shot.setup.inside !== 'exterior' || shot.hour !== 'night') return [];
      const track = sunTrack(shot.located.place);
      const up = spansWhere((at) => track.seen(at).heightDeg >= SUN_UP_DEG, judgedSpan(shot));
      const minutes = minutesOf(up);
      if (minutes === 0) return [];
      const { zone } = shot.located;
      return [
        {
          scope: [shot.setup.id],
          targets: whenAndWhere(shot, view.id),
          message: sentence`${shot.setup.label} is planned for ${spanText(zone, shot.span)} at ${shot.placeName} as night; the sun is up for ${minutes} min of it.`,
          measured: { value: minutes, unit: 'min', text: `${minutes} min of sun` },
          allowed: { value: 0, unit: 'min', text: 'the sun down' },
        },
      ];
    });
    return found(...drafts);
  },
  candidates: (view, draft) => {
    const shot = shotOf(view, draft);
    if (!shot) return [];
    return [
      ...setHour(shot, 'day', 'It is meant as day'),
      ...setHour(shot, 'twilight', 'It is meant as twilight'),
    ];
  },
};

export const lightOpeningSun: Rule<'day'> = {
  id: 'light-opening-sun',
  title: 'The sun comes through an opening',
  severity: 'advice',
  beforeTake: false,
  department: 'camera',
  scope: 'day',
  row: null,
  reads: [...READS_WHEN, 'places.openings'],
  tolerance: null,
  basis:
    'geometry of the sun against the opening as entered, level horizon; that it matters inside: common practice, no source',
  catches:
    'An interior during whose planned time the sun, if the sky is clear, stands in an opening of the place whose width has been entered.',
  why: 'A patch of sun that walks through the room, or comes and goes with the clouds, changes exposure and colour between takes; in the picture it can harm eye and sensor.',
  check(view) {
    const drafts = view.shots.flatMap((shot): Draft[] => {
      if (shot.setup.inside !== 'interior' || shot.hour === 'night') return [];
      const { zone } = shot.located;
      const track = sunTrack(shot.located.place);
      const lit = shot.openings.flatMap((opening) => {
        if (opening.arcDeg === undefined) return [];
        const spans = sunInOpening(track, opening, judgedSpan(shot));
        return minutesOf(spans) === 0 ? [] : [{ opening, spans }];
      });
      if (lit.length === 0) return [];
      const minutes = Math.max(...lit.map(({ spans }) => minutesOf(spans)));
      const words = lit.map(
        ({ opening, spans }) =>
          sentence`${opening.name} ${listed(spans.map((span) => spanText(zone, span)))}`,
      );
      return [
        {
          scope: [shot.setup.id],
          targets: [
            { table: 'places', record: shot.placeId, field: 'openings' },
            ...whenAndWhere(shot, view.id),
          ],
          message: sentence`${shot.setup.label} is planned for ${spanText(zone, shot.span)} inside ${shot.placeName}; in clear weather the sun shines through ${listed(words)}.`,
          measured: { value: minutes, unit: 'min', text: `${plain(minutes, 0)} min of sun` },
          allowed: { value: 0, unit: 'min', text: 'no sun inside' },
        },
      ];
    });
    return found(...drafts);
  },
  candidates: (view, draft) => {
    const shot = shotOf(view, draft);
    if (!shot) return [];
    return [
      {
        id: 'cover',
        label: 'Cover or diffuse it before the sun comes, and keep it so until the setup is complete',
        changes: [],
        supposes: [
          {
            table: 'places',
            record: shot.placeId,
            field: 'openings',
            value: shot.openings.map(({ name, bearingDeg }) => ({ name, bearingDeg })),
          },
        ],
        says: [{ what: 'light', text: 'the room gets darker; what is outside the window changes' }],
        trouble: 0.4,
      },
    ];
  },
};
