import type { ShootRecord } from '../tables/index.ts';
import { type Span, SUN_UP_DEG, type SunSeen, type SunTrack, spansWhere } from './track.ts';

/** A window, door or open side. */
export type Opening = NonNullable<ShootRecord<'places'>['openings']>[number];

/** How wide an opening is taken to be where nobody has said: the sun shines in from one side to the other. */
export const WHOLE_SIDE_DEG = 180;

/** The openings of a place. A place that has but the bearing of its main windows has one, of that bearing. */
export function openingsOf(place: ShootRecord<'places'>): readonly Opening[] {
  const { openings, windowBearingDeg } = place;
  if (openings !== undefined && openings.length > 0) return openings;
  return windowBearingDeg === undefined ? [] : [{ name: 'Main windows', bearingDeg: windowBearingDeg }];
}

/** How far two bearings are apart, 0 to 180 degrees. */
export function bearingsApart(a: number, b: number): number {
  const apart = (((a - b) % 360) + 360) % 360;
  return Math.min(apart, 360 - apart);
}

/** Whether the sun stands in an opening: it is up, within the arc, above what is low and below what is high. */
export function isInOpening(opening: Opening, { azimuthDeg, heightDeg }: SunSeen): boolean {
  const { bearingDeg, arcDeg = WHOLE_SIDE_DEG, lowestDeg, highestDeg } = opening;
  if (heightDeg < Math.max(SUN_UP_DEG, lowestDeg ?? SUN_UP_DEG)) return false;
  if (highestDeg !== undefined && heightDeg > highestDeg) return false;
  return bearingsApart(azimuthDeg, bearingDeg) <= arcDeg / 2;
}

/** When the sun stands in an opening, within a stretch of time. */
export function sunInOpening(track: SunTrack, opening: Opening, within: Span): Span[] {
  return spansWhere((at) => isInOpening(opening, track.seen(at)), within);
}
