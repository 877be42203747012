import { CraftError, requireInteger, requireNotNegative, requirePositive, requireWithin } from './errors.ts';
import { type FrameRate, frameSeconds, framesPerSecond } from './rate.ts';

/** Longest list that is made; more safe times than this are a mistake in the frequency. */
const LONGEST_LIST = 10_000;

/** How the light of a lamp on the mains goes up and down. */
export type LampWaveform =
  /** A level with one sine on it, at twice the mains frequency; `modulationDepth` says how deep. */
  | 'sine'
  /** Follows the absolute value of the mains voltage down to darkness: a discharge lamp on a choke at its worst. */
  | 'rectified';

/** A lamp on the mains and a shutter. */
export interface FlickerInput {
  /** Frequency of the supply, Hz. Its light pulses at twice that. */
  readonly mainsHz: number;
  /** Exposure time of one frame, s. */
  readonly exposureSeconds: number;
  /** (max − min) / (max + min) of the lamp's light, 0 to 1; 1 when left out, the worst case. */
  readonly modulationDepth?: number;
  /** `sine` when left out. */
  readonly waveform?: LampWaveform;
}

/**
 * Frequency at which a lamp on the mains pulses.
 *
 * @param mainsHz frequency of the supply, Hz
 * @unit Hz
 * @formula f = 2 · mains
 * @source intensity follows power, which has twice the frequency of the supply (papers on metal-halide film lighting)
 * @throws CraftError when it is not above 0
 */
export function lampPulseHz(mainsHz: number): number {
  return 2 * requirePositive('mainsHz', mainsHz);
}

/**
 * What is left of a lamp's pulsing after the shutter has averaged it: the largest difference in exposure that the
 * phase between lamp and shutter can make, as (max − min) / (max + min).
 *
 * @param input mains, exposure time, depth and form of the lamp's pulsing
 * @unit 1; times 100 for percent
 * @formula sine: m |sin(π f t) / (π f t)|, f = 2 mains; rectified: the exact mean of |sin| over every starting phase
 * @source moving average of a sinusoid (Fourier textbooks); lamp frequency twice the supply
 * @throws CraftError when a frequency or time is not above 0 or the depth not from 0 to 1
 */
export function residualModulation(input: FlickerInput): number {
  const { mainsHz, exposureSeconds, modulationDepth = 1, waveform = 'sine' } = input;
  const depth = requireWithin('modulationDepth', modulationDepth, 0, 1);
  const pulses = lampPulseHz(mainsHz) * requirePositive('exposureSeconds', exposureSeconds);
  return waveform === 'sine' ? depth * sincOfPulses(pulses) : rectifiedResidual(pulses, depth);
}

/** |sin(π p) / (π p)|, with the sine taken of the part beyond whole pulses so that whole pulses give 0, not 1e-17. */
function sincOfPulses(pulses: number): number {
  return Math.abs(Math.sin(Math.PI * (pulses - Math.round(pulses)))) / (Math.PI * pulses);
}

/**
 * Window of `pulses` lamp pulses over |sin|. The whole pulses add the same at every phase; the rest adds most when
 * it lies over a crest and least when it lies over a dark point. `depth` mixes the pulsing part with steady light of
 * the same mean.
 */
function rectifiedResidual(pulses: number, depth: number): number {
  const whole = Math.floor(pulses);
  const half = ((pulses - whole) * Math.PI) / 2;
  const brightest = 2 * whole + 2 * Math.sin(half);
  const darkest = 2 * whole + 2 * (1 - Math.cos(half));
  if (depth === 1) {
    return (brightest - darkest) / (brightest + darkest);
  }
  const steady = 2 * pulses;
  return (depth * (brightest - darkest)) / (depth * (brightest + darkest) + 2 * (1 - depth) * steady);
}

/**
 * Exposure difference of a residual modulation, from the brightest to the darkest phase.
 *
 * @param residual residual modulation, 0 up to but not including 1
 * @unit stop
 * @formula stops = log2((1 + r) / (1 − r))
 * @source definition of modulation and of the stop
 * @throws CraftError when the residual is out of range
 */
export function residualStops(residual: number): number {
  const r = requireWithin('residual', residual, 0, 1 - Number.EPSILON);
  return Math.log2((1 + r) / (1 - r));
}

