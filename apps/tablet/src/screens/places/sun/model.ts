import type { Sky, SunDay } from '@plumbline/craft';
import {
  clockAt,
  type Located,
  momentOf,
  type Opening,
  type Phase,
  phaseOf,
  type Span,
  type SunSeen,
  spanOfDate,
  sunDayAt,
  sunInOpening,
  sunTrack,
} from '@plumbline/shared/places';
import { figure } from '../../../values/showing.ts';

/** The sun over a place along a date, as both drawings need it. */
export interface SunDrawing {
  readonly located: Located;
  readonly date: string;
  readonly span: Span;
  readonly day: SunDay | null;
  /** Every ten minutes. */
  readonly points: readonly (SunSeen & { readonly at: number })[];
  /** The full hours that the clocks show, in order; none is missing where they are set back. */
  readonly hours: readonly (SunSeen & { readonly at: number; readonly hour: number })[];
  /** Stretches of day, twilight and night. */
  readonly phases: readonly { readonly phase: Phase; readonly span: Span }[];
  /** When the sun stands in each opening. */
  readonly openings: readonly { readonly opening: Opening; readonly spans: readonly Span[] }[];
}

const POINT_MS = 600_000;
const LOOK_MS = 60_000;

/** Works out the sun over a date. */
export function drawingOf(located: Located, date: string, openings: readonly Opening[]): SunDrawing {
  const { place, zone } = located;
  const track = sunTrack(place);
  const span = spanOfDate(zone, date);
  const points: SunDrawing['points'][number][] = [];
  for (let at = span.from; at < span.to; at += POINT_MS) points.push({ at, ...track.seen(at) });
  points.push({ at: span.to, ...track.seen(span.to) });
  const hours = Array.from({ length: 24 }, (_, hour) => {
    const at = momentOf(zone, date, `${String(hour).padStart(2, '0')}:00`);
    return { at, hour, ...track.seen(at) };
  });
  const phases: { phase: Phase; span: Span }[] = [];
  for (let at = span.from; at < span.to; at += LOOK_MS) {
    const phase = phaseOf(track.seen(at).heightDeg);
    const to = Math.min(at + LOOK_MS, span.to);
    const last = phases.at(-1);
    if (last?.phase === phase) phases[phases.length - 1] = { phase, span: { from: last.span.from, to } };
    else phases.push({ phase, span: { from: at, to } });
  }
  return {
    located,
    date,
    span,
    day: sunDayAt(located, date),
    points,
    hours,
    phases,
    openings: openings.map((opening) => ({ opening, spans: sunInOpening(track, opening, span) })),
  };
}

/** A moment of a drawing's date as people read it; one of a neighbouring date says so. */
export function timeText({ located: { zone }, span }: SunDrawing, at: Date | null): string {
  if (at === null) return 'none';
  const clock = clockAt(zone, at.getTime());
  if (at.getTime() < span.from) return `${clock} the day before`;
  return at.getTime() >= span.to ? `${clock} the day after` : clock;
}

/** `45.7°` with a true minus sign. */
export function degrees(value: number): string {
  return `${figure(value, 1)}°`;
}

/** What skies are called. */
export const SKIES: readonly { readonly value: Sky; readonly label: string }[] = [
  { value: 'clear', label: 'Clear' },
  { value: 'partly cloudy', label: 'Partly cloudy' },
  { value: 'overcast', label: 'Overcast' },
];

/** A count of lux with no more digits than an estimate has: `75 000 lx`. */
export function luxText(lux: number): string {
  if (lux < 10) return `${Number(lux.toPrecision(2))} lx`;
  return `${Number(lux.toPrecision(lux < 100 ? 2 : 3))
    .toLocaleString('en')
    .replaceAll(',', '\u202f')} lx`;
}
