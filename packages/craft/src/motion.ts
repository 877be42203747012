import {
  CraftError,
  requireFiniteResult,
  requireNotNegative,
  requirePositive,
  requireWithin,
} from './errors.ts';
import { type FrameRate, frameSeconds, framesPerSecond } from './rate.ts';

export {
  differByPull,
  FRAME_RATES,
  type FrameRate,
  formatFrameRate,
  frameRate,
  frameRateFromNumber,
  frameSeconds,
  framesPerSecond,
  nominalFramesPerSecond,
  parseFrameRate,
  sameFrameRate,
} from './rate.ts';

/** Smallest relative excess over a whole frame that counts as longer than the frame; below it is rounding. */
const FRAME_ROUNDING = 1e-9;

/**
 * Exposure time of a shutter angle.
 *
 * @param angleDeg shutter angle, above 0 up to 360
 * @param rate capture rate
 * @unit s
 * @formula t = (angle / 360) / fps
 * @source geometry of the rotary shutter
 * @throws CraftError when the angle is out of range
 */
export function exposureSecondsFromAngle(angleDeg: number, rate: FrameRate): number {
  requirePositive('angleDeg', angleDeg);
  return (requireWithin('angleDeg', angleDeg, 0, 360) / 360) * frameSeconds(rate);
}

/**
 * Shutter angle of an exposure time.
 *
 * @param exposureSeconds exposure time, s
 * @param rate capture rate
 * @unit degree
 * @formula angle = 360 · fps · t
 * @source geometry of the rotary shutter
 * @note 1/50 s at 24000/1001 is 172.63°, not 172.8°.
 * @throws CraftError when the time is not above 0, or longer than the frame (no shutter opens more than 360°)
 */
export function angleFromExposureSeconds(exposureSeconds: number, rate: FrameRate): number {
  const angle = angleOfTime(exposureSeconds, rate);
  if (angle > 360 * (1 + FRAME_ROUNDING)) {
    throw new CraftError(
      'exposureSeconds',
      exposureSeconds,
      `no longer than the frame, ${frameSeconds(rate)} s (that would be ${angle.toFixed(2)}°)`,
    );
  }
  return Math.min(angle, 360);
}

/**
 * The angle that an exposure time would need, possible or not. For saying by how much a time is too long.
 *
 * @param exposureSeconds exposure time, s
 * @param rate capture rate
 * @unit degree, may be above 360
 * @formula angle = 360 · fps · t
 * @source geometry of the rotary shutter
 * @throws CraftError when the time is not above 0
 */
export function angleOfTime(exposureSeconds: number, rate: FrameRate): number {
  return requireFiniteResult(
    'angle',
    requirePositive('exposureSeconds', exposureSeconds) * framesPerSecond(rate) * 360,
  );
}

/**
 * Can a frame of this rate be exposed for this long?
 *
 * @param exposureSeconds exposure time, s
 * @param rate capture rate
 * @unit yes or no
 * @formula t ≤ 1 / fps
 * @source an exposure cannot outlast its frame
 * @throws CraftError when the time is not above 0
 */
export function fitsInFrame(exposureSeconds: number, rate: FrameRate): boolean {
  return requirePositive('exposureSeconds', exposureSeconds) <= frameSeconds(rate) * (1 + FRAME_ROUNDING);
}

/**
 * Longest exposure time of a rate.
 *
 * @param rate capture rate
 * @unit s
 * @formula t = 1 / fps
 * @source an exposure cannot outlast its frame
 * @throws CraftError when the rate is no fraction above 0
 */
export function longestExposureSeconds(rate: FrameRate): number {
  return frameSeconds(rate);
}

/** What a capture rate does to the action when it is played back. */
export interface ApparentSpeed {
  /** 1 is real time, 0.5 half speed. */
  readonly factor: number;
  /** Time the action takes on the screen, s. */
  readonly screenSeconds: number;
  /** Frames that are recorded. */
  readonly frames: number;
}

/**
 * Speed of the action on the screen.
 *
 * @param capture capture rate
 * @param playback playback rate
 * @param actionSeconds how long the action takes in front of the camera, s; 0 or above
 * @unit factor, s and frames
 * @formula factor = playback / capture; screen = action · capture / playback; frames = ⌊action · capture⌋
 * @source definition of over- and undercranking
 * @throws CraftError when a rate or time is impossible
 */
