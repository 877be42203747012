import type { SunMoment } from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { at, lineThrough, RIM, radiusOf, short, wedgeOf } from './geometry.ts';
import type { SunDrawing } from './model.ts';

const LETTERS = [
  ['N', 0],
  ['E', 90],
  ['S', 180],
  ['W', 270],
] as const;
const LETTER_RADIUS = 128;
const LONGEST_SHADOW = 8;

/**
 * The sky from below, north up: the rim is the horizon, the middle the zenith. Drawn with lines and hatching, so that
 * it reads without colour; everything in it is also said in words beside it.
 */
export function SunRose({ drawing, now }: { drawing: SunDrawing; now: SunMoment }): JSX.Element {
  const { points, hours, openings } = drawing;
  const sun = at(now.azimuthDeg, radiusOf(now.trueHeightDeg));
  const isUp = now.phase === 'day';
  const runs = runsByHorizon(points);
  return (
    <svg class="sun-rose" viewBox="-144 -144 288 288" aria-hidden="true" focusable="false">
      <defs>
        <pattern
          id="rose-hatch"
          width="6"
          height="6"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <path d="M0 0V6" class="rose-hatch" />
        </pattern>
      </defs>
      <circle r={RIM} class="rose-ground" />
      {openings.map(({ opening }) => (
        <path key={opening.name} d={wedgeOf(opening)} class="rose-opening" fill-rule="evenodd" />
      ))}
      {[30, 60].map((height) => (
        <g key={height}>
          <circle r={radiusOf(height)} class="rose-ring" />
          <text x={3} y={short(-radiusOf(height) + 9)} class="rose-small">
            {height}°
          </text>
        </g>
      ))}
      <path d="M0 -100V100M-100 0H100" class="rose-ring" />
      <circle r={RIM} class="rose-rim" />
      {LETTERS.map(([letter, bearing]) => {
        const { x, y } = at(bearing, LETTER_RADIUS);
        return (
          <text key={letter} x={short(x)} y={short(y + 4.5)} class="rose-letter">
            {letter}
          </text>
        );
      })}
      <path d="M0 -121l4 9h-8z" class="rose-north" />
      <text x={10} y={-124} class="rose-small start">
        true north
      </text>
      {openings.map(({ opening }, index) => {
        const { x, y } = at(opening.bearingDeg, RIM + 8);
        return (
          <g key={opening.name}>
            <path
              d={lineThrough([at(opening.bearingDeg, RIM - 6), at(opening.bearingDeg, RIM + 1)])}
              class="rose-mark"
            />
            <circle cx={short(x)} cy={short(y)} r={7} class="rose-badge" />
            <text x={short(x)} y={short(y + 3.5)} class="rose-number">
              {index + 1}
            </text>
          </g>
        );
      })}
      {runs.map(({ up, points: run }) => (
        <path
          key={run[0]?.at}
          d={lineThrough(run.map(({ azimuthDeg, heightDeg }) => at(azimuthDeg, radiusOf(heightDeg))))}
          class="rose-path"
          data-up={up}
        />
      ))}
      {hours
        .filter(({ heightDeg }) => heightDeg > 0)
        .map(({ at: moment, hour, azimuthDeg, heightDeg }) => {
          const point = at(azimuthDeg, radiusOf(heightDeg));
          const beside = at(azimuthDeg, Math.max(0, radiusOf(heightDeg) - 11));
          return (
            <g key={moment}>
              <circle cx={short(point.x)} cy={short(point.y)} r={2.2} class="rose-hour" />
              {hour % 3 === 0 && (
                <text x={short(beside.x)} y={short(beside.y + 3)} class="rose-small">
                  {String(hour).padStart(2, '0')}
                </text>
              )}
            </g>
          );
        })}
      {now.shadow && <Shadow shadow={now.shadow} />}
      <path d={lineThrough([{ x: 0, y: 0 }, sun])} class="rose-sight" />
      <circle cx={short(sun.x)} cy={short(sun.y)} r={8} class="rose-sun" data-up={isUp} />
      {isUp && <circle cx={short(sun.x)} cy={short(sun.y)} r={2.5} class="rose-sun-heart" />}
    </svg>
  );
}

/** Which way a shadow falls, longer for a longer one, up to a length beyond which it says nothing. */
function Shadow({ shadow }: { shadow: NonNullable<SunMoment['shadow']> }): JSX.Element {
  const length = 12 + (Math.min(shadow.ratio, LONGEST_SHADOW) / LONGEST_SHADOW) * 70;
  const end = at(shadow.towardsDeg, length);
  return (
    <g>
      <path d={lineThrough([{ x: 0, y: 0 }, end])} class="rose-shadow" />
      <circle r={3} class="rose-foot" />
    </g>
  );
}

/** The path in pieces above and below the horizon, each ending where the next begins. */
function runsByHorizon(
  points: SunDrawing['points'],
): { up: boolean; points: SunDrawing['points'][number][] }[] {
  const runs: { up: boolean; points: SunDrawing['points'][number][] }[] = [];
  for (const point of points) {
    if (point.heightDeg < -18) {
      if ((runs.at(-1)?.points.length ?? 0) > 0) runs.push({ up: false, points: [] });
      continue;
    }
    const up = point.heightDeg >= 0;
    const last = runs.at(-1);
    if (last && (last.up === up || last.points.length === 0)) {
      if (last.points.length === 0) last.up = up;
      last.points.push(point);
    } else {
      last?.points.push(point);
      runs.push({ up, points: [point] });
    }
  }
  return runs.filter(({ points: run }) => run.length > 1);
}
