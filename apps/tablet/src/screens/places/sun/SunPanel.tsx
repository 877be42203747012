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
  sunMoment,
} from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { useId, useMemo, useState } from 'preact/hooks';
import { daysOf, dayToShow, writeDate } from '../../../board/days.ts';
import type { Desk } from '../../../board/desk.ts';
import { useDesk } from '../../../board/useDesk.ts';
import { Icon } from '../../../parts/Icon.tsx';
import { useDerived } from '../../../parts/useDerived.ts';
import { DayTimes, Openings } from './DayTimes.tsx';
import { Figures, spoken } from './Figures.tsx';
import { drawingOf, type SunDrawing } from './model.ts';
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