export function apparentSpeed(capture: FrameRate, playback: FrameRate, actionSeconds: number): ApparentSpeed {
  const factor = framesPerSecond(playback) / framesPerSecond(capture);
  const frames = requireNotNegative('actionSeconds', actionSeconds) * framesPerSecond(capture);
  return {
    factor,
    screenSeconds: actionSeconds / factor,
    // A product that rounding left just under a whole frame is that whole frame.
    frames: Math.floor(frames + 1e-6),
  };
}

/**
 * Capture rate that gives a wanted speed on the screen.
 *
 * @param factor wanted speed; 0.5 is half speed
 * @param playback playback rate
 * @unit frame/s
 * @formula capture = playback / factor
 * @source definition of over- and undercranking
 * @throws CraftError when the factor is not above 0
 */
export function captureFpsForSpeed(factor: number, playback: FrameRate): number {
  return requireFiniteResult('capture', framesPerSecond(playback) / requirePositive('factor', factor));
}

/**
 * Part of the playback frame's time that the shutter was open: how blurred motion looks on the screen.
 *
 * @param exposureSeconds exposure time, s
 * @param capture capture rate
 * @unit 1; 0.5 is the look of a 180° shutter
 * @formula blur = t · capture
 * @source the blur of a moving thing over its step from frame to frame, which does not change with playback
 * @throws CraftError when the time is not above 0 or longer than the frame
 */
export function blurFraction(exposureSeconds: number, capture: FrameRate): number {
  return angleFromExposureSeconds(exposureSeconds, capture) / 360;
}

/**
 * Shutter angle that would blur as much if the shot had been taken at the playback rate.
 *
 * @param exposureSeconds exposure time, s
 * @param playback playback rate
 * @unit degree, may be above 360 when the shot was undercranked
 * @formula angle = 360 · playback · t
 * @source blur in front of the camera goes with time alone
 * @throws CraftError when the time is not above 0
 */
export function equivalentAngleAtPlayback(exposureSeconds: number, playback: FrameRate): number {
  return angleOfTime(exposureSeconds, playback);
}

/**
 * Length of the blur that a moving subject leaves in the picture.
 *
 * @param subjectMetresPerSecond speed across the picture, m/s; 0 or above
 * @param exposureSeconds exposure time, s
 * @param fieldWidthMetres width of the picture at the subject, m
 * @param pixelsAcross pixels across the picture
 * @unit pixel
 * @formula blur = v t · pixels / width
 * @source plane geometry
 * @throws CraftError when an argument is out of range
 */
export function blurPixels(
  subjectMetresPerSecond: number,
  exposureSeconds: number,
  fieldWidthMetres: number,
  pixelsAcross: number,
): number {
  const metres =
    requireNotNegative('subjectMetresPerSecond', subjectMetresPerSecond) *
    requirePositive('exposureSeconds', exposureSeconds);
  return requireFiniteResult(
    'blur',
    (metres * requirePositive('pixelsAcross', pixelsAcross)) /
      requirePositive('fieldWidthMetres', fieldWidthMetres),
  );
}

/** Seconds that an object should take across the frame at 24 fps and 180° by the old rule. Common practice, no source. */
export const PAN_SECONDS_ACROSS_FRAME = 7;

/**
 * Shortest time in which a pan may cross one width of the picture without strobing, by the old rule.
 *
 * @param rate capture and playback rate
 * @unit s for one picture width
 * @formula 7 s at 24 fps, in proportion to the frame time at other rates
 * @constants 7 s at 24 fps and 180°
 * @source common practice, no source
 * @throws CraftError when the rate is no fraction above 0
 */
export function panSecondsAcrossFrame(rate: FrameRate): number {
  return PAN_SECONDS_ACROSS_FRAME * 24 * frameSeconds(rate);
}

/**
 * Fastest pan by the old rule.
 *
 * @param horizontalAngleDeg horizontal angle of view, degree
 * @param rate capture and playback rate
 * @unit degree/s
 * @formula angle of view / (7 s · 24 / fps)
 * @constants 7 s at 24 fps and 180°
 * @source common practice, no source
 * @throws CraftError when the angle is not above 0 and up to 360
 */
export function panDegreesPerSecond(horizontalAngleDeg: number, rate: FrameRate): number {
  requirePositive('horizontalAngleDeg', horizontalAngleDeg);
  return requireWithin('horizontalAngleDeg', horizontalAngleDeg, 0, 360) / panSecondsAcrossFrame(rate);
}
