import {
  angleOfTime,
  circleOfConfusionMm,
  type DepthOfField,
  depthOfField,
  exactFNumber,
  exposureOffsetStops,
  exposureSecondsFromAngle,
  type FrameRate,
  fitsInFrame,
  isoFromGain,
  parseFrameRate,
} from '@plumbline/craft';
import { joinId } from '@plumbline/replica';
import { SHOOT, type ShootRecord } from '../tables/index.ts';
import type { RuleBoard } from './board.ts';
import type { Target } from './finding.ts';

/** One camera's settings on one setup, and what follows from them. `null` is not known. */
export interface PictureFacts {
  readonly setup: string;
  readonly camera: string;
  /** `setup.camera` */
  readonly record: string;
  readonly picture: ShootRecord<'picture'>;
  readonly device: ShootRecord<'cameras'>;
  /** The rate it runs at: its own where it is set, otherwise the shoot's. */
  readonly rate: FrameRate | null;
  /** Exposure time of a frame; not known, too, where it would outlast the frame. */
  readonly exposureSeconds: number | null;
  /** Shutter angle, as set or as the time comes to; above 360 where the time outlasts the frame. */
  readonly angleDeg: number | null;
  /** Whether the exposure ends within the frame. */
  readonly fitsFrame: boolean | null;
  /** Exact f-number behind the mark. */
  readonly aperture: number | null;
  readonly iso: number | null;
  /** Density of the filters, where entered. */
  readonly ndDensity: number | null;
  /** How far the key light is above what the settings ask for, with no ND entered counting as none. */
  readonly offsetStops: number | null;
  /** Needs focal length, focus distance and sensor. */
  readonly depth: DepthOfField | null;
}

/** A frame rate as written; `null` where there is none or it cannot be. */
export function rateAsWritten(written: string | undefined): FrameRate | null {
  if (written === undefined) return null;
  try {
    return parseFrameRate(written);
  } catch {
    return null;
  }
}

/** Reads a camera's settings on a setup. */
export function pictureFacts({ reader }: RuleBoard, setup: string, camera: string): PictureFacts {
  const record = joinId(setup, camera);
  const picture = reader.view('picture', record);
  const device = reader.view('cameras', camera);
  const rate = rateAsWritten(picture.frameRate ?? reader.view('shoot', SHOOT).frameRate);
  const shutter = shutterFacts(picture.shutter, rate);
  const aperture = picture.aperture === undefined ? null : exactFNumber(picture.aperture);
  const iso = sensitivity(picture, device);
  const ndDensity = picture.ndDensity ?? null;
  const { exposureSeconds } = shutter;
  const known = aperture !== null && exposureSeconds !== null && iso !== null;
  return {
    setup,
    camera,
    record,
    picture,
    device,
    rate,
    ...shutter,
    aperture,
    iso,
    ndDensity,
    offsetStops:
      known && picture.keyLux !== undefined
        ? exposureOffsetStops(picture.keyLux, { aperture, exposureSeconds, iso, ndDensity: ndDensity ?? 0 })
        : null,
    depth: depthFacts(picture, device, aperture),
  };
}

function shutterFacts(
  shutter: ShootRecord<'picture'>['shutter'],
  rate: FrameRate | null,
): Pick<PictureFacts, 'exposureSeconds' | 'angleDeg' | 'fitsFrame'> {
  if (shutter === undefined) return { exposureSeconds: null, angleDeg: null, fitsFrame: null };
  if ('angleDeg' in shutter) {
    const exposureSeconds = rate && exposureSecondsFromAngle(shutter.angleDeg, rate);
    return { exposureSeconds, angleDeg: shutter.angleDeg, fitsFrame: true };
  }
  // Without a rate the time is taken at its word: most that is written fits.
  if (!rate) return { exposureSeconds: shutter.seconds, angleDeg: null, fitsFrame: null };
  const fitsFrame = fitsInFrame(shutter.seconds, rate);
  return {
    exposureSeconds: fitsFrame ? shutter.seconds : null,
    angleDeg: angleOfTime(shutter.seconds, rate),
    fitsFrame,
  };
}

