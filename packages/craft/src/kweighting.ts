import { requireFiniteResult, requirePositive, requireWithin } from './errors.ts';
import { requireSampleRate } from './sampling.ts';

/** A second-order filter: feed-forward and feedback coefficients, the first feedback one being 1. */
export interface Biquad {
  readonly b: readonly [number, number, number];
  readonly a: readonly [number, number, number];
}

/** The two filters of K-weighting. */
export interface KWeighting {
  /** The head: a shelf of about 4 dB above 2 kHz. */
  readonly shelf: Biquad;
  /** The revised low-frequency curve: a high pass near 38 Hz. */
  readonly highPass: Biquad;
}

/** The filters as ITU-R BS.1770 prints them, for 48 kHz. */
export const K_WEIGHTING_48K: KWeighting = {
  shelf: {
    b: [1.53512485958697, -2.69169618940638, 1.19839281085285],
    a: [1, -1.69065929318241, 0.73248077421585],
  },
  highPass: { b: [1, -2, 1], a: [1, -1.99004745483398, 0.99007225036621] },
};

// Analogue prototypes that give the printed coefficients at 48 kHz to 1e-11; they were recovered from the table and
// are what makes the curve the same at other sampling frequencies.
const SHELF = {
  hertz: 1681.974450955533,
  gainDb: 3.999843853973347,
  q: 0.7071752369554196,
  middle: 0.4996667741545416,
};
const HIGH_PASS = { hertz: 38.13547087602444, q: 0.5003270373238773 };

/**
 * K-weighting filters for a sampling frequency.
 *
 * @param sampleRateHz sampling frequency, 8000 to 768 000 Hz
 * @unit filter coefficients
 * @formula shelf near 1682 Hz of 4 dB and high pass near 38 Hz, bilinear transform; the printed table at 48 kHz
 * @source ITU-R BS.1770-4 and -5, Annex 1
 * @throws CraftError when the frequency is out of range
 */
export function kWeighting(sampleRateHz: number): KWeighting {
  const fs = requireSampleRate(sampleRateHz);
  return fs === 48_000 ? K_WEIGHTING_48K : deriveKWeighting(fs);
}

/**
 * The same filters from their analogue prototypes, at 48 kHz too. The difference from the printed table tells how well
 * the prototypes were recovered.
 *
 * @param sampleRateHz sampling frequency, 8000 to 768 000 Hz
 * @unit filter coefficients
 * @formula bilinear transform of the prototypes
 * @source ITU-R BS.1770-4 and -5, Annex 1
 * @throws CraftError when the frequency is out of range
 */
export function deriveKWeighting(sampleRateHz: number): KWeighting {
  const fs = requireSampleRate(sampleRateHz);
  const k = Math.tan((Math.PI * SHELF.hertz) / fs);
  const high = 10 ** (SHELF.gainDb / 20);
  const middle = high ** SHELF.middle;
  const norm = 1 + k / SHELF.q + k * k;
  const h = Math.tan((Math.PI * HIGH_PASS.hertz) / fs);
  const highNorm = 1 + h / HIGH_PASS.q + h * h;
  return {
    shelf: {
      b: [
        (high + (middle * k) / SHELF.q + k * k) / norm,
        (2 * (k * k - high)) / norm,
        (high - (middle * k) / SHELF.q + k * k) / norm,
      ],
      a: [1, (2 * (k * k - 1)) / norm, (1 - k / SHELF.q + k * k) / norm],
    },
    highPass: {
      b: [1, -2, 1],
      a: [1, (2 * (h * h - 1)) / highNorm, (1 - h / HIGH_PASS.q + h * h) / highNorm],
    },
  };
}

/**
 * Gain of a filter at a frequency.
 *
 * @param filter coefficients
 * @param hertz frequency, above 0 and below half the sampling frequency
 * @param sampleRateHz sampling frequency, Hz
 * @unit dB
 * @formula 20 log10 |H(e^{jω})|
 * @source z-transform
 * @throws CraftError when the frequency is out of range
 */
export function biquadGainDb(filter: Biquad, hertz: number, sampleRateHz: number): number {
  requirePositive('hertz', hertz);
  requireWithin('hertz', hertz, 0, requirePositive('sampleRateHz', sampleRateHz) / 2);
  const omega = (2 * Math.PI * hertz) / sampleRateHz;
  const magnitude = ([c0, c1, c2]: readonly [number, number, number]) =>
    Math.hypot(
      c0 + c1 * Math.cos(omega) + c2 * Math.cos(2 * omega),
      c1 * Math.sin(omega) + c2 * Math.sin(2 * omega),
    );
  return requireFiniteResult('gain', 20 * Math.log10(magnitude(filter.b) / magnitude(filter.a)));
}

/**
 * Gain of K-weighting at a frequency.
 *
 * @param hertz frequency, above 0 and below half the sampling frequency
 * @param sampleRateHz sampling frequency, Hz; 48 000 when left out
 * @unit dB: shelf, high pass and both
 * @formula sum of both filters' gains
 * @source ITU-R BS.1770-4 and -5, Annex 1
 * @throws CraftError when a frequency is out of range
 */
export function kWeightingGainDb(
  hertz: number,
  sampleRateHz = 48_000,
): { readonly shelfDb: number; readonly highPassDb: number; readonly totalDb: number } {
  const { shelf, highPass } = kWeighting(sampleRateHz);
  const shelfDb = biquadGainDb(shelf, hertz, sampleRateHz);
  const highPassDb = biquadGainDb(highPass, hertz, sampleRateHz);
  return { shelfDb, highPassDb, totalDb: shelfDb + highPassDb };
}

/** Samples through a filter, in place. Direct form II transposed, which keeps its state small. */
export function runBiquad(filter: Biquad, samples: Float64Array): void {
  const [b0, b1, b2] = filter.b;
  const [, a1, a2] = filter.a;
  let s1 = 0;
  let s2 = 0;
  for (let index = 0; index < samples.length; index += 1) {
    const x = samples[index] ?? 0;
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    samples[index] = y;
  }
}
