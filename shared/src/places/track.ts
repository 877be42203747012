import { type Place, SUN_ZENITHS, sunPosition } from '@plumbline/craft';

/** Where the sun stands, without the air: to be held against horizons and openings. */
export interface SunSeen {
  /** From true north, clockwise, degree. */
  readonly azimuthDeg: number;
  /** Height of the centre above a level horizon, degree. */
  readonly heightDeg: number;
}

/** The sun is up while its upper edge is seen: its centre is above this height, degree (U.S. Naval Observatory). */
export const SUN_UP_DEG = 90 - SUN_ZENITHS.sunriseAndSunset;

const GRID_MS = 300_000;
const RADIAN = Math.PI / 180;
const MOST_PLACES = 20;
const MOST_POINTS = 4000;

type Vector = readonly [east: number, north: number, up: number];

/** Follows the sun over a place. */
export interface SunTrack {
  readonly place: Place;
  /** @param at moment, ms since 1970 UTC */
  seen(at: number): SunSeen;
}

const tracks = new Map<string, SunTrack>();

/**
 * The sun over a place, remembered: its place every five minutes, and between them along the straight line, which is
 * within 0.01° of the truth and some hundred times quicker.
 *
 * @throws CraftError when the place is not on the Earth
 */
export function sunTrack(place: Place): SunTrack {
  const key = `${place.latitude} ${place.longitude} ${place.heightMetres ?? 0}`;
  const known = tracks.get(key);
  if (known) return known;
  const track = newTrack(place);
  track.seen(0);
  tracks.set(key, track);
  const oldest = tracks.keys().next();
  if (tracks.size > MOST_PLACES && !oldest.done) tracks.delete(oldest.value);
  return track;
}

function newTrack(place: Place): SunTrack {
  const points = new Map<number, Vector>();
  const pointAt = (index: number): Vector => {
    const known = points.get(index);
    if (known) return known;
    if (points.size >= MOST_POINTS) points.clear();
    const { azimuthDeg, trueHeightDeg } = sunPosition(place, new Date(index * GRID_MS));
    const level = Math.cos(trueHeightDeg * RADIAN);
    const point: Vector = [
      level * Math.sin(azimuthDeg * RADIAN),
      level * Math.cos(azimuthDeg * RADIAN),
      Math.sin(trueHeightDeg * RADIAN),
    ];
    points.set(index, point);
    return point;
  };
  return {
    place,
    seen(at) {
      const index = Math.floor(at / GRID_MS);
      const part = at / GRID_MS - index;
      const before = pointAt(index);
      const after = part === 0 ? before : pointAt(index + 1);
      const between = (axis: 0 | 1 | 2): number => before[axis] + (after[axis] - before[axis]) * part;
      const [east, north, up] = [between(0), between(1), between(2)];
      const azimuth = Math.atan2(east, north) / RADIAN;
      return {
        azimuthDeg: azimuth < 0 ? azimuth + 360 : azimuth,
        heightDeg: Math.atan2(up, Math.hypot(east, north)) / RADIAN,
      };
    },
  };
}

/** A stretch of time, ms since 1970 UTC. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

const LOOK_MS = 30_000;
const EXACT_MS = 500;

/**
 * The stretches in which something holds, found by looking every half minute and then halving down to half a second.
 * What lasts less than half a minute may be missed.
 */
export function spansWhere(holds: (at: number) => boolean, within: Span): Span[] {
  const spans: Span[] = [];
  const turn = (before: number, after: number): number => {
    const was = holds(before);
    let [low, high] = [before, after];
    while (high - low > EXACT_MS) {
      const middle = (low + high) / 2;
      if (holds(middle) === was) low = middle;
      else high = middle;
    }
    return Math.round(high);
  };
  let since: number | null = holds(within.from) ? within.from : null;
  for (let at = within.from; at < within.to; at += LOOK_MS) {
    const next = Math.min(at + LOOK_MS, within.to);
    const now = holds(next);
    if (now === (since !== null)) continue;
    const at2 = turn(at, next);
    if (since === null) since = at2;
    else {
      spans.push({ from: since, to: at2 });
      since = null;
    }
  }
  if (since !== null && since < within.to) spans.push({ from: since, to: within.to });
  return spans;
}