/** Whether the sensitivity is set in dB of gain on this camera. */
export function setInGain(picture: ShootRecord<'picture'>, device: ShootRecord<'cameras'>): boolean {
  if (picture.gainDb === undefined) return device.gainConvention === 'gain' && picture.iso === undefined;
  return (
    device.gainConvention === 'gain' || (device.gainConvention === undefined && picture.iso === undefined)
  );
}

function sensitivity(picture: ShootRecord<'picture'>, device: ShootRecord<'cameras'>): number | null {
  if (!setInGain(picture, device)) return picture.iso ?? null;
  const { gainDb } = picture;
  const { baseIso } = device;
  return gainDb === undefined || baseIso === undefined ? null : isoFromGain(baseIso, gainDb);
}

function depthFacts(
  picture: ShootRecord<'picture'>,
  device: ShootRecord<'cameras'>,
  aperture: number | null,
): DepthOfField | null {
  const { focalLengthMm, focusDistanceM } = picture;
  const { sensorWidthMm, sensorHeightMm } = device;
  if (
    aperture === null ||
    focalLengthMm === undefined ||
    focusDistanceM === undefined ||
    sensorWidthMm === undefined ||
    sensorHeightMm === undefined ||
    focusDistanceM * 1000 <= focalLengthMm
  ) {
    return null;
  }
  return depthOfField({
    focalLengthMm,
    aperture,
    focusDistanceMm: focusDistanceM * 1000,
    circleOfConfusionMm: circleOfConfusionMm(sensorWidthMm, sensorHeightMm),
  });
}

/** A field of a picture. */
export function pictureField(facts: PictureFacts, field: keyof ShootRecord<'picture'>): Target {
  return { table: 'picture', record: facts.record, field };
}

/** The field in which the sensitivity of a picture is set. */
export function sensitivityField({ picture, device }: PictureFacts): 'iso' | 'gainDb' {
  return setInGain(picture, device) ? 'gainDb' : 'iso';
}

/** What must be entered before the exposure time is known. */
export function missingForTime(facts: PictureFacts): Target[] {
  if (facts.exposureSeconds !== null) return [];
  const { shutter } = facts.picture;
  const needsRate = shutter !== undefined && 'angleDeg' in shutter;
  return [pictureField(facts, needsRate ? 'frameRate' : 'shutter')];
}

/** What must be entered before the sensitivity is known. */
export function missingForSensitivity(facts: PictureFacts): Target[] {
  if (facts.iso !== null) return [];
  const field = sensitivityField(facts);
  if (field === 'gainDb' && facts.picture.gainDb !== undefined) {
    return [{ table: 'cameras', record: facts.camera, field: 'baseIso' }];
  }
  return [pictureField(facts, field)];
}

/** What must be entered before the exposure can be held against the meter. */
export function missingForExposure(facts: PictureFacts): Target[] {
  return [
    ...(facts.aperture === null ? [pictureField(facts, 'aperture')] : []),
    ...missingForTime(facts),
    ...missingForSensitivity(facts),
    ...(facts.picture.keyLux === undefined ? [pictureField(facts, 'keyLux')] : []),
  ];
}

/** The fields that the exposure time of a picture hangs on. */
export function timeFields(facts: PictureFacts): Target[] {
  const { shutter, frameRate } = facts.picture;
  if (shutter === undefined || 'seconds' in shutter) return [pictureField(facts, 'shutter')];
  return [
    pictureField(facts, 'shutter'),
    frameRate === undefined
      ? { table: 'shoot', record: SHOOT, field: 'frameRate' }
      : pictureField(facts, 'frameRate'),
  ];
}

/** The fields that the sensitivity of a picture hangs on. */
export function sensitivityFields(facts: PictureFacts): Target[] {
  const field = sensitivityField(facts);
  const base: Target = { table: 'cameras', record: facts.camera, field: 'baseIso' };
  return field === 'gainDb' ? [pictureField(facts, field), base] : [pictureField(facts, field)];
}

/** Every field that the exposure of a picture hangs on. */
export function exposureFields(facts: PictureFacts): Target[] {
  return [
    pictureField(facts, 'aperture'),
    ...timeFields(facts),
    ...sensitivityFields(facts),
    pictureField(facts, 'ndDensity'),
    pictureField(facts, 'keyLux'),
  ];
}
