import { apertureStops, isoStops, miredDifference, ndStops, timeStops } from '@plumbline/craft';
import type { PictureFacts } from '../facts.ts';
import type { SideEffect } from '../finding.ts';
import type { MatchRow } from '../rule.ts';
import { depthText, plain, stopsText } from '../words.ts';

/**
 * What a change costs, in stops of depth or their like. Choices of this project: a stop of depth, half the blur again
 * and a stop of noise weigh alike, a just visible step of colour a quarter of that; common practice, no source.
 */
const WEIGHTS = {
  depthStop: 1,
  motionDoubling: 1,
  noiseStop: 1,
  /** Less noise is no loss, though it no longer matches. */
  lessNoiseStop: 0.25,
  tenMired: 0.5,
  exposureStop: 1,
} as const;

/** Most of the cost is where the picture ends up against its reference; the rest is that it changes at all. */
const SHARE_OF_DEPARTURE = 0.75;

/** Below this a change is not felt: stops. */
const FELT_STOPS = 0.05;

/** What changes on a picture between two settings. */
export interface PictureEffects {
  readonly effects: readonly SideEffect[];
  readonly cost: number;
}

/** Stops from one to the other, 0 where one is not known. */
function between(a: number | null, b: number | null, stops: (from: number, to: number) => number): number {
  return a === null || b === null ? 0 : stops(a, b);
}

/** How far two pictures are apart in what people feel. Each figure is 0 where it is not known. */
function apart(from: PictureFacts, to: PictureFacts) {
  return {
    closedStops: between(from.aperture, to.aperture, apertureStops),
    blurDoublings: between(from.angleDeg, to.angleDeg, timeStops),
    noiseStops: between(from.iso, to.iso, isoStops),
    mired: between(from.picture.whiteBalanceK ?? null, to.picture.whiteBalanceK ?? null, miredDifference),
  };
}

function costOf({ closedStops, blurDoublings, noiseStops, mired }: ReturnType<typeof apart>): number {
  return (
    WEIGHTS.depthStop * Math.abs(closedStops) +
    WEIGHTS.motionDoubling * Math.abs(blurDoublings) +
    (noiseStops > 0 ? WEIGHTS.noiseStop : WEIGHTS.lessNoiseStop) * Math.abs(noiseStops) +
    WEIGHTS.tenMired * (Math.abs(mired) / 10)
  );
}

/** How much brighter the settings make the picture under the same light. */
function brighterStops(before: PictureFacts, after: PictureFacts): number {
  return (
    -between(before.aperture, after.aperture, apertureStops) +
    between(before.exposureSeconds, after.exposureSeconds, timeStops) +
    between(before.iso, after.iso, isoStops) +
    ndStops(before.ndDensity ?? 0) -
    ndStops(after.ndDensity ?? 0)
  );
}

/**
 * What else changes when a picture's settings do.
 *
 * @param reference what it is matched to; `null` where it is matched to nothing
 * @param purpose the row that the change is meant to mend: its own effect is no side-effect
 */
export function pictureEffects(
  before: PictureFacts,
  after: PictureFacts,
  reference: PictureFacts | null,
  purpose: MatchRow | null,
): PictureEffects {
  const change = apart(before, after);
  const effects: SideEffect[] = [];
  if (Math.abs(change.closedStops) > FELT_STOPS) {
    effects.push({ what: 'depth', text: depthEffect(before, after, change.closedStops) });
  }
  if (Math.abs(change.blurDoublings) > FELT_STOPS) {
    effects.push({
      what: 'motion',
      text: `blur of movement goes from ${plain(before.angleDeg ?? 0)}° to ${plain(after.angleDeg ?? 0)}°`,
    });
  }
  if (Math.abs(change.noiseStops) > FELT_STOPS) {
    const [way, db] = [
      change.noiseStops > 0 ? 'rises' : 'falls',
      Math.abs(change.noiseStops) * 20 * Math.log10(2),
    ];
    effects.push({
      what: 'noise',
      text: `noise ${way} by ${stopsText(change.noiseStops)} (${plain(db)} dB)`,
    });
  }
  if (Math.abs(change.mired) > 0.5) {
    effects.push({
      what: 'colour',
      text: `the picture turns ${change.mired < 0 ? 'warmer' : 'bluer'} by ${plain(Math.abs(change.mired), 0)} mired`,
    });
  }
  const brighter = brighterStops(before, after);
  const exposes = purpose !== 'exposure' && Math.abs(brighter) > FELT_STOPS;
  if (exposes) {
    effects.push({
      what: 'exposure',
      text: `the picture gets ${stopsText(brighter)} ${brighter > 0 ? 'brighter' : 'darker'}`,
    });
  }
  const changed = costOf(change) + (exposes ? WEIGHTS.exposureStop * Math.abs(brighter) : 0);
  const cost = reference
    ? SHARE_OF_DEPARTURE * costOf(apart(reference, after)) + (1 - SHARE_OF_DEPARTURE) * changed
    : changed;
  return { effects: effects.filter(({ what }) => what !== purpose), cost };
}

function depthEffect(before: PictureFacts, after: PictureFacts, closedStops: number): string {
  const way = closedStops > 0 ? 'grows' : 'shrinks';
  if (!before.depth || !after.depth) {
    return `depth of field ${way}: the aperture ${closedStops > 0 ? 'closes' : 'opens'} by ${stopsText(closedStops)}`;
  }
  return `depth of field ${way} from ${depthText(before.depth)} to ${depthText(after.depth)}`;
}
