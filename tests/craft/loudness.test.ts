import {
  CraftError,
  deriveKWeighting,
  K_WEIGHTING_48K,
  kWeightingGainDb,
  measureLoudness,
  samplePeakDbfs,
  truePeakDbtp,
} from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

function tone(
  seconds: number,
  hertz: number,
  amplitude: number,
  sampleRateHz = 48_000,
  phase = 0,
): Float64Array {
  const omega = (2 * Math.PI * hertz) / sampleRateHz;
  return Float64Array.from(
    { length: Math.round(seconds * sampleRateHz) },
    (_, n) => amplitude * Math.sin(omega * n + phase),
  );
}

/** The steady part of a tone, away from its sudden start and end. */
function faded(samples: Float64Array, length = 2400): Float64Array {
  return samples.map((sample, n) => {
    const edge = Math.min(n, samples.length - 1 - n, length);
    return (sample * (1 - Math.cos((Math.PI * edge) / length))) / 2;
  });
}

describe(`loudness (seed ${SEED})`, () => {
  it('has the printed filters at 48 kHz, recovered to the last printed digit', () => {
    const derived = deriveKWeighting(48_000);
    for (const stage of ['shelf', 'highPass'] as const) {
      for (const side of ['a', 'b'] as const) {
        derived[stage][side].forEach((value, index) => {
          expect(Math.abs(value - (K_WEIGHTING_48K[stage][side][index] ?? Number.NaN))).toBeLessThan(1e-13);
        });
      }
    }
  });

  it('has the same curve at other sampling frequencies', () => {
    const { totalDb } = kWeightingGainDb(1000);
    for (const sampleRateHz of [32_000, 44_100, 88_200, 96_000, 192_000]) {
      expect(kWeightingGainDb(1000, sampleRateHz).totalDb).toBeCloseTo(totalDb, 1);
    }
  });

  it('moves decibel for decibel with the level, and by 3 LU with a second channel', () => {
    holds(
      fc.property(fc.double({ min: -30, max: 0, noNaN: true }), (db) => {
        const loud = tone(2, 997, 0.5);
        const soft = loud.map((sample) => sample * 10 ** (db / 20));
        const measure = (...channels: Float64Array[]) =>
          measureLoudness({ sampleRateHz: 48_000, channels }).integratedLufs ?? Number.NaN;
        expect(measure(soft) - measure(loud)).toBeCloseTo(db, 9);
        expect(measure(loud, loud) - measure(loud)).toBeCloseTo(10 * Math.log10(2), 9);
      }),
      10,
    );
  });

  it('leaves out silence, and what is 10 LU below the rest', () => {
    const join = (...parts: Float64Array[]) => Float64Array.from(parts.flatMap((part) => [...part]));
    const loud = tone(4, 997, 0.2);
    const measure = (channel: Float64Array) => measureLoudness({ sampleRateHz: 48_000, channels: [channel] });
    const alone = measure(loud).integratedLufs ?? Number.NaN;
    const withSilence = measure(join(loud, new Float64Array(48_000 * 8))).integratedLufs ?? Number.NaN;
    const withWhisper = measure(join(loud, tone(8, 997, 0.02))).integratedLufs ?? Number.NaN;
    expect(Math.abs(withSilence - alone)).toBeLessThan(0.3);
    expect(Math.abs(withWhisper - alone)).toBeLessThan(0.3);
    expect(measure(new Float64Array(48_000 * 4))).toEqual({
      integratedLufs: null,
      rangeLu: null,
      maxMomentaryLufs: null,
      maxShortTermLufs: null,
    });
  });

  it('says nothing about what is too short to measure', () => {
    const short = measureLoudness({ sampleRateHz: 48_000, channels: [tone(0.3, 997, 0.5)] });
    expect(short).toMatchObject({ integratedLufs: null, maxMomentaryLufs: null });
    const second = measureLoudness({ sampleRateHz: 48_000, channels: [tone(1, 997, 0.5)] });
    expect(second.integratedLufs).not.toBeNull();
    expect(second.maxShortTermLufs).toBeNull();
  });

  it('takes weights where the layout is not a usual one, and refuses channels that do not belong together', () => {
    const channel = tone(1, 997, 0.1);
    const eight = Array.from({ length: 8 }, () => channel);
    expect(() => measureLoudness({ sampleRateHz: 48_000, channels: eight })).toThrow(CraftError);
    const weights = eight.map((_, index) => (index === 0 ? 1 : 0));
    expect(measureLoudness({ sampleRateHz: 48_000, channels: eight, weights })).toEqual(
      measureLoudness({ sampleRateHz: 48_000, channels: [channel] }),
    );
    expect(() => measureLoudness({ sampleRateHz: 48_000, channels: [channel, channel.slice(1)] })).toThrow(
      CraftError,
    );
    expect(() =>
      measureLoudness({ sampleRateHz: 48_000, channels: [channel.map(() => Number.NaN)] }),
    ).toThrow(CraftError);
  });
});

describe(`true peak (seed ${SEED})`, () => {
  it('finds the top of a steady tone between its samples, up to nine tenths of half the sampling frequency', () => {
    const rate = fc.constantFrom(44_100, 48_000, 96_000);
    holds(
      fc.property(
        rate,
        fc.double({ min: 0.01, max: 0.45, noNaN: true }),
        fc.double({ min: 0, max: 6.28, noNaN: true }),
        (fs, part, phase) => {
          const samples = faded(tone(0.25, part * fs, 0.5, fs, phase));
          const peak = truePeakDbtp([samples], fs) ?? Number.NaN;
          expect(peak).toBeLessThan(-6.0206 + 0.05);
          // Four looks at each sample can miss the top of the highest tones by what is left between them.
          expect(peak).toBeGreaterThan(-6.0206 - (part < 0.26 ? 0.2 : 0.65));
        },
      ),
      60,
    );
  });

  it('is never below the highest sample, and far above it where the samples miss the top', () => {
    holds(
      fc.property(
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 1, maxLength: 200 }),
        (samples) => {
          const [peak, sample] = [truePeakDbtp([samples], 48_000), samplePeakDbfs([samples])];
          expect(peak === null).toBe(sample === null);
          expect(peak ?? 0).toBeGreaterThanOrEqual(sample ?? 0);
        },
      ),
    );
    const missed = faded(tone(1, 12_000, 1, 48_000, Math.PI / 4));
    expect(samplePeakDbfs([missed])).toBeCloseTo(-3.01, 2);
    expect(truePeakDbtp([missed], 48_000)).toBeCloseTo(0, 1);
  });

  it('has nothing to say about silence', () => {
    expect(truePeakDbtp([new Float64Array(100)], 48_000)).toBeNull();
    expect(samplePeakDbfs([[]])).toBeNull();
    expect(() => truePeakDbtp([], 48_000)).toThrow(CraftError);
  });
});
