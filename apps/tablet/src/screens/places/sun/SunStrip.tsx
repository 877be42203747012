import { clockAt, type Phase, type Span, type SunMoment } from '@plumbline/shared/places';
import type { JSX } from 'preact';
import { useLayoutEffect, useRef, useState } from 'preact/hooks';
import { along, lineThrough, short } from './geometry.ts';
import type { SunDrawing } from './model.ts';

const TOP = 20;
const SKY = 132;
const LOWEST_DEG = -20;
const ROW = 18;

const WORDS: Readonly<Record<Phase, readonly [string, string]>> = {
  day: ['sun up', 'sun'],
  'civil twilight': ['civil twilight', ''],
  'nautical twilight': ['nautical', ''],
  'astronomical twilight': ['astronomical', ''],
  night: ['night', 'night'],
};

/** A setup that is planned for this place on this date. */
export interface PlannedHere {
  readonly label: string;
  readonly span: Span;
}

/** The date from its first minute to its last: how high the sun stands, when it is in which opening, what is planned. */
export function SunStrip(props: {
  drawing: SunDrawing;
  now: SunMoment;
  planned: readonly PlannedHere[];
}): JSX.Element {
  const { drawing, now, planned } = props;
  const [ref, width] = useWidth();
  const { span, points, phases, openings, located, hours } = drawing;
  const x = (moment: number): number => along(span, moment, width);
  const y = (height: number): number => TOP + ((90 - height) / (90 - LOWEST_DEG)) * SKY;
  const rows = openings.length + (planned.length > 0 ? 1 : 0);
  const axis = TOP + SKY;
  const height = axis + 20 + rows * ROW;
  const cursor = x(now.at);
  const every = width < 500 ? 6 : 3;
  return (
    <div ref={ref} class="sun-strip">
      <svg width={width} height={height} aria-hidden="true" focusable="false">
        <rect y={TOP} width={width} height={SKY} class="strip-sky" />
        {phases.map(({ phase, span: piece }) => {
          const from = x(piece.from);
          const wide = x(piece.to) - from;
          const [long, brief] = WORDS[phase];
          const word = wide > long.length * 7 ? long : wide > brief.length * 7 ? brief : '';
          return (
            <g key={piece.from}>
              <rect
                x={short(from)}
                y={TOP}
                width={short(wide)}
                height={SKY}
                class="strip-phase"
                data-phase={phase}
              />
              <path d={`M${short(from)} ${TOP - 4}V${axis}`} class="strip-turn" />
              {word !== '' && (
                <text x={short(from + wide / 2)} y={TOP - 7} class="strip-word">
                  {word}
                </text>
              )}
            </g>
          );
        })}
        {[0, 30, 60].map((mark) => (
          <g key={mark}>
            <path d={`M0 ${short(y(mark))}H${width}`} class={mark === 0 ? 'strip-horizon' : 'strip-level'} />
            <text x={4} y={short(y(mark) - 3)} class="strip-small start">
              {mark === 0 ? 'horizon' : `${mark}°`}
            </text>
          </g>
        ))}
        <path
          d={lineThrough(
            points.map((point) => ({ x: x(point.at), y: y(Math.max(LOWEST_DEG, point.heightDeg)) })),
          )}
          class="strip-path"
        />
        {hours
          .filter(({ hour }) => hour % every === 0)
          .map(({ at, hour }) => (
            <g key={at}>
              <path d={`M${short(x(at))} ${axis}v5`} class="strip-turn" />
              <text
                x={short(hour === 0 ? x(at) + 2 : x(at))}
                y={axis + 16}
                class={hour === 0 ? 'strip-small start' : 'strip-small'}
              >
                {clockAt(located.zone, at)}
              </text>
            </g>
          ))}
        {openings.map(({ opening, spans }, index) => {
          const top = axis + 22 + index * ROW;
          return (
            <g key={opening.name}>
              <path d={`M0 ${top + 7}H${width}`} class="strip-level" />
              {spans.map((piece) => (
                <rect
                  key={piece.from}
                  x={short(x(piece.from))}
                  y={top}
                  width={short(Math.max(2, x(piece.to) - x(piece.from)))}
                  height={14}
                  rx={3}
                  class="strip-opening"
                />
              ))}
              <circle cx={9} cy={top + 7} r={7} class="rose-badge" />
              <text x={9} y={top + 10.5} class="rose-number">
                {index + 1}
              </text>
            </g>
          );
        })}
        {planned.map(({ label, span: piece }) => {
          const top = axis + 22 + openings.length * ROW;
          const wide = Math.max(2, x(piece.to) - x(piece.from) - 1);
          return (
            <g key={label}>
              <rect
                x={short(x(piece.from))}
                y={top}
                width={short(wide)}
                height={14}
                rx={2}
                class="strip-setup"
              />
              {wide > label.length * 7 + 2 && (
                <text x={short(x(piece.from) + wide / 2)} y={top + 10.5} class="strip-small">
                  {label}
                </text>
              )}
            </g>
          );
        })}
        <path d={`M${short(cursor)} ${TOP}V${height}`} class="strip-cursor" />
        <circle
          cx={short(cursor)}
          cy={short(y(Math.max(LOWEST_DEG, now.trueHeightDeg)))}
          r={6}
          class="rose-sun"
          data-up={now.phase === 'day'}
        />
      </svg>
    </div>
  );
}

/** How wide an element is, px, and again when that changes. */
function useWidth() {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(640);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const measure = (): void => setWidth(Math.max(200, Math.floor(element.clientWidth)));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, width] as const;
}