/**
 * How often in a second the phase between lamp and shutter comes round: the pulsing seen on the screen.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param rate capture rate
 * @unit Hz; 0 means that every frame meets the lamp at the same phase
 * @formula beat = |f − fps · round(f / fps)|, f = 2 mains
 * @source sampling (aliasing) of a periodic signal at the frame rate
 * @note 24 fps at 60 Hz beats at 0; 24000/1001 beats at 0.12 Hz, one cycle in 8.3 s.
 * @throws CraftError when a frequency or rate is not above 0
 */
export function beatHz(mainsHz: number, rate: FrameRate): number {
  const lamp = lampPulseHz(mainsHz);
  framesPerSecond(rate);
  // Kept as one fraction over rate.den so that a true 0 comes out as 0.
  const remainder = Math.abs(lamp * rate.den - rate.num * Math.round((lamp * rate.den) / rate.num));
  return remainder / rate.den;
}

/** Everything a shutter makes of a lamp. */
export interface Flicker {
  /** Largest difference over all phases, (max − min) / (max + min). */
  readonly residual: number;
  /** The same in percent. */
  readonly residualPercent: number;
  /** The same in stops, from darkest to brightest. */
  readonly residualStops: number;
  /** Pulsing between frames, Hz. */
  readonly beatHz: number;
  /** Seconds for one cycle of that pulsing; Infinity when every frame is alike. */
  readonly beatPeriodSeconds: number;
  /** Modulation from frame to frame: the residual, or 0 when every frame meets the lamp at the same phase. */
  readonly betweenFrames: number;
  /** Modulation from row to row inside one frame of a rolling shutter; 0 for a global one. */
  readonly banding: number;
  /** Bright bands from top to bottom of one frame; 0 for a global shutter. */
  readonly bandsPerFrame: number;
  /** Picture heights that the bands travel in a second, 0 when they stand still. */
  readonly bandDriftPerSecond: number;
}

/**
 * Flicker of a lamp on the mains: the beat between frames and the bands of a rolling shutter.
 *
 * @param input mains, exposure time, frame rate, depth and form of the pulsing; `readoutSeconds` is the time from
 *   the first to the last row, 0 for a global shutter, the whole frame when left out
 * @unit modulation, percent, stops, Hz, bands
 * @formula bands = f · readout; between frames = residual unless the beat is 0; bands drift by beat / bands
 * @source moving average and sampling of a periodic light; rows of a rolling shutter start one after another
 * @throws CraftError when an argument is out of range
 */
export function flicker(
  input: FlickerInput & { readonly frameRate: FrameRate; readonly readoutSeconds?: number },
): Flicker {
  const frame = frameSeconds(input.frameRate);
  const readout = requireNotNegative('readoutSeconds', input.readoutSeconds ?? frame);
  requireWithin(
    'readoutSeconds',
    readout === 0 ? 0 : requirePositive('readoutSeconds', readout),
    0,
    frame * (1 + 1e-9),
  );
  const residual = residualModulation(input);
  const beat = beatHz(input.mainsHz, input.frameRate);
  const bands = lampPulseHz(input.mainsHz) * readout;
  return {
    residual,
    residualPercent: residual * 100,
    // A very short time under a lamp that goes dark has no finite ratio; it is held at the largest that can be written.
    residualStops: residualStops(Math.min(residual, 1 - Number.EPSILON)),
    beatHz: beat,
    beatPeriodSeconds: beat === 0 ? Number.POSITIVE_INFINITY : 1 / beat,
    betweenFrames: beat === 0 ? 0 : residual,
    // Less than one band shows less than the whole swing: the largest step that fits into that much phase.
    banding: bands === 0 ? 0 : residual * (bands >= 0.5 ? 1 : Math.sin(Math.PI * bands)),
    bandsPerFrame: bands,
    bandDriftPerSecond: bands === 0 ? 0 : beat / bands,
  };
}

/**
 * Exposure times that average a lamp on the mains completely, shortest first.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param rate capture rate
 * @unit s
 * @formula t = k / (2 mains) ≤ 1 / fps, k = 1, 2, 3 …
 * @source common practice, no source: expose for whole lamp pulses
 * @throws CraftError when a frequency or rate is not above 0
 */
