import * as craft from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Mean light over the exposure from every starting phase, by adding up: slow, and blind to the formulas. */
function measured(light: (phase: number) => number, pulses: number): number {
  const steps = 400;
  const total = Math.round(pulses * steps);
  const samples = Array.from({ length: steps }, (_, index) => light((index + 0.5) / steps));
  const sums: number[] = [];
  for (let start = 0; start < steps; start += 1) {
    let sum = 0;
    for (let at = start; at < start + total; at += 1) {
      sum += samples[at % steps] ?? 0;
    }
    sums.push(sum);
  }
  const [most, least] = [Math.max(...sums), Math.min(...sums)];
  return (most - least) / (most + least);
}

describe(`what is left of a pulsing light (seed ${SEED})`, () => {
  /** Exposures of a whole number of steps, so that adding up and the formula speak of the same time. */
  const pulses = fc.integer({ min: 40, max: 3000 }).map((steps) => steps / 400);

  it('is what adding up the light gives, for a sine', () => {
    holds(
      fc.property(pulses, between(0, 1), (count, depth) => {
        const sum = measured((phase) => 1 + depth * Math.cos(2 * Math.PI * phase), count);
        const formula = craft.residualModulation({
          mainsHz: 50,
          exposureSeconds: count / 100,
          modulationDepth: depth,
        });
        expect(Math.abs(sum - formula)).toBeLessThan(1e-4);
      }),
      60,
    );
  });

  it('is what adding up gives, for light that follows the voltage', () => {
    holds(
      fc.property(pulses, between(0, 1), (count, depth) => {
        const mean = 2 / Math.PI;
        const light = (phase: number) => depth * Math.sin(Math.PI * phase) + (1 - depth) * mean;
        const formula = craft.residualModulation({
          mainsHz: 60,
          exposureSeconds: count / 120,
          modulationDepth: depth,
          waveform: 'rectified',
        });
        expect(Math.abs(measured(light, count) - formula)).toBeLessThan(2e-3);
      }),
      60,
    );
  });

  it('is what adding up gives, for a dimmed LED', () => {
    holds(
      fc.property(pulses, fc.integer({ min: 1, max: 400 }), (count, lit) => {
        const sum = measured((phase) => (phase < lit / 400 ? 1 : 0), count);
        expect(Math.abs(sum - craft.pulsedResidualModulation(200, lit / 400, count / 200))).toBeLessThan(
          1e-6,
        );
      }),
      60,
    );
  });

  it('is nothing at a safe time and at a safe angle, whatever the lamp', () => {
    const rates = fc.constantFrom(...Object.values(craft.FRAME_RATES));
    holds(
      fc.property(fc.constantFrom(50, 60), rates, (mainsHz, rate) => {
        for (const exposureSeconds of craft.safeExposureTimes(mainsHz, rate)) {
          expect(craft.residualModulation({ mainsHz, exposureSeconds })).toBeLessThan(1e-12);
          expect(craft.residualModulation({ mainsHz, exposureSeconds, waveform: 'rectified' })).toBeLessThan(
            1e-9,
          );
          expect(craft.fitsInFrame(exposureSeconds, rate)).toBe(true);
        }
        for (const angle of craft.safeAngles(mainsHz, rate)) {
          expect(angle).toBeLessThanOrEqual(360);
        }
      }),
    );
  });

  it('finds the nearest safe time, and none where the frame is shorter than a pulse', () => {
    const { FRAME_RATES: rates } = craft;
    expect(craft.nearestSafeExposure(60, 1 / 50, rates['25'])).toBeCloseTo(1 / 60, 12);
    expect(craft.nearestSafeAngle(50, 180, rates['24'])).toBeCloseTo(172.8, 9);
    expect(craft.nearestSafeExposure(50, 1 / 250, rates['120'])).toBeNull();
    expect(craft.safeAngles(50, rates['50'])).toEqual([180, 360]);
  });
});

describe('flicker on the screen', () => {
  const at = (mainsHz: number, rate: craft.FrameRate, exposureSeconds: number, readoutSeconds?: number) =>
    craft.flicker({
      mainsHz,
      frameRate: rate,
      exposureSeconds,
      ...(readoutSeconds !== undefined && { readoutSeconds }),
    });

  it('stands still where the rate divides the lamp, and beats where it does not', () => {
    const still = at(50, craft.FRAME_RATES['25'], 1 / 60);
    expect(still).toMatchObject({ beatHz: 0, betweenFrames: 0, bandDriftPerSecond: 0 });
    expect(still.beatPeriodSeconds).toBe(Number.POSITIVE_INFINITY);
    expect(still.residual).toBeGreaterThan(0.1);
    const slow = at(60, craft.FRAME_RATES['23.976'], 1 / 48);
    expect(slow.beatHz).toBeCloseTo(0.11988, 5);
    expect(slow.betweenFrames).toBe(slow.residual);
  });

  it('beats as the difference of the two frequencies, seen through sampling', () => {
    const rates = fc.constantFrom(...Object.values(craft.FRAME_RATES));
    holds(
      fc.property(fc.constantFrom(50, 60), rates, (mainsHz, rate) => {
        const beat = craft.beatHz(mainsHz, rate);
        const fps = craft.framesPerSecond(rate);
        expect(beat).toBeLessThanOrEqual(fps / 2 + 1e-9);
        // The light at two frames that lie one beat apart is at the same phase.
        const phase = (frame: number) => (2 * mainsHz * frame * craft.frameSeconds(rate)) % 1;
        const step = Math.min(phase(1), 1 - phase(1));
        expect(Math.abs(beat / fps - step)).toBeLessThan(1e-9);
      }),
    );
  });

  it('draws bands down a rolling shutter and none down a global one', () => {
    expect(at(50, craft.FRAME_RATES['25'], 1 / 240, 0)).toMatchObject({ banding: 0, bandsPerFrame: 0 });
    const rolling = at(50, craft.FRAME_RATES['25'], 1 / 240, 0.02);
    expect(rolling.bandsPerFrame).toBeCloseTo(2, 9);
    expect(rolling.banding).toBe(rolling.residual);
    const quick = at(50, craft.FRAME_RATES['25'], 1 / 240, 0.001);
    expect(quick.banding).toBeLessThan(rolling.banding);
    expect(quick.banding).toBeGreaterThan(0);
    expect(() => at(50, craft.FRAME_RATES['25'], 1 / 240, 0.05)).toThrow(craft.CraftError);
  });
});
