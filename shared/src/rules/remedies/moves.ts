import {
  angleFromExposureSeconds,
  apertureStops,
  exactFNumber,
  exposureSecondsFromAngle,
  type FrameRate,
  fitsInFrame,
  fNumberMarks,
  frameSeconds,
  gainFromIso,
  gainStops,
  isoMarks,
  isoStops,
  ndStops,
  safeExposureTimes,
  timeStops,
  videoTimeMarks,
} from '@plumbline/craft';
import type { ShootRecord } from '../../tables/index.ts';
import { sentence } from '../../views/apart.ts';
import { type PictureFacts, sensitivityField } from '../facts.ts';
import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';
import { apertureText, plain, shutterText } from '../words.ts';

/** The settings of a camera that change the exposure. */
export type Setting = 'aperture' | 'shutter' | 'sensitivity' | 'nd';

/** One setting changed, and what it does to the exposure. */
export interface Move {
  readonly setting: Setting;
  readonly label: string;
  readonly change: Change;
  /** Stops; positive is brighter. */
  readonly stops: number;
}

type Shutter = NonNullable<ShootRecord<'picture'>['shutter']>;

function move(
  facts: PictureFacts,
  setting: Setting,
  field: keyof ShootRecord<'picture'>,
  value: number | Shutter,
  words: readonly [from: string, to: string],
  stops: number,
): Move {
  return {
    setting,
    label: sentence`${words[0]} → ${words[1]}`,
    change: { table: 'picture', record: facts.record, field, value: jsonOf(value) },
    stops,
  };
}

function jsonOf(value: number | Shutter): Change['value'] {
  return typeof value === 'number' ? value : { ...value };
}

/** Several moves as one candidate. */
export function candidateOf(moves: readonly Move[], extra: Partial<Candidate> = {}): Candidate {
  return {
    id: moves.map(({ change }) => `${change.field}:${JSON.stringify(change.value)}`).join('+'),
    label: moves.map(({ label }) => label).join(', '),
    changes: moves.map(({ change }) => change),
    ...extra,
  };
}

/** Opens or closes the lens to a mark. */
export function toAperture(facts: PictureFacts, mark: number): Move[] {
  const { aperture } = facts.picture;
  if (aperture === undefined || facts.aperture === null || mark === aperture) return [];
  const stops = -apertureStops(facts.aperture, exactFNumber(mark));
  return [move(facts, 'aperture', 'aperture', mark, [apertureText(aperture), apertureText(mark)], stops)];
}

function filterText(density: number): string {
  return density === 0 ? 'none' : plain(density, 2);
}

/** Changes the filters. */
export function toNd(facts: PictureFacts, density: number, remark = ''): Move[] {
  const now = facts.ndDensity ?? 0;
  if (Math.abs(density - now) < 1e-9) return [];
  const words = [`ND ${filterText(now)}`, `${filterText(density)}${remark}`] as const;
  return [move(facts, 'nd', 'ndDensity', density, words, ndStops(now) - ndStops(density))];
}

/** Changes the sensitivity, ISO or gain as the camera is set. */
export function toSensitivity(facts: PictureFacts, value: number): Move[] {
  const { iso, gainDb } = facts.picture;
  if (sensitivityField(facts) === 'gainDb') {
    if (gainDb === undefined || value === gainDb) return [];
    const words = [`gain ${plain(gainDb)} dB`, `${plain(value)} dB`] as const;
    return [move(facts, 'sensitivity', 'gainDb', value, words, gainStops(value - gainDb))];
  }
  if (iso === undefined || value === iso) return [];
  const words = [`ISO ${plain(iso, 0)}`, plain(value, 0)] as const;
  return [move(facts, 'sensitivity', 'iso', value, words, isoStops(iso, value))];
}

/** Seconds of a shutter at a rate. */
function secondsOf(shutter: Shutter, rate: FrameRate | null): number | null {
  if ('seconds' in shutter) return shutter.seconds;
  return rate && exposureSecondsFromAngle(shutter.angleDeg, rate);
}

