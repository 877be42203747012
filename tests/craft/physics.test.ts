import * as craft from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const lens = fc.record({
  focalLengthMm: between(8, 300),
  aperture: between(0.9, 22),
  circleOfConfusionMm: between(0.004, 0.05),
});

/** More of one thing gives more (or less) of another, all along its range. */
const MONOTONE: readonly [name: string, min: number, max: number, f: (x: number) => number, sign: 1 | -1][] =
  [
    [
      'a smaller aperture needs more light',
      0.7,
      64,
      (aperture) => craft.askedIlluminanceLux({ aperture, exposureSeconds: 0.02, iso: 400 }),
      1,
    ],
    [
      'a longer time needs less light',
      1e-4,
      10,
      (exposureSeconds) => craft.askedIlluminanceLux({ aperture: 4, exposureSeconds, iso: 400 }),
      -1,
    ],
    [
      'more density needs more light',
      0,
      4,
      (ndDensity) => craft.askedIlluminanceLux({ aperture: 4, exposureSeconds: 0.02, iso: 400, ndDensity }),
      1,
    ],
    [
      'more light is brighter',
      1,
      1e5,
      (lux) => craft.exposureOffsetStops(lux, { aperture: 4, exposureSeconds: 0.02, iso: 400 }),
      1,
    ],
    ['a longer lens sees less', 8, 600, (f) => craft.angleOfViewDeg(24.89, f), -1],
    ['a smaller aperture blurs by diffraction', 0.7, 64, (n) => craft.airyDiameterUm(n), 1],
    [
      'a longer time needs a larger angle',
      1e-4,
      0.04,
      (t) => craft.angleFromExposureSeconds(t, craft.FRAME_RATES['25']),
      1,
    ],
    [
      'a deeper pulsing lamp flickers more',
      0,
      1,
      (m) => craft.residualModulation({ mainsHz: 50, exposureSeconds: 1 / 60, modulationDepth: m }),
      1,
    ],
    ['a hotter lamp has fewer mireds', 1000, 20000, craft.mired, -1],
    ['a longer battery lasts longer', 1, 1000, (wh) => craft.runTimeHours(wh, 40), 1],
    ['a heavier load draws more', 0, 1e4, (w) => craft.loadCurrent(w, 230, 0.9).amps, 1],
    ['a longer cable loses more', 0, 200, (l) => craft.voltageDrop(l, 10, 1.5), 1],
    ['a higher sun is brighter', 0.5, 90, (h) => craft.daylightLux(h, 172), 1],
    ['a higher sun shines through less air', 0, 90, (h) => craft.airMass(h), -1],
    ['a higher sun throws a shorter shadow', 1, 89, (h) => craft.shadow(2, h, 0).lengthMetres, -1],
    ['more cloud lets less through', 0, 8, craft.cloudFactor, -1],
    ['warmer air carries sound faster', -40, 50, craft.speedOfSound, 1],
    ['a louder source stands farther above the noise', 0, 120, (l) => craft.signalToNoiseDb(l, [30, 32]), 1],
    ['a fuller card leaves less time', 1, 1e12, (used) => craft.recordingSeconds(1e12 - used, 1e8), -1],
  ];

