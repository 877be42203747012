import { CraftError, requireFinite, requireNotNegative } from './errors.ts';
import { kWeighting, runBiquad } from './kweighting.ts';

/** Figures of the measurement in ITU-R BS.1770 Annex 1 and EBU Tech 3342. */
export const LOUDNESS_MEASUREMENT = {
  offsetDb: -0.691,
  absoluteGateLufs: -70,
  relativeGateLu: -10,
  surroundWeight: 1.41,
  blockSeconds: 0.4,
  blockOverlap: 0.75,
  momentarySeconds: 0.4,
  shortTermSeconds: 3,
  rangeRelativeGateLu: -20,
  rangeLowPercentile: 10,
  rangeHighPercentile: 95,
} as const;

/** What EBU R 128 asks of a programme, with the tolerance of each version: it was changed in 2020. */
export const EBU_R128 = {
  targetLufs: -23,
  maxTruePeakDbtp: -1,
  tolerance2014Lu: 0.5,
  toleranceLive2014Lu: 1,
  tolerance2020ProductionLu: 1,
  tolerance2020QualityControlLu: 0.2,
} as const;

/** What a loudness meter may be off by: EBU Tech 3341 and 3342. */
export const METER_TOLERANCE = {
  integratedLu: 0.1,
  truePeakPlusDb: 0.2,
  truePeakMinusDb: 0.4,
  loudnessRangeLu: 1,
} as const;

/** What ATSC A/85 asks of a programme (from memory). */
export const ATSC_A85 = { targetLkfs: -24, toleranceLu: 2, maxTruePeakDbtp: -2 } as const;

/** Weights of the channels in their usual order: L R C LFE Ls Rs. The low-frequency channel is not counted. */
const LAYOUTS: Record<number, readonly number[]> = {
  1: [1],
  2: [1, 1],
  3: [1, 1, 1],
  4: [1, 1, LOUDNESS_MEASUREMENT.surroundWeight, LOUDNESS_MEASUREMENT.surroundWeight],
  5: [1, 1, 1, LOUDNESS_MEASUREMENT.surroundWeight, LOUDNESS_MEASUREMENT.surroundWeight],
  6: [1, 1, 1, 0, LOUDNESS_MEASUREMENT.surroundWeight, LOUDNESS_MEASUREMENT.surroundWeight],
};

/** PCM sound in memory: one array a channel, full scale = 1. */
export interface PcmSound {
  readonly sampleRateHz: number;
  readonly channels: readonly (Float32Array | Float64Array | readonly number[])[];
  /** Weight of each channel; by the usual orders (1, L R, L R C, L R Ls Rs, L R C Ls Rs, L R C LFE Ls Rs) when left out. */
  readonly weights?: readonly number[];
}

/** Loudness of a recording; a figure is null where nothing was loud or long enough to measure. */
export interface Loudness {
  /** Gated loudness of the whole, LUFS. */
  readonly integratedLufs: number | null;
  /** Loudness range, LU. */
  readonly rangeLu: number | null;
  /** Loudest 400 ms, LUFS. */
  readonly maxMomentaryLufs: number | null;
  /** Loudest 3 s, LUFS. */
  readonly maxShortTermLufs: number | null;
}

/**
 * Loudness of PCM sound: integrated with both gates, range, loudest 400 ms and 3 s.
 *
 * @param sound sampling frequency and channels, full scale = 1
 * @unit LUFS and LU
 * @formula blocks of 400 ms every 100 ms: −0.691 + 10 log10 Σ Gi zi; gates at −70 LUFS and 10 LU below the mean; range from the 10th to the 95th percentile of 3 s values above −70 LUFS and 20 LU below their mean
 * @constants offset −0.691 dB, surround weight 1.41, low-frequency channel not counted
 * @source ITU-R BS.1770-4 and -5, Annex 1; EBU Tech 3341; EBU Tech 3342
 * @throws CraftError when channels differ in length, have no weight or hold anything but finite samples
 */
export function measureLoudness(sound: PcmSound): Loudness {
  const hop = Math.round(
    sound.sampleRateHz * LOUDNESS_MEASUREMENT.blockSeconds * (1 - LOUDNESS_MEASUREMENT.blockOverlap),
  );
  const powers = weightedPowers(sound, hop);
  const momentary = slidingMeans(powers, 4);
  const shortTerm = slidingMeans(powers, 30);
  return {
    integratedLufs: gatedLoudness(momentary),
    rangeLu: loudnessRange(shortTerm),
    maxMomentaryLufs: loudest(momentary),
    maxShortTermLufs: loudest(shortTerm),
  };
}

