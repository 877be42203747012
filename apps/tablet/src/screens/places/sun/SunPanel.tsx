import { type Sky, SUN_CAUTION } from '@plumbline/craft';
import { placeOfSetup, SHOOT, setupsInShootingOrder } from '@plumbline/shared';
import {
  clockAt,
  dateAfter,
  dateAt,
  type Located,
  locate,
  momentOf,
  openingsOf,
  plannedTimes,
  type SunMoment,
  sunMoment,
} from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { useId, useMemo, useState } from 'preact/hooks';
import { daysOf, dayToShow, writeDate } from '../../../board/days.ts';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { figure } from '../../../values/showing.ts';
import { bearingText } from './geometry.ts';
import { degrees, drawingOf, luxText, SKIES, type SunDrawing, timeText } from './model.ts';
import { SunRose } from './SunRose.tsx';
import { type PlannedHere, SunStrip } from './SunStrip.tsx';

const MINUTE_MS = 60_000;
const STEP_MINUTES = 5;

/** Where the sun is over a place, for any date and time. */
export function SunPanel({ place }: { place: string }): JSX.Element {
  const desk = useDesk();
  const located = useDerived(
    () => locate(desk.board.view('places', place), desk.board.value('shoot', SHOOT, 'timeZone')),
    [desk, place],
  );
  const isKnown = located !== null;
  return (
    <section class="section places-sun" aria-label="Sun" data-sun={isKnown}>
      <h2>Sun</h2>
      {located ? (
        <Sun key={place} place={place} located={located} />
      ) : (
        <p class="muted">
          Not known yet: it takes the place’s latitude and longitude, and its time zone by its IANA name.
        </p>
      )}
    </section>
  );
}

function Sun({ place, located }: { place: string; located: Located }): JSX.Element {
  const desk = useDesk();
  const days = useDerived(() => daysOf(desk.board), [desk]);
  const [date, setDate] = useState(
    () => dayToShow(days, dateAt(located.zone, desk.now())) ?? dateAt(located.zone, desk.now()),
  );
  const openings = useDerived(() => openingsOf(desk.board.view('places', place)), [desk, place]);
  const { latitude, longitude } = located.place;
  const drawing = useMemo(
    () => drawingOf(located, date, openings),
    [latitude, longitude, located.zone, date, openings],
  );
  const { span } = drawing;
  const [moment, setMoment] = useState(() => firstMoment(drawing, desk.now()));
  const [sky, setSky] = useState<Sky>('clear');
  const at = Math.min(Math.max(moment, span.from), span.to - MINUTE_MS);
  const now = useMemo(() => sunMoment(located, at, sky), [latitude, longitude, at, sky]);
  const planned = useDerived(
    () => plannedHere(desk, place, located, date),
    [desk, place, date, located.zone],
  );
  const go = (to: string): void => {
    if (!/^\d{4}-\d{2}-\d{2}$/.test(to)) return;
    const clock = clockAt(located.zone, at);
    setDate(to);
    setMoment(momentOf(located.zone, to, clock));
  };
  const dateId = useId();
  const timeId = useId();
  return (
    <>
      <div class="sun-when">
        <button type="button" class="act" aria-label="The day before" onClick={() => go(dateAfter(date, -1))}>
          <Icon name="back" />
        </button>
        <label class="unseen" for={dateId}>
          Date
        </label>
        <input
          id={dateId}
          class="entry sun-date"
          type="date"
          value={date}
          min="1950-01-01"
          max="2099-12-31"
          onChange={(event) => go(event.currentTarget.value)}
        />
        <button type="button" class="act" aria-label="The day after" onClick={() => go(dateAfter(date, 1))}>
          <Icon name="forward" />
        </button>
        <button
          type="button"
          class="act outline"
          onClick={() => {
            setDate(dateAt(located.zone, desk.now()));
            setMoment(desk.now());
          }}
        >
          Now
        </button>
        {days
          .filter((day) => day !== date)
          .slice(0, 4)
          .map((day) => (
            <button key={day} type="button" class="act outline" onClick={() => go(day)}>
              {writeDate(day)}
            </button>
          ))}
      </div>
      <div class="sun-pictures">
        <SunRose drawing={drawing} now={now} />
        <Figures drawing={drawing} now={now} sky={sky} onSky={setSky} />
      </div>
      <div class="sun-along">
        <SunStrip drawing={drawing} now={now} planned={planned} />
        <label class="unseen" for={timeId}>
          Time of day
        </label>
        <input
          id={timeId}
          class="sun-slider"
          type="range"
          min={0}
          max={Math.round((span.to - span.from) / MINUTE_MS) - 1}
          step={STEP_MINUTES}
          value={Math.round((at - span.from) / MINUTE_MS)}
          aria-valuetext={spoken(located, now)}
          onInput={(event) => setMoment(span.from + Number(event.currentTarget.value) * MINUTE_MS)}
        />
      </div>
      <DayTimes drawing={drawing} />
      {drawing.openings.length > 0 && <Openings drawing={drawing} />}
      <p class="label">
        Bearings from true north, clockwise; a compass shows magnetic north. Level horizon: hills, houses and
        trees are not in it. {SUN_CAUTION}
      </p>
    </>
  );
}

