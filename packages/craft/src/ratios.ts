import { requireFinite, requireFiniteResult, requirePositive, requireWithin } from './errors.ts';

/**
 * Stops between two amounts of light.
 *
 * @param ratio the larger over the smaller, or any ratio above 0
 * @unit stop
 * @formula stops = log2 ratio
 * @source definition of the stop
 * @throws CraftError when the ratio is not above 0
 */
export function ratioStops(ratio: number): number {
  return Math.log2(requirePositive('ratio', ratio));
}

/**
 * Ratio of two amounts of light that lie a number of stops apart.
 *
 * @param stops stops
 * @unit 1
 * @formula ratio = 2^stops
 * @source definition of the stop
 * @throws CraftError when stops is not finite or the ratio out of range
 */
export function stopsRatio(stops: number): number {
  return requirePositive('ratio', requireFiniteResult('ratio', 2 ** requireFinite('stops', stops)));
}

/**
 * Stops between two exposure times.
 *
 * @param from time before, s
 * @param to time after, s
 * @unit stop, positive when the picture gets brighter
 * @formula stops = log2(t2 / t1)
 * @source ISO 2720:1974: exposure goes with time
 * @throws CraftError when a time is not above 0
 */
export function timeStops(from: number, to: number): number {
  return Math.log2(requirePositive('to', to)) - Math.log2(requirePositive('from', from));
}

/**
 * Stops between two sensitivities.
 *
 * @param from sensitivity before, ISO
 * @param to sensitivity after, ISO
 * @unit stop, positive when the picture gets brighter
 * @formula stops = log2(S2 / S1)
 * @source ISO 2720:1974: exposure goes with speed
 * @throws CraftError when a sensitivity is not above 0
 */
export function isoStops(from: number, to: number): number {
  return Math.log2(requirePositive('to', to)) - Math.log2(requirePositive('from', from));
}

/** Key light against fill light. */
export interface LightingRatio {
  /** Light on the key side over light on the fill side. */
  readonly ratio: number;
  /** The same in stops. */
  readonly stops: number;
}

/**
 * Key-to-fill ratio from two incident readings.
 *
 * @param keySideLux reading on the lit side with every lamp on, so that it holds the fill as well, lx
 * @param fillSideLux reading on the shadow side, fill only, lx
 * @unit ratio and stops
 * @formula ratio = (key + fill) / fill; stops = log2 ratio
 * @source common practice, no source: (key + fill) : fill, as the face shows it
 * @throws CraftError when a reading is not above 0
 */
export function keyToFill(keySideLux: number, fillSideLux: number): LightingRatio {
  const key = requirePositive('keySideLux', keySideLux);
  const fill = requirePositive('fillSideLux', fillSideLux);
  const ratio = requirePositive('ratio', requireFiniteResult('ratio', key / fill));
  return { ratio, stops: Math.log2(ratio) };
}

/**
 * One reading that stands for two, for example of the bright and the dark part of a frame.
 *
 * @param first one reading, lx or cd/m²
 * @param second the other, same unit
 * @param weightOfSecond 0 takes the first alone, 1 the second alone, 0.5 lies half way in stops
 * @unit that of the readings
 * @formula light = first^(1−w) · second^w
 * @source half way in stops is the geometric mean, by the definition of the stop
 * @throws CraftError when a reading is not above 0 or the weight not from 0 to 1
 */
export function readingBetween(first: number, second: number, weightOfSecond = 0.5): number {
  requireWithin('weightOfSecond', weightOfSecond, 0, 1);
  return (
    requirePositive('first', first) ** (1 - weightOfSecond) *
    requirePositive('second', second) ** weightOfSecond
  );
}