describe(`physics runs one way (seed ${SEED})`, () => {
  it.each(MONOTONE)('%s', (_name, min, max, f, sign) => {
    holds(
      fc.property(between(min, max), between(min, max), (a, b) => {
        const [low, high] = a < b ? [a, b] : [b, a];
        const difference = (f(high) - f(low)) * sign;
        expect(difference).toBeGreaterThanOrEqual(-1e-9 * Math.abs(f(low)));
        if (high - low > (max - min) / 100) {
          expect(difference).toBeGreaterThan(0);
        }
      }),
    );
  });

  it('stopping down deepens, and the focus lies inside the depth', () => {
    holds(
      fc.property(lens, between(1.2, 40), between(1.05, 4), (glass, factor, stop) => {
        const focusDistanceMm = glass.focalLengthMm * 3 * factor;
        const wide = craft.depthOfField({ ...glass, focusDistanceMm });
        const small = craft.depthOfField({ ...glass, aperture: glass.aperture * stop, focusDistanceMm });
        expect(wide.nearMm).toBeLessThan(focusDistanceMm);
        expect(wide.farMm).toBeGreaterThan(focusDistanceMm);
        expect(small.nearMm).toBeLessThan(wide.nearMm);
        expect(small.farMm).toBeGreaterThanOrEqual(wide.farMm);
      }),
    );
  });

  it('the blur at both limits of the depth is the circle of confusion', () => {
    holds(
      fc.property(lens, between(1.2, 40), (glass, factor) => {
        const focusDistanceMm = glass.focalLengthMm * 3 * factor;
        const depth = craft.depthOfField({ ...glass, focusDistanceMm });
        for (const limit of [depth.nearMm, depth.farMm]) {
          const blur = craft.blurDiameterMm({ ...glass, focusDistanceMm }, limit);
          const isSharpAtInfinity =
            limit === Number.POSITIVE_INFINITY && blur <= glass.circleOfConfusionMm * (1 + 1e-6);
          expect(isSharpAtInfinity || Math.abs(blur / glass.circleOfConfusionMm - 1) < 1e-6).toBe(true);
        }
      }),
    );
  });

  it('an equivalent lens on another format sees and blurs alike', () => {
    holds(
      fc.property(lens, between(0.3, 5), (glass, crop) => {
        const [width, distance] = [24, 3000 + glass.focalLengthMm * 4];
        const other = craft.equivalentLens(glass, crop);
        const angle = craft.angleOfViewDeg(width, glass.focalLengthMm);
        expect(craft.angleOfViewDeg(width * crop, other.focalLengthMm)).toBeCloseTo(angle, 9);
        const blur = craft.blurDiameterMm({ ...glass, focusDistanceMm: distance }, Number.POSITIVE_INFINITY);
        const otherBlur = craft.blurDiameterMm(
          { ...other, focusDistanceMm: distance },
          Number.POSITIVE_INFINITY,
        );
        // Alike as parts of the picture, up to the close-focus term of a thin lens.
        expect(otherBlur / crop / blur).toBeCloseTo(
          (distance - glass.focalLengthMm) / (distance - other.focalLengthMm),
          6,
        );
      }),
    );
  });

  it('the sum of sources lies between the loudest and the loudest with all in step', () => {
    holds(
      fc.property(fc.array(between(-60, 120), { minLength: 1, maxLength: 8 }), (levels) => {
        const sum = craft.incoherentSumDb(levels);
        expect(sum).toBeGreaterThanOrEqual(Math.max(...levels) - 1e-9);
        expect(sum).toBeLessThanOrEqual(craft.coherentSumDb(levels) + 1e-9);
      }),
    );
  });

  it('a source is found again beneath the noise that was added to it', () => {
    holds(
      fc.property(between(20, 100), between(-30, 30), (source, difference) => {
        const noise = source + difference;
        expect(craft.sourceWithoutNoiseDb(craft.incoherentSumDb([source, noise]), noise)).toBeCloseTo(
          source,
          6,
        );
      }),
    );
  });

  it('a card planned for holds what was planned', () => {
    holds(
      fc.property(between(60, 1e5), between(1e6, 1e9), between(1e9, 1e12), (seconds, rate, capacity) => {
        const cards = craft.cardsNeeded(seconds, rate, capacity, 0);
        expect(craft.recordingSeconds(cards * capacity, rate)).toBeGreaterThanOrEqual(seconds * (1 - 1e-9));
        expect(craft.recordingSeconds((cards - 1) * capacity, rate)).toBeLessThan(seconds * (1 + 1e-9));
      }),
    );
  });

  it('a picture fits into its frame and a crop keeps its shape', () => {
    const side = fc.integer({ min: 16, max: 8192 });
    holds(
      fc.property(side, side, between(0.3, 4), (width, height, ratio) => {
        const fitted = craft.fitPicture({ width, height }, ratio);
        expect(fitted.width).toBeLessThanOrEqual(width * (1 + 1e-12));
        expect(fitted.height).toBeLessThanOrEqual(height * (1 + 1e-12));
        const across = fitted.bars === 'left and right' ? 2 * fitted.barEach : 0;
        const down = fitted.bars === 'above and below' ? 2 * fitted.barEach : 0;
        expect(fitted.width + across).toBeCloseTo(width, 6);
        expect(fitted.height + down).toBeCloseTo(height, 6);
        const crop = craft.cropTo({ width, height }, ratio);
        expect(crop.width / crop.height).toBeCloseTo(ratio, 6);
        expect(crop.fraction).toBeLessThanOrEqual(1 + 1e-12);
      }),
    );
  });

  it('no shutter opens for longer than the frame, and rounding alone is not longer', () => {
    for (const rate of Object.values(craft.FRAME_RATES)) {
      const frame = craft.frameSeconds(rate);
      expect(craft.angleFromExposureSeconds(frame * (1 + 1e-12), rate)).toBe(360);
      expect(craft.fitsInFrame(frame * (1 + 1e-12), rate)).toBe(true);
      expect(() => craft.angleFromExposureSeconds(frame * 1.0001, rate)).toThrow(craft.CraftError);
      expect(craft.fitsInFrame(frame * 1.0001, rate)).toBe(false);
    }
  });

  it('the quick formulas of the black body stay near the exact one over their stated ranges', () => {
    const apart = (one: craft.UniformChromaticity, other: craft.UniformChromaticity) =>
      Math.hypot(one.u - other.u, one.v - other.v);
    for (let kelvin = 1000; kelvin <= 15_000; kelvin += 100) {
      expect(apart(craft.planckianUvKrystek(kelvin), craft.planckianUv(kelvin)), `${kelvin} K`).toBeLessThan(
        2e-4,
      );
    }
    for (let kelvin = 1667; kelvin <= 25_000; kelvin += 37) {
      const cubic = craft.uvFromXy(craft.planckianChromaticityCubic(kelvin));
      expect(apart(cubic, craft.planckianUv(kelvin)), `${kelvin} K`).toBeLessThan(4e-4);
    }
  });

  it('apparent speed keeps the count of frames', () => {
    const fps = fc.integer({ min: 1, max: 1000 });
    holds(
      fc.property(fps, fps, fc.integer({ min: 0, max: 600 }), (capture, playback, seconds) => {
        const speed = craft.apparentSpeed(craft.frameRate(capture), craft.frameRate(playback), seconds);
        expect(speed.frames).toBe(capture * seconds);
        expect(speed.screenSeconds * playback).toBeCloseTo(speed.frames, 6);
      }),
    );
  });
});