/** Changes the shutter. From a time that outlasts the frame, too. */
export function toShutter(facts: PictureFacts, shutter: Shutter): Move[] {
  const now = facts.picture.shutter;
  if (now === undefined) return [];
  const [before, after] = [secondsOf(now, facts.rate), secondsOf(shutter, facts.rate)];
  if (before === null || after === null) return [];
  if (Math.abs(timeStops(before, after)) < 1e-9) return [];
  const words = [shutterText(now), shutterText(shutter)] as const;
  return [move(facts, 'shutter', 'shutter', shutter, words, timeStops(before, after))];
}

/** A time in the way this camera is set: as an angle or as a time. */
export function shutterLike(facts: PictureFacts, seconds: number): Shutter {
  const { shutter } = facts.picture;
  if (facts.rate && shutter && 'angleDeg' in shutter && fitsInFrame(seconds, facts.rate)) {
    return { angleDeg: Number(angleFromExposureSeconds(seconds, facts.rate).toFixed(2)) };
  }
  return { seconds };
}

/** A shutter of another camera or setup, in the way this camera is set; its angle counts, not its time. */
export function shutterOfAngle(facts: PictureFacts, like: PictureFacts): Shutter | null {
  const { shutter } = facts.picture;
  const { shutter: wanted } = like.picture;
  if (shutter === undefined || wanted === undefined || like.angleDeg === null || like.fitsFrame === false) {
    return null;
  }
  if ('angleDeg' in shutter) return { angleDeg: Number(like.angleDeg.toFixed(2)) };
  if (!facts.rate) return null;
  return { seconds: exposureSecondsFromAngle(like.angleDeg, facts.rate) };
}

/** Whether the camera has filters of a density, as far as is known. */
function hasNd({ device }: PictureFacts, density: number): boolean {
  const { ndAvailable } = device;
  if (ndAvailable === undefined || density === 0) return true;
  const stacks = stacksOf(ndAvailable).map(({ both }) => both);
  return [...ndAvailable, ...stacks].some((there) => Math.abs(there - density) < 1e-4);
}

/** Every two filters, one behind the other. */
function stacksOf(densities: readonly number[]) {
  return densities.flatMap((a, index) =>
    densities.slice(index + 1).map((b) => ({ a, b, both: Number((a + b).toFixed(4)) })),
  );
}

/** Every setting that can be put back to what it is on the reference. */
export function restores(own: PictureFacts, reference: PictureFacts): Move[] {
  const { aperture, iso, gainDb } = reference.picture;
  const shutter = shutterOfAngle(own, reference);
  const field = sensitivityField(own);
  const sensitivity = field === sensitivityField(reference) ? (field === 'gainDb' ? gainDb : iso) : undefined;
  return [
    ...(aperture === undefined ? [] : toAperture(own, aperture)),
    ...(shutter === null ? [] : toShutter(own, shutter)),
    ...(sensitivity === undefined ? [] : toSensitivity(own, sensitivity)),
    ...(reference.ndDensity === null || !hasNd(own, reference.ndDensity)
      ? []
      : toNd(own, reference.ndDensity)),
  ];
}

/** Every setting that can make up for so many stops, each to the value nearest to it. */
export function compensations(
  own: PictureFacts,
  stops: number,
  shoot: ShootRecord<'shoot'>,
  except: readonly Setting[] = [],
): Move[] {
  const all = [
    ...ndFor(own, stops),
    ...sensitivityFor(own, stops),
    ...apertureFor(own, stops),
    ...timeFor(own, stops, shoot),
  ];
  return all.filter(({ setting }) => !except.includes(setting));
}

/** Of several values the one that comes nearest in stops. */
function nearest<T>(options: readonly T[], off: (option: T) => number): T | undefined {
  let best: T | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const option of options) {
    const distance = Math.abs(off(option));
    if (distance < least) {
      best = option;
      least = distance;
    }
  }
  return best;
}