/** The present where it is that date; the sun's highest otherwise. */
function firstMoment({ span, day }: SunDrawing, now: number): number {
  if (now >= span.from && now < span.to) return now;
  const noon = day?.solarNoon.getTime() ?? (span.from + span.to) / 2;
  const step = STEP_MINUTES * MINUTE_MS;
  return span.from + Math.round((noon - span.from) / step) * step;
}

/** The setups of a date that are planned for a place, at their times. Follows the board. */
function plannedHere(desk: Desk, place: string, { zone }: Located, date: string): PlannedHere[] {
  const { board } = desk;
  const { call, breaks = [], retired } = board.view('days', date);
  if (call === undefined || retired === true) return [];
  const setups = setupsInShootingOrder(board, date).filter(({ view }) => view.state !== 'dropped');
  const times = plannedTimes(
    setups.map(({ id, view }) => ({ id, plannedMinutes: view.plannedMinutes })),
    { date, call, breaks, zone },
  );
  return setups.flatMap(({ id, view }) => {
    const span = times.get(id);
    return span && placeOfSetup(board, id) === place ? [{ label: view.label ?? id, span }] : [];
  });
}

function heightWords({ phase, apparentHeightDeg }: SunMoment): string {
  return phase === 'day'
    ? `${degrees(apparentHeightDeg)} above the horizon`
    : `${degrees(Math.abs(apparentHeightDeg))} below the horizon`;
}

function spoken({ zone }: Located, now: SunMoment): string {
  return `${clockAt(zone, now.at)}: ${bearingText(now.azimuthDeg)}, ${heightWords(now)}, ${now.phase}`;
}

const PHASE_WORDS: Readonly<Record<SunMoment['phase'], string>> = {
  day: 'The sun is up',
  'civil twilight': 'Civil twilight',
  'nautical twilight': 'Nautical twilight',
  'astronomical twilight': 'Astronomical twilight',
  night: 'Night',
};

