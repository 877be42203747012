import { CraftError, requireFinite, requireFiniteResult, requirePositive } from './errors.ts';

/** Voltage of 0 dBu: 1 mW in 600 ohm, V. */
export const DBU_REFERENCE_VOLTS = Math.sqrt(0.6);
/** Professional line level, dBu. Common practice, no source. */
export const PROFESSIONAL_LINE_DBU = 4;
/** Consumer line level, dBV. Common practice, no source. */
export const CONSUMER_LINE_DBV = -10;

/** Which analogue level stands for which digital one. */
export interface Alignment {
  readonly dbu: number;
  readonly dbfs: number;
}

/** Alignment levels that recorders and mixers are set to. */
export const ALIGNMENTS = {
  /** EBU R 68-2000: alignment level 18 dB below full scale; 0 dBu at the line. */
  ebuR68: { dbu: 0, dbfs: -18 },
  /** SMPTE RP 155: reference level -20 dBFS; +4 dBu at the line. */
  smpteRp155: { dbu: 4, dbfs: -20 },
} as const satisfies Record<string, Alignment>;

/**
 * Voltage of a level in dBu.
 *
 * @param dbu level, dBu
 * @unit V RMS
 * @formula V = √0.6 · 10^(dBu / 20)
 * @constants 0 dBu = 0.7746 V (1 mW in 600 Ω)
 * @source IEC 60268-17 / common definition
 * @throws CraftError when it is not finite
 */
export function voltsFromDbu(dbu: number): number {
  return requireFiniteResult('voltage', DBU_REFERENCE_VOLTS * 10 ** (requireFinite('dbu', dbu) / 20));
}

/**
 * Level of a voltage in dBu.
 *
 * @param volts V RMS, above 0
 * @unit dBu
 * @formula dBu = 20 log10(V / √0.6)
 * @source common definition
 * @throws CraftError when it is not above 0
 */
export function dbuFromVolts(volts: number): number {
  return 20 * Math.log10(requirePositive('volts', volts) / DBU_REFERENCE_VOLTS);
}

/**
 * Voltage of a level in dBV.
 *
 * @param dbv level, dBV
 * @unit V RMS
 * @formula V = 10^(dBV / 20)
 * @constants 0 dBV = 1 V
 * @source common definition, from memory
 * @throws CraftError when it is not finite
 */
export function voltsFromDbv(dbv: number): number {
  return requireFiniteResult('voltage', 10 ** (requireFinite('dbv', dbv) / 20));
}

/**
 * Level of a voltage in dBV.
 *
 * @param volts V RMS, above 0
 * @unit dBV
 * @formula dBV = 20 log10 V
 * @source common definition, from memory
 * @throws CraftError when it is not above 0
 */
export function dbvFromVolts(volts: number): number {
  return 20 * Math.log10(requirePositive('volts', volts));
}

/**
 * A dBV level in dBu.
 *
 * @param dbv level, dBV
 * @unit dBu
 * @formula dBu = dBV − 20 log10 √0.6 = dBV + 2.218
 * @source common definitions
 * @throws CraftError when it is not finite
 */
export function dbuFromDbv(dbv: number): number {
  return requireFinite('dbv', dbv) - 20 * Math.log10(DBU_REFERENCE_VOLTS);
}

/**
 * A dBu level in dBV.
 *
 * @param dbu level, dBu
 * @unit dBV
 * @formula dBV = dBu + 20 log10 √0.6 = dBu − 2.218
 * @source common definitions
 * @throws CraftError when it is not finite
 */
export function dbvFromDbu(dbu: number): number {
  return requireFinite('dbu', dbu) + 20 * Math.log10(DBU_REFERENCE_VOLTS);
}

/**
 * Digital level that an analogue one is recorded at.
 *
 * @param dbu level at the line, dBu
 * @param alignment how the converter is aligned
 * @unit dBFS
 * @formula dBFS = dBu − dBu(alignment) + dBFS(alignment)
 * @source EBU R 68-2000; SMPTE RP 155
 * @note The two standard alignments differ by 6 dB, not by 2: both references differ.
 * @throws CraftError when a level is not finite
 */
