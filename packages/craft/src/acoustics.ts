import {
  CraftError,
  requireFinite,
  requireFiniteResult,
  requireNotNegative,
  requirePositive,
  requireWithin,
} from './errors.ts';
import { incoherentSumDb } from './levels.ts';
import { type FrameRate, framesPerSecond } from './rate.ts';

/** Speed of sound in dry air at 0 °C, m/s. */
export const SPEED_OF_SOUND_0C = 331.3;

/**
 * Speed of sound in dry air.
 *
 * @param celsius air temperature, °C; 20 when left out
 * @unit m/s
 * @formula c = 331.3 √(1 + T / 273.15)
 * @constants 331.3 m/s at 0 °C
 * @source acoustics textbooks, from memory
 * @throws CraftError when the temperature is not from −80 to 80
 */
export function speedOfSound(celsius = 20): number {
  return SPEED_OF_SOUND_0C * Math.sqrt(1 + requireWithin('celsius', celsius, -80, 80) / 273.15);
}

/** How late sound arrives. */
export interface SoundDelay {
  readonly milliseconds: number;
  readonly frames: number;
}

/**
 * Delay of sound over a distance.
 *
 * @param distanceMetres m; 0 or above
 * @param rate frame rate the delay is also counted in
 * @param celsius air temperature, °C; 20 when left out
 * @unit ms and frames
 * @formula t = d / c
 * @constants 331.3 m/s at 0 °C
 * @source acoustics textbooks, from memory
 * @throws CraftError when an argument is out of range
 */
export function soundDelay(distanceMetres: number, rate: FrameRate, celsius = 20): SoundDelay {
  const seconds = requireNotNegative('distanceMetres', distanceMetres) / speedOfSound(celsius);
  return { milliseconds: seconds * 1000, frames: seconds * framesPerSecond(rate) };
}

/**
 * Level of a small source at another distance, out of doors or close to the microphone.
 *
 * @param levelDb level at the first distance, dB
 * @param fromMetres first distance, m
 * @param toMetres second distance, m
 * @unit dB
 * @formula L2 = L1 − 20 log10(d2 / d1)
 * @source inverse-square law of a point source (acoustics textbooks)
 * @note In a room it holds only inside the reverberation radius.
 * @throws CraftError when a distance is not above 0
 */
export function levelAtDistance(levelDb: number, fromMetres: number, toMetres: number): number {
  return (
    requireFinite('levelDb', levelDb) -
    20 *
      (Math.log10(requirePositive('toMetres', toMetres)) -
        Math.log10(requirePositive('fromMetres', fromMetres)))
  );
}

/** Speech at one metre and its distance from the room's noise. Common practice, no source. */
export const SPEECH_LEVELS_DBA = { quiet: 54, normal: 60, raised: 66, loud: 72 } as const;
/** Signal over noise that dialogue should keep, dB. Common practice, no source. */
export const DIALOGUE_SIGNAL_TO_NOISE_DB = { comfortable: 30, usable: 20 } as const;

/**
 * How far a source stands above the noise of a room.
 *
 * @param sourceDb level of the source at the microphone, dB
 * @param noiseDb levels of the noises there, dB, same weighting; at least one
 * @unit dB
 * @formula L_source − 10 log10 Σ 10^(Ln / 10)
 * @source definition of the signal-to-noise ratio
 * @throws CraftError when a level is not finite or there is no noise level
 */
export function signalToNoiseDb(sourceDb: number, noiseDb: readonly number[]): number {
  return requireFinite('sourceDb', sourceDb) - incoherentSumDb(noiseDb);
}

/**
 * Level of a source alone, from a reading with it on and one with it off.
 *
 * @param withSourceDb level with the source, dB
 * @param noiseDb level without it, dB
 * @unit dB
 * @formula L = 10 log10(10^(L1 / 10) − 10^(L0 / 10))
 * @source ISO 3744, correction for background noise, from memory
 * @throws CraftError when the noise is not below the reading with the source
 */
export function sourceWithoutNoiseDb(withSourceDb: number, noiseDb: number): number {
  requireFinite('withSourceDb', withSourceDb);
  requireFinite('noiseDb', noiseDb);
  if (noiseDb >= withSourceDb) {
    throw new CraftError('noiseDb', noiseDb, `below the reading with the source, ${withSourceDb} dB`);
  }
  const ratio = 1 - 10 ** ((noiseDb - withSourceDb) / 10);
  return requireFiniteResult('level', withSourceDb + 10 * Math.log10(ratio));
}

/**
 * Farthest distance at which a source still stands a wanted amount above the room's noise.
 *
 * @param sourceDb level of the source at one metre, dB
 * @param noiseDb noise at the microphone, dB
 * @param wantedDb distance wanted between the two, dB
 * @unit m
 * @formula d = 10^((L1m − Ln − wanted) / 20)
 * @source inverse-square law of a point source
 * @throws CraftError when a level is not finite
 */
export function farthestMicrophoneMetres(sourceDb: number, noiseDb: number, wantedDb: number): number {
  const room =
    requireFinite('sourceDb', sourceDb) -
    requireFinite('noiseDb', noiseDb) -
    requireFinite('wantedDb', wantedDb);
  return requirePositive('distance', 10 ** (room / 20));
}