describe('the light of a day', () => {
  it('has no beam under an overcast sky and none below the horizon', () => {
    expect(craft.directSunLux(40, 100, craft.IES_SKIES.overcast.extinction)).toEqual({
      normalLux: 0,
      horizontalLux: 0,
    });
    expect(craft.directSunLux(-5, 100)).toEqual({ normalLux: 0, horizontalLux: 0 });
    expect(() => craft.daylightLux(-1, 100)).toThrow(craft.CraftError);
  });

  it('counts days in leap years and others', () => {
    expect(craft.dayOfYear(2024, 12, 31)).toBe(366);
    expect(craft.dayOfYear(2023, 12, 31)).toBe(365);
    expect(craft.dayOfYear(2024, 3, 1)).toBe(61);
    expect(() => craft.dayOfYear(2023, 2, 29)).toThrow(craft.CraftError);
  });

  it('is nearer to the sun in January than in July, by seven per cent of light', () => {
    expect(craft.extraterrestrialLux(3) / craft.extraterrestrialLux(185)).toBeCloseTo(1.07, 2);
  });

  it('takes cloud as a stated factor', () => {
    expect(craft.daylightUnderCloudLux(45, 172, craft.cloudFactor(0))).toBe(craft.daylightLux(45, 172));
    expect(craft.daylightUnderCloudLux(45, 172, craft.cloudFactor(8))).toBeCloseTo(
      craft.daylightLux(45, 172) / 4,
      6,
    );
  });
});

describe('lighting', () => {
  it('reads key and fill as (key + fill) to fill', () => {
    expect(craft.keyToFill(800, 200)).toEqual({ ratio: 4, stops: 2 });
  });

  it('sets a reading between two by stops', () => {
    expect(craft.readingBetween(100, 400)).toBeCloseTo(200, 9);
    expect(craft.readingBetween(100, 400, 0)).toBe(100);
    expect(craft.readingBetween(100, 400, 1)).toBe(400);
  });

  it('refuses a phantom load beyond the short circuit', () => {
    expect(() => craft.phantomAtMicrophone(48, 6800, 14.2)).toThrow(craft.CraftError);
    expect(craft.phantomAtMicrophone(48, 6800, 7.06).microphoneMilliwatts).toBeLessThan(170);
  });

  it('tells rates that differ by the pull from rates that differ', () => {
    const { FRAME_RATES: rates, differByPull } = craft;
    expect(differByPull(rates['23.976'], rates['24'])).toBe(true);
    expect(differByPull(rates['60'], rates['59.94'])).toBe(true);
    expect(differByPull(rates['25'], rates['24'])).toBe(false);
    expect(differByPull(rates['25'], rates['25'])).toBe(false);
  });
});
