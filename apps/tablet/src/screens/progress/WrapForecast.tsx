import { sentence } from '@plumbline/shared';
import type { JSX } from 'preact';
import { dateIn } from '../../board/days.ts';
import type { Desk } from '../../board/desk.ts';
import { dropSetups } from '../../board/schedule.ts';
import { useDesk } from '../../board/useDesk.ts';
import { Mark } from '../../parts/Mark.tsx';
import type { DayForecast } from '../../parts/useForecast.ts';
import { counted } from '../../parts/words.ts';
import { writeTime } from '../../values/showing.ts';

/** Below this the day is in danger; above `GOOD` nobody need worry. */
const POOR = 0.4;
const GOOD = 0.8;

/** When the day will end: the middle, the range, and how likely that is in time. */
export function WrapForecast({ day, seen }: { day: string; seen: DayForecast }): JSX.Element {
  const desk = useDesk();
  const { reckoned, forecast, now } = seen;
  const zone = desk.timeZone();
  const planned = desk.board.value('days', day, 'wrap');
  if (!forecast || dateIn(now, zone) > day) {
    return (
      <div class="figure" data-figure="wrap">
        <span class="number">{planned ?? '–'}</span>
        <span class="label">
          {!reckoned
            ? 'wrap as planned'
            : forecast
              ? 'planned wrap of a day that is over'
              : 'nothing left of this day'}
        </span>
      </div>
    );
  }
  const { early, middle, late } = forecast.wrap;
  return (
    <div class="figure" data-figure="wrap" data-early={early} data-middle={middle} data-late={late}>
      <span class="number">{writeTime(middle, zone)}</span>
      <span class="label">
        wrap, eight times in ten between {writeTime(early, zone)} and {writeTime(late, zone)}
      </span>
    </div>
  );
}

/** Whether the day is made, what the answer rests on, and what could be dropped where it is not. */
export function InTime({ day, seen }: { day: string; seen: DayForecast }): JSX.Element | null {
  const desk = useDesk();
  const { forecast, drops } = seen;
  if (!forecast || dateIn(seen.now, desk.timeZone()) > day) return null;
  const { onTime, learntFrom, usualRatio, guessed } = forecast;
  const planned = desk.board.value('days', day, 'wrap');
  const tone = onTime === undefined || onTime >= GOOD ? 'good' : onTime < POOR ? 'fault' : 'advice';
  const rests =
    learntFrom === 0
      ? 'Nothing is completed yet: reckoned with a tenth more than planned.'
      : `Reckoned from ${counted(learntFrom, 'completed setup')} at ${usualRatio.toFixed(2)} × the plan.`;
  return (
    <section class="section" aria-label="In time" data-on-time={onTime}>
      <h2>In time?</h2>
      <p class="row in-time" data-tone={tone}>
        {onTime !== undefined && <Mark name={tone} />}
        <strong>
          {onTime === undefined
            ? 'No wrap is planned for this day.'
            : `${chanceWords(onTime)} to wrap by ${planned ?? ''}.`}
        </strong>
      </p>
      <p class="label">
        {rests}
        {guessed > 0 && ` ${counted(guessed, 'setup')} without a planned length counted as the middle one.`}
      </p>
      {drops.length > 0 && (
        <ul class="drops">
          {drops.map(({ setups, onTime: then, minutes, references }) => (
            <li key={setups.join()} class="drop" data-drop={setups.join(' ')}>
              <span class="stack">
                <strong>Without {names(desk, setups)}</strong>
                <span class="label">
                  {minutes} min given up; {chanceWords(then).toLowerCase()} then
                  {references.length > 0 && sentence`; others are matched to ${names(desk, references)}`}
                </span>
              </span>
              {desk.me.role === 'director' && desk.ready.value && (
                <button type="button" class="act outline" onClick={() => dropSetups(desk, setups)}>
                  Drop {setups.length === 1 ? 'it' : 'them'}
                </button>
              )}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

function names(desk: Desk, setups: readonly string[]): string {
  return setups.map((setup) => desk.nameOf('setups', setup)).join(', ');
}

/** A chance as people say it, in tenths: a finer figure would claim more than is known. */
function chanceWords(chance: number): string {
  const tenths = Math.round(chance * 10);
  if (tenths >= 10) return 'Almost certain';
  if (tenths <= 0) return 'Almost no chance';
  return `${tenths} in 10 likely`;
}