export function safeExposureTimes(mainsHz: number, rate: FrameRate): number[] {
  const lamp = lampPulseHz(mainsHz);
  const count = Math.floor(lamp * frameSeconds(rate) * (1 + 1e-9));
  if (count > LONGEST_LIST) {
    throw new CraftError('mainsHz', mainsHz, `a frequency with at most ${LONGEST_LIST} pulses in a frame`);
  }
  return Array.from({ length: count }, (_, index) => (index + 1) / lamp);
}

/**
 * Shutter angles that average a lamp on the mains completely, smallest first.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param rate capture rate
 * @unit degree
 * @formula angle = 360 · fps · k / (2 mains) ≤ 360, k = 1, 2, 3 …
 * @source common practice, no source: expose for whole lamp pulses
 * @throws CraftError when a frequency or rate is not above 0
 */
export function safeAngles(mainsHz: number, rate: FrameRate): number[] {
  return safeExposureTimes(mainsHz, rate).map((seconds) =>
    Math.min(seconds * framesPerSecond(rate) * 360, 360),
  );
}

/**
 * The safe exposure time that changes the exposure least.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param exposureSeconds the time that is set, s
 * @param rate capture rate
 * @unit s, or null when the frame is shorter than one lamp pulse and no time is safe
 * @formula nearest of the safe times, measured in stops
 * @source common practice, no source: expose for whole lamp pulses
 * @throws CraftError when an argument is not above 0
 */
export function nearestSafeExposure(
  mainsHz: number,
  exposureSeconds: number,
  rate: FrameRate,
): number | null {
  const target = Math.log2(requirePositive('exposureSeconds', exposureSeconds));
  let best: number | null = null;
  for (const time of safeExposureTimes(mainsHz, rate)) {
    if (best === null || Math.abs(Math.log2(time) - target) < Math.abs(Math.log2(best) - target)) {
      best = time;
    }
  }
  return best;
}

/**
 * The safe shutter angle that changes the exposure least.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param angleDeg the angle that is set, above 0 up to 360
 * @param rate capture rate
 * @unit degree, or null when no angle is safe
 * @formula nearest of the safe angles, measured in stops
 * @source common practice, no source: expose for whole lamp pulses
 * @throws CraftError when an argument is out of range
 */
export function nearestSafeAngle(mainsHz: number, angleDeg: number, rate: FrameRate): number | null {
  requirePositive('angleDeg', angleDeg);
  const seconds = (requireWithin('angleDeg', angleDeg, 0, 360) / 360) * frameSeconds(rate);
  const time = nearestSafeExposure(mainsHz, seconds, rate);
  return time === null ? null : Math.min(time * framesPerSecond(rate) * 360, 360);
}

/**
 * Frame rates at which every frame meets the lamp at the same phase, so that any shutter does.
 *
 * @param mainsHz frequency of the supply, Hz
 * @param count how many to list, fastest first
 * @unit frame/s
 * @formula fps = 2 mains / n, n = 1, 2, 3 …
 * @source common practice, no source
 * @throws CraftError when the frequency is not above 0 or the count not whole
 */
export function safeFrameRates(mainsHz: number, count: number): number[] {
  const lamp = lampPulseHz(mainsHz);
  const length = requireWithin('count', requireInteger('count', count), 0, LONGEST_LIST);
  return Array.from({ length }, (_, index) => lamp / (index + 1));
}

/**
 * What is left of a dimmed LED's pulses after the shutter has averaged them.
 *
 * @param pulseHz frequency of the dimmer's pulses, Hz
 * @param dutyCycle part of each pulse that is lit, above 0 up to 1
 * @param exposureSeconds exposure time, s
 * @unit 1, as (max − min) / (max + min)
 * @formula whole pulses add alike; the rest r adds from max(0, r + d − 1) to min(r, d) of a pulse
 * @source overlap of a window with a train of rectangular pulses
 * @throws CraftError when an argument is out of range
 */
export function pulsedResidualModulation(
  pulseHz: number,
  dutyCycle: number,
  exposureSeconds: number,
): number {
  requirePositive('dutyCycle', dutyCycle);
  const duty = requireWithin('dutyCycle', dutyCycle, 0, 1);
  const pulses = requirePositive('pulseHz', pulseHz) * requirePositive('exposureSeconds', exposureSeconds);
  const whole = Math.floor(pulses);
  const rest = pulses - whole;
  const most = whole * duty + Math.min(rest, duty);
  const least = whole * duty + Math.max(0, rest + duty - 1);
  return most === 0 ? 0 : (most - least) / (most + least);
}
