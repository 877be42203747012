import { measureLoudness, samplePeakDbfs, truePeakDbtp } from '@plumbline/craft';
import * as z from 'zod/mini';
import type { Inputs } from '../inputs.ts';
import type { Adapters } from './adapter.ts';

const level = z.nullable(z.number());
const segmentList = z.array(
  z.object({
    /** Length, s. */
    s: z.number(),
    /** Frequency of the tone, or one for each channel, Hz; not needed for silence. */
    f: z.optional(z.union([z.number(), z.array(z.number())])),
    /** Peak, or one for each channel, dBFS; null is silence. */
    db: z.optional(z.union([level, z.array(level)])),
    /** Amplitude, or one for each channel, full scale = 1. */
    amp: z.optional(z.union([level, z.array(level)])),
    /** Phase at the start of the segment, or one for each channel, degree. */
    phase: z.optional(z.union([z.number(), z.array(z.number())])),
  }),
);
type Segment = z.infer<typeof segmentList>[number];

function ofChannel<T extends number | null>(value: T | T[] | undefined, channel: number): T | undefined {
  return Array.isArray(value) ? value[channel] : value;
}

function amplitudeOf(segment: Segment, channel: number): number {
  const decibel = ofChannel(segment.db, channel) ?? null;
  return ofChannel(segment.amp, channel) ?? (decibel === null ? 0 : 10 ** (decibel / 20));
}

/** One channel of the test signal: a tone for each segment, each starting at its own phase. */
function channelSamples(segments: readonly Segment[], sampleRateHz: number, channel: number): Float64Array {
  const lengths = segments.map((segment) => Math.round(segment.s * sampleRateHz));
  const samples = new Float64Array(lengths.reduce((sum, length) => sum + length, 0));
  let at = 0;
  segments.forEach((segment, index) => {
    const amplitude = amplitudeOf(segment, channel);
    const omega = (2 * Math.PI * (ofChannel(segment.f, channel) ?? 0)) / sampleRateHz;
    const phase = ((ofChannel(segment.phase, channel) ?? 0) * Math.PI) / 180;
    for (let n = 0; n < (lengths[index] ?? 0); n += 1) {
      samples[at] = amplitude * Math.sin(omega * n + phase);
      at += 1;
    }
  });
  return samples;
}

/** Raised-cosine fade at both ends, in place. */
function fade(samples: Float64Array, length: number): void {
  for (let n = 0; n < Math.min(length, samples.length); n += 1) {
    const gain = (1 - Math.cos((Math.PI * n) / length)) / 2;
    const last = samples.length - 1 - n;
    samples[n] = (samples[n] ?? 0) * gain;
    samples[last] = (samples[last] ?? 0) * gain;
  }
}

function signal(inputs: Inputs): { sampleRateHz: number; channels: Float64Array[] } {
  const sampleRateHz = inputs.num('sample_rate', 'Hz');
  const segments = segmentList.parse(inputs.raw('segments'));
  const channels = Array.from({ length: inputs.num('channels') }, (_, channel) => {
    const samples = channelSamples(segments, sampleRateHz, channel);
    fade(samples, Math.round(inputs.numOr('fade', 0, 's') * sampleRateHz));
    return samples;
  });
  return { sampleRateHz, channels };
}

export const signalAdapters: Adapters = {
  loudness_signal: (inputs, wanted) => {
    const sound = signal(inputs);
    const wantsPeak = wanted.some((name) => name.includes('true_peak'));
    const wantsLoudness = wanted.some((name) => !name.includes('peak'));
    const loudness = wantsLoudness ? measureLoudness(sound) : undefined;
    return {
      integrated: loudness?.integratedLufs,
      loudness_range: loudness?.rangeLu,
      max_momentary: loudness?.maxMomentaryLufs,
      max_short_term: loudness?.maxShortTermLufs,
      momentary_max: loudness?.maxMomentaryLufs,
      short_term_max: loudness?.maxShortTermLufs,
      max_true_peak: wantsPeak ? truePeakDbtp(sound.channels, sound.sampleRateHz) : undefined,
      max_sample_peak: samplePeakDbfs(sound.channels),
    };
  },
};
