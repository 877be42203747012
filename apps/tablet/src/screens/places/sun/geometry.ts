import { type Opening, type Span, WHOLE_SIDE_DEG } from '@plumbline/shared/places';

/** A point of a drawing, y downwards. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** Radius of the horizon on the rose; the zenith is its middle. */
export const RIM = 100;
/** How far outside the rim 18° below the horizon lies. */
const BELOW = 14;
const RADIAN = Math.PI / 180;

/** Distance from the middle of the rose at which a height is drawn. */
export function radiusOf(heightDeg: number): number {
  if (heightDeg >= 0) return (RIM * (90 - heightDeg)) / 90;
  return RIM + (BELOW * Math.min(18, -heightDeg)) / 18;
}

/** Where a bearing is at a distance from the middle of the rose: north up, east to the right. */
export function at(bearingDeg: number, radius: number): Point {
  return { x: radius * Math.sin(bearingDeg * RADIAN), y: -radius * Math.cos(bearingDeg * RADIAN) };
}

/** `12.3`, short enough for a path. */
export function short(value: number): string {
  return String(Math.round(value * 10) / 10);
}

/** A line through points; pieces that are empty are left out. */
export function lineThrough(points: readonly Point[]): string {
  return points.map(({ x, y }, index) => `${index === 0 ? 'M' : 'L'}${short(x)} ${short(y)}`).join('');
}

/** The piece of sky that is seen through an opening, as a closed path on the rose. */
export function wedgeOf({
  bearingDeg,
  arcDeg = WHOLE_SIDE_DEG,
  lowestDeg = 0,
  highestDeg = 90,
}: Opening): string {
  const outer = radiusOf(lowestDeg);
  const inner = radiusOf(highestDeg);
  if (arcDeg >= 359.9) {
    const ring = (radius: number): string =>
      `M${short(-radius)} 0a${short(radius)} ${short(radius)} 0 1 0 ${short(2 * radius)} 0a${short(radius)} ${short(radius)} 0 1 0 ${short(-2 * radius)} 0`;
    return inner < 0.1 ? ring(outer) : ring(outer) + ring(inner);
  }
  const from = bearingDeg - arcDeg / 2;
  const to = bearingDeg + arcDeg / 2;
  const large = arcDeg > 180 ? 1 : 0;
  const [a, b, c, d] = [at(from, outer), at(to, outer), at(to, inner), at(from, inner)];
  const arc = (radius: number, sweep: 0 | 1, end: Point): string =>
    `A${short(radius)} ${short(radius)} 0 ${large} ${sweep} ${short(end.x)} ${short(end.y)}`;
  const back = inner < 0.1 ? 'L0 0' : `L${short(c.x)} ${short(c.y)}${arc(inner, 0, d)}`;
  return `M${short(a.x)} ${short(a.y)}${arc(outer, 1, b)}${back}Z`;
}

/** Where a moment is along a strip of a width. */
export function along({ from, to }: Span, moment: number, width: number): number {
  return ((moment - from) / (to - from)) * width;
}

const POINTS = [
  'N',
  'NNE',
  'NE',
  'ENE',
  'E',
  'ESE',
  'SE',
  'SSE',
  'S',
  'SSW',
  'SW',
  'WSW',
  'W',
  'WNW',
  'NW',
  'NNW',
] as const;

/** The point of the compass that a bearing is nearest to. */
export function pointOf(bearingDeg: number): string {
  return POINTS[Math.round((((bearingDeg % 360) + 360) % 360) / 22.5) % 16] ?? 'N';
}

/** `132° SE` */
export function bearingText(bearingDeg: number): string {
  return `${Math.round(((bearingDeg % 360) + 360) % 360) % 360}° ${pointOf(bearingDeg)}`;
}
