import type { Sky } from '@plumbline/craft';
import { clockAt, type Located, type SunMoment } from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { figure } from '../../../values/showing.ts';
import { bearingText } from './geometry.ts';
import { degrees, luxText, SKIES, type SunDrawing } from './model.ts';

function heightWords({ phase, apparentHeightDeg }: SunMoment): string {
  return phase === 'day'
    ? `${degrees(apparentHeightDeg)} above the horizon`
    : `${degrees(Math.abs(apparentHeightDeg))} below the horizon`;
}

/** A moment of the sun in one line, as it is read out. */
export function spoken({ zone }: Located, now: SunMoment): string {
  return `${clockAt(zone, now.at)}: ${bearingText(now.azimuthDeg)}, ${heightWords(now)}, ${now.phase}`;
}

const PHASE_WORDS: Readonly<Record<SunMoment['phase'], string>> = {
  day: 'The sun is up',
  'civil twilight': 'Civil twilight',
  'nautical twilight': 'Nautical twilight',
  'astronomical twilight': 'Astronomical twilight',
  night: 'Night',
};

/** Where the sun stands at a moment, its shadow and the light to expect, in figures. */
export function Figures(props: {
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