function Figures(props: {
  drawing: SunDrawing;
  now: SunMoment;
  sky: Sky;
  onSky: (sky: Sky) => void;
}): JSX.Element {
  const { drawing, now, sky, onSky } = props;
  const { zone } = drawing.located;
  const { daylight, shadow } = now;
  return (
    <div class="sun-figures">
      <p class="sun-time">
        <span class="number" data-sun-time={clockAt(zone, now.at)}>
          {clockAt(zone, now.at)}
        </span>
        <span>{PHASE_WORDS[now.phase]}</span>
      </p>
      <dl class="pairs">
        <dt>Direction</dt>
        <dd class="number" data-sun-bearing={figure(now.azimuthDeg, 1)}>
          {bearingText(now.azimuthDeg)}
        </dd>
        <dt>Height</dt>
        <dd class="number" data-sun-height={now.trueHeightDeg.toFixed(1)}>
          {degrees(now.apparentHeightDeg)}
        </dd>
        <dt>Shadow</dt>
        <dd>
          {shadow
            ? `${figure(shadow.ratio, shadow.ratio < 10 ? 1 : 0)} × the height, towards ${bearingText(shadow.towardsDeg)}`
            : 'none: the sun is down'}
        </dd>
        <dt>Daylight</dt>
        <dd data-sun-daylight={daylight.kind}>
          {daylight.kind === 'estimate'
            ? `about ${luxText(daylight.lux)}, EV ${figure(daylight.ev100, 1)} at ISO 100`
            : `between ${luxText(daylight.least)} and ${luxText(daylight.most)}`}
        </dd>
      </dl>
      <fieldset class="sun-skies">
        <legend class="label">Sky of the estimate</legend>
        {SKIES.map(({ value, label }) => (
          <button
            key={value}
            type="button"
            class="act"
            aria-pressed={value === sky}
            onClick={() => onSky(value)}
          >
            {label}
          </button>
        ))}
      </fieldset>
      <p class="label">
        On level ground in the open (IES 1984). Haze, shade and single clouds move it by a stop and more:
        meter before the take.
      </p>
    </div>
  );
}

function DayTimes({ drawing }: { drawing: SunDrawing }): JSX.Element {
  const { day, located } = drawing;
  if (!day) return <p class="muted">The times of this date cannot be worked out here.</p>;
  const times: readonly (readonly [string, Date | null])[] = [
    ['Astronomical dawn', day.astronomicalDawn],
    ['Nautical dawn', day.nauticalDawn],
    ['Civil dawn', day.civilDawn],
    ['Sunrise', day.sunrise],
    ['Highest', day.solarNoon],
    ['Sunset', day.sunset],
    ['Civil dusk', day.civilDusk],
    ['Nautical dusk', day.nauticalDusk],
    ['Astronomical dusk', day.astronomicalDusk],
  ];
  const hours = (drawing.span.to - drawing.span.from) / 3_600_000;
  return (
    <>
      {day.state !== 'rises and sets' && (
        <p class="tag" data-tone="advice" data-sun-state={day.state}>
          {day.state === 'polar day'
            ? 'The sun does not set on this date.'
            : 'The sun does not rise on this date.'}
        </p>
      )}
      <dl class="sun-times">
        {times.map(([label, at]) => (
          <div key={label} data-sun-event={label}>
            <dt class="label">{label}</dt>
            <dd class="number">{timeText(drawing, at)}</dd>
          </div>
        ))}
      </dl>
      <p class="label">
        Times on the clocks of {located.zone}
        {hours === 24 ? '' : `, which are changed on this date: it has ${figure(hours, 1)} hours`}.
      </p>
    </>
  );
}

function Openings({ drawing }: { drawing: SunDrawing }): JSX.Element {
  const { zone } = drawing.located;
  return (
    <ol class="sun-openings">
      {drawing.openings.map(({ opening, spans }, index) => (
        <li key={opening.name} data-opening={opening.name}>
          <span class="camera-letter">{index + 1}</span>
          <strong>{opening.name}</strong>
          <span class="label">
            {bearingText(opening.bearingDeg)}
            {opening.arcDeg === undefined
              ? ', width not entered: taken from side to side'
              : `, ${figure(opening.arcDeg, 0)}° wide`}
          </span>
          <span class="push">
            {spans.length === 0
              ? 'no sun in it'
              : spans
                  .map(({ from, to }) =>
                    from === drawing.span.from && to === drawing.span.to
                      ? 'sun in it all day'
                      : `sun from ${clockAt(zone, from)} to ${clockAt(zone, to)}`,
                  )
                  .join(', ')}
          </span>
        </li>
      ))}
    </ol>
  );
}