export function dbfsFromDbu(dbu: number, alignment: Alignment): number {
  return (
    requireFinite('dbu', dbu) -
    requireFinite('alignment.dbu', alignment.dbu) +
    requireFinite('alignment.dbfs', alignment.dbfs)
  );
}

/**
 * Analogue level of a digital one.
 *
 * @param dbfs level, dBFS
 * @param alignment how the converter is aligned
 * @unit dBu
 * @formula dBu = dBFS − dBFS(alignment) + dBu(alignment)
 * @source EBU R 68-2000; SMPTE RP 155
 * @throws CraftError when a level is not finite
 */
export function dbuFromDbfs(dbfs: number, alignment: Alignment): number {
  return (
    requireFinite('dbfs', dbfs) -
    requireFinite('alignment.dbfs', alignment.dbfs) +
    requireFinite('alignment.dbu', alignment.dbu)
  );
}

/**
 * Room between a level and full scale.
 *
 * @param dbfs level, dBFS
 * @unit dB; negative above full scale
 * @formula 0 − dBFS
 * @source AES17: a full-scale sine reads 0 dBFS
 * @throws CraftError when it is not finite
 */
export function headroomDb(dbfs: number): number {
  return 0 - requireFinite('dbfs', dbfs);
}

/**
 * Peak amplitude of a sine of a level.
 *
 * @param dbfs level, dBFS
 * @unit full scale = 1
 * @formula peak = 10^(dBFS / 20)
 * @source AES17: a full-scale sine reads 0 dBFS
 * @throws CraftError when it is not finite
 */
export function peakFromDbfs(dbfs: number): number {
  return requireFiniteResult('peak', 10 ** (requireFinite('dbfs', dbfs) / 20));
}

/**
 * RMS amplitude of a sine of a level.
 *
 * @param dbfs level, dBFS
 * @unit full scale = 1
 * @formula rms = 10^(dBFS / 20) / √2
 * @source AES17: a full-scale sine reads 0 dBFS although its RMS is 3.01 dB below full-scale peak
 * @throws CraftError when it is not finite
 */
export function sineRmsFromDbfs(dbfs: number): number {
  return peakFromDbfs(dbfs) / Math.SQRT2;
}

/**
 * Level of a peak amplitude.
 *
 * @param peak amplitude, full scale = 1, above 0
 * @unit dBFS
 * @formula dBFS = 20 log10 peak
 * @source AES17
 * @throws CraftError when it is not above 0
 */
export function dbfsFromPeak(peak: number): number {
  return 20 * Math.log10(requirePositive('peak', peak));
}

/**
 * Level of sources that have nothing to do with each other: noise, voices, different machines.
 *
 * @param levelsDb levels, dB; at least one
 * @unit dB
 * @formula L = 10 log10 Σ 10^(Li / 10)
 * @source ISO 1996; acoustics textbooks
 * @throws CraftError when there is no level or one is not finite
 */
export function incoherentSumDb(levelsDb: readonly number[]): number {
  return sumDb(levelsDb, 10);
}

/**
 * Level of sources that carry the same signal in phase: one voice in two microphones at the same distance.
 *
 * @param levelsDb levels, dB; at least one
 * @unit dB
 * @formula L = 20 log10 Σ 10^(Li / 20)
 * @source acoustics textbooks
 * @throws CraftError when there is no level or one is not finite
 */
export function coherentSumDb(levelsDb: readonly number[]): number {
  return sumDb(levelsDb, 20);
}

function sumDb(levelsDb: readonly number[], factor: number): number {
  if (levelsDb.length === 0) {
    throw new CraftError('levelsDb', 'an empty list', 'at least one level');
  }
  for (const level of levelsDb) {
    requireFinite('levelsDb', level);
  }
  // Relative to the loudest, so that levels far from 0 stay inside the range of numbers.
  const loudest = Math.max(...levelsDb);
  const sum = levelsDb.reduce((total, level) => total + 10 ** ((level - loudest) / factor), 0);
  return loudest + factor * Math.log10(sum);
}
