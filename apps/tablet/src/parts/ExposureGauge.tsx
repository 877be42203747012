import { exposureOffsetOf, SHOOT } from '@plumbline/shared';
import type { JSX } from 'preact';
import { useDesk } from '../board/useDesk.ts';
import { writeOffset } from '../values/showing.ts';
import { useDerived } from './useDerived.ts';

const SPAN_STOPS = 3;
const WIDTH = 240;

/** `0.0 stop`, `+1.4 stops` */
export function offsetUnit(stops: number): string {
  return Math.round(Math.abs(stops) * 10) > 10 ? 'stops' : 'stop';
}

/** The same in words. */
function word(stops: number): string {
  if (Math.abs(stops) < 0.05) return 'agrees';
  return stops > 0 ? 'brighter than set for' : 'darker than set for';
}

/**
 * How far the key light is from what the settings ask for: a line that hangs true while they agree, and beside it
 * where they do not.
 */
export function ExposureGauge({ record }: { record: string }): JSX.Element {
  const desk = useDesk();
  const offset = useDerived(() => exposureOffsetOf(desk.board, record), [desk, record]);
  const tolerance = desk.board.value('shoot', SHOOT, 'exposureToleranceStops') ?? 0.3;
  if (!offset.known) {
    return (
      <div class="gauge" data-offset={record} data-known="false">
        <span class="label">Against the meter</span>
        <span class="unset">Not known yet: {offset.missing.join(', ').toLowerCase()} missing</span>
      </div>
    );
  }
  const at = Math.max(-SPAN_STOPS, Math.min(SPAN_STOPS, offset.value));
  const x = WIDTH / 2 + (at / SPAN_STOPS) * (WIDTH / 2 - 12);
  const one = (WIDTH / 2 - 12) / SPAN_STOPS;
  return (
    <div class="gauge" data-offset={record} data-known="true">
      <span class="label">Against the meter: {word(offset.value)}</span>
      <span class="number gauge-figure">
        {writeOffset(offset.value)}
        <span class="unit"> {offsetUnit(offset.value)}</span>
      </span>
      <svg viewBox={`0 0 ${WIDTH} 44`} class="gauge-scale" aria-hidden="true" focusable="false">
        <rect
          x={WIDTH / 2 - one * tolerance}
          y="8"
          width={one * tolerance * 2}
          height="28"
          class="gauge-true"
        />
        {Array.from({ length: SPAN_STOPS * 2 * 3 + 1 }, (_, i) => {
          const whole = i % 3 === 0;
          const tick = 12 + (i / 3) * one;
          return (
            <path
              key={i}
              d={`M${tick} 36V${whole ? 27 : 31}`}
              stroke="var(--edge)"
              stroke-width={whole ? 2 : 1}
            />
          );
        })}
        <path d={`M${WIDTH / 2} 4L${x} 20`} stroke="var(--text)" stroke-width="1.5" />
        <path d={`M${x} 17l5 6-5 9-5-9z`} fill="var(--accent)" />
        <circle cx={WIDTH / 2} cy="4" r="3" fill="var(--text)" />
      </svg>
    </div>
  );
}