/** Densities from no filter upwards that are usual, for a camera whose filters nobody entered. Common practice, no source. */
export const USUAL_DENSITIES = [0, 0.3, 0.6, 0.9, 1.2, 1.5, 1.8, 2.1];

/** How much nearer a stack of two filters must come, in stops, to be worth its trouble. */
const STACK_WORTH_STOPS = 0.15;

export function ndFor(own: PictureFacts, stops: number): Move[] {
  const wanted = ndStops(own.ndDensity ?? 0) - stops;
  const off = (density: number): number => ndStops(density) - wanted;
  const { ndAvailable } = own.device;
  if (ndAvailable === undefined) {
    const usual = nearest(USUAL_DENSITIES, off);
    return usual === undefined ? [] : toNd(own, usual, usual === 0 ? '' : ', if there is one');
  }
  const single = nearest([0, ...ndAvailable], off) ?? 0;
  const pair = nearest(stacksOf(ndAvailable), ({ both }) => off(both));
  const worth = pair !== undefined && Math.abs(off(single)) - Math.abs(off(pair.both)) > STACK_WORTH_STOPS;
  return [
    ...toNd(own, single),
    ...(worth ? toNd(own, pair.both, ` (${plain(pair.a, 2)} + ${plain(pair.b, 2)})`) : []),
  ];
}

/** Gain is stepped in these, dB; the finer ones are tried where the coarse do not come near. Common practice, no source. */
const GAIN_STEPS_DB = [3, 1];

function sensitivityFor(own: PictureFacts, stops: number): Move[] {
  const { baseIso, maxIso } = own.device;
  if (own.iso === null) return [];
  const wanted = own.iso * 2 ** stops;
  const [least, most] = [Math.min(baseIso ?? own.iso, own.iso), Math.max(maxIso ?? own.iso, own.iso)];
  if (sensitivityField(own) === 'iso') {
    const marks = isoMarks('third').filter(({ marked }) => marked >= least && marked <= most);
    const mark = nearest(marks, ({ marked }) => isoStops(wanted, marked));
    return mark ? toSensitivity(own, mark.marked) : [];
  }
  if (baseIso === undefined) return [];
  const top = Math.floor(gainFromIso(baseIso, most) + 1e-6);
  return GAIN_STEPS_DB.flatMap((step) => {
    const steps = Array.from({ length: Math.floor(top / step) + 1 }, (_, index) => index * step);
    const gain = nearest(steps, (gainDb) => gainStops(gainDb - gainFromIso(baseIso, wanted)));
    return gain === undefined ? [] : toSensitivity(own, gain);
  }).filter((one, index, all) => all.findIndex(({ label }) => label === one.label) === index);
}

function apertureFor(own: PictureFacts, stops: number): Move[] {
  if (own.aperture === null) return [];
  const wanted = own.aperture * 2 ** (-stops / 2);
  const mark = nearest(fNumberMarks('third'), ({ exact }) => apertureStops(wanted, exact));
  return mark ? toAperture(own, mark.marked) : [];
}

/** Times that do not flicker where the mains are known; otherwise those that video cameras offer. */
export function timesAtHand(rate: FrameRate, shoot: ShootRecord<'shoot'>): number[] {
  if (shoot.mainsHz !== undefined) return safeExposureTimes(Number(shoot.mainsHz), rate);
  const marked = videoTimeMarks().map(({ exact }) => exact);
  return [...marked, frameSeconds(rate) / 2].filter((seconds) => fitsInFrame(seconds, rate));
}

function timeFor(own: PictureFacts, stops: number, shoot: ShootRecord<'shoot'>): Move[] {
  if (own.exposureSeconds === null || !own.rate) return [];
  const wanted = own.exposureSeconds * 2 ** stops;
  const seconds = nearest(timesAtHand(own.rate, shoot), (time) => timeStops(wanted, time));
  return seconds === undefined ? [] : toShutter(own, shutterLike(own, seconds));
}
