import { clockAt } from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { figure } from '../../../values/showing.ts';
import { bearingText } from './geometry.ts';
import { type SunDrawing, timeText } from './model.ts';

/** When the sun rises, stands highest and sets, with the twilights around it. */
export function DayTimes({ drawing }: { drawing: SunDrawing }): JSX.Element {
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

/** When the sun stands in each window and door. */
export function Openings({ drawing }: { drawing: SunDrawing }): JSX.Element {
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