/** Mean square of the K-weighted channels, weighted and summed, for each full tenth of a second. */
function weightedPowers(sound: PcmSound, hop: number): Float64Array {
  const filters = kWeighting(sound.sampleRateHz);
  const weights = requireWeights(sound);
  const length = sound.channels[0]?.length ?? 0;
  const powers = new Float64Array(Math.floor(length / hop));
  sound.channels.forEach((channel, index) => {
    const weight = weights[index] ?? 0;
    const samples = new Float64Array(channel);
    requireSamples(samples, length, index);
    if (weight === 0) {
      return;
    }
    runBiquad(filters.shelf, samples);
    runBiquad(filters.highPass, samples);
    for (let block = 0; block < powers.length; block += 1) {
      let sum = 0;
      for (let at = block * hop; at < (block + 1) * hop; at += 1) {
        const sample = samples[at] ?? 0;
        sum += sample * sample;
      }
      powers[block] = (powers[block] ?? 0) + (weight * sum) / hop;
    }
  });
  return powers;
}

function requireWeights(sound: PcmSound): readonly number[] {
  const count = sound.channels.length;
  const weights = sound.weights ?? LAYOUTS[count];
  if (!weights || weights.length !== count || count === 0) {
    throw new CraftError('channels', count, '1 to 6, or with one weight for each');
  }
  for (const weight of weights) {
    requireNotNegative('weights', weight);
  }
  return weights;
}

function requireSamples(samples: Float64Array, length: number, channel: number): void {
  if (samples.length !== length) {
    throw new CraftError(`channels[${channel}]`, samples.length, `${length} samples like the first`);
  }
  const name = `channels[${channel}]`;
  for (let at = 0; at < length; at += 1) {
    requireFinite(name, samples[at] ?? 0);
  }
}

/** Means over `count` neighbouring tenths of a second, one for each place they fit. */
function slidingMeans(powers: Float64Array, count: number): number[] {
  const means: number[] = [];
  for (let start = 0; start + count <= powers.length; start += 1) {
    let sum = 0;
    for (let at = start; at < start + count; at += 1) {
      sum += powers[at] ?? 0;
    }
    means.push(sum / count);
  }
  return means;
}

function lufs(power: number): number {
  return LOUDNESS_MEASUREMENT.offsetDb + 10 * Math.log10(power);
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Blocks above the absolute gate, and of those the ones above the relative gate. */
function gate(blocks: readonly number[], relativeLu: number): number[] {
  const audible = blocks.filter((power) => power > 0 && lufs(power) > LOUDNESS_MEASUREMENT.absoluteGateLufs);
  if (audible.length === 0) {
    return [];
  }
  const threshold = lufs(mean(audible)) + relativeLu;
  return audible.filter((power) => lufs(power) > threshold);
}

function gatedLoudness(blocks: readonly number[]): number | null {
  const kept = gate(blocks, LOUDNESS_MEASUREMENT.relativeGateLu);
  return kept.length === 0 ? null : lufs(mean(kept));
}

function loudnessRange(blocks: readonly number[]): number | null {
  const levels = gate(blocks, LOUDNESS_MEASUREMENT.rangeRelativeGateLu)
    .map(lufs)
    .sort((a, b) => a - b);
  if (levels.length === 0) {
    return null;
  }
  const at = (percent: number) => levels[Math.round(((levels.length - 1) * percent) / 100)] ?? 0;
  return at(LOUDNESS_MEASUREMENT.rangeHighPercentile) - at(LOUDNESS_MEASUREMENT.rangeLowPercentile);
}

function loudest(blocks: readonly number[]): number | null {
  const power = blocks.reduce((most, block) => Math.max(most, block), 0);
  return power > 0 ? lufs(power) : null;
}

/** What a change of gain does to a programme. */
export interface Normalisation {
  /** Gain that brings the programme to the target, dB. */
  readonly gainDb: number;
  /** True peak after it, dBTP. */
  readonly truePeakDbtp: number;
  /** Does the peak stay at or under the limit? */
  readonly isWithinTruePeakLimit: boolean;
}

/**
 * Gain that brings a programme to its target loudness, and what becomes of its peak.
 *
 * @param integratedLufs measured loudness, LUFS
 * @param truePeakDbtp measured true peak, dBTP
 * @param targetLufs target, LUFS; −23 when left out
 * @param maxTruePeakDbtp limit, dBTP; −1 when left out
 * @unit dB and dBTP
 * @formula gain = target − measured; new peak = old + gain
 * @constants −23 LUFS, −1 dBTP
 * @source EBU R 128
 * @throws CraftError when a level is not finite
 */
export function normalise(
  integratedLufs: number,
  truePeakDbtp: number,
  targetLufs: number = EBU_R128.targetLufs,
  maxTruePeakDbtp: number = EBU_R128.maxTruePeakDbtp,
): Normalisation {
  const gainDb = requireFinite('targetLufs', targetLufs) - requireFinite('integratedLufs', integratedLufs);
  const peak = requireFinite('truePeakDbtp', truePeakDbtp) + gainDb;
  // Both are printed to a tenth; a peak that rounding alone puts over the limit is on it.
  const isWithinTruePeakLimit = peak <= requireFinite('maxTruePeakDbtp', maxTruePeakDbtp) + 1e-9;
  return { gainDb, truePeakDbtp: peak, isWithinTruePeakLimit };
}
