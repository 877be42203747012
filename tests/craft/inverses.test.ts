import * as craft from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { holds, SEED } from './seed.ts';

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const rates = fc.constantFrom(...Object.values(craft.FRAME_RATES));

function expectClose(actual: number, expected: number, relative = 1e-9): void {
  expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.max(1, Math.abs(expected)));
}

/** A number there and back again. */
const PAIRS: readonly [
  name: string,
  min: number,
  max: number,
  there: (x: number) => number,
  back: (x: number) => number,
][] = [
  ['density and stops', 0, 10, craft.ndStops, craft.ndDensityForStops],
  ['density and factor', 0, 10, craft.ndFilterFactor, craft.ndDensityForFactor],
  ['gain and stops', -30, 60, craft.gainStops, craft.gainFromStops],
  ['gain and ISO', -20, 60, (db) => craft.isoFromGain(800, db), (iso) => craft.gainFromIso(800, iso)],
  ['stops and ratio', -20, 20, craft.stopsRatio, craft.ratioStops],
  ['lux and foot-candles', 0, 1e5, craft.footcandlesFromLux, craft.luxFromFootcandles],
  ['kelvin and mired', 1000, 40000, craft.mired, craft.kelvinFromMired],
  ['dBu and volts', -80, 40, craft.voltsFromDbu, craft.dbuFromVolts],
  ['dBV and volts', -80, 40, craft.voltsFromDbv, craft.dbvFromVolts],
  ['dBu and dBV', -80, 40, craft.dbvFromDbu, craft.dbuFromDbv],
  ['dBFS and peak', -120, 0, craft.peakFromDbfs, craft.dbfsFromPeak],
  [
    'dBu and dBFS',
    -60,
    24,
    (dbu) => craft.dbfsFromDbu(dbu, craft.ALIGNMENTS.smpteRp155),
    (dbfs) => craft.dbuFromDbfs(dbfs, craft.ALIGNMENTS.smpteRp155),
  ],
  ['bytes and GiB', 0, 1e14, (bytes) => craft.inByteUnit(bytes, 'GiB'), (gib) => craft.bytesOf(gib, 'GiB')],
  [
    'card and time',
    0,
    1e13,
    (bytes) => craft.recordingSeconds(bytes, 2e8),
    (seconds) => craft.recordingBytes(seconds, 2e8),
  ],
  [
    'aperture and Airy disc',
    0.7,
    64,
    (n) => craft.airyDiameterUm(n, 550),
    (d) => craft.diffractionAperture(d, 550),
  ],
  [
    'angle of view and focal length',
    5,
    600,
    (f) => craft.angleOfViewDeg(24.89, f),
    (angle) => craft.focalLengthForAngleMm(24.89, angle),
  ],
  [
    'light and luminance of a card',
    0,
    1e5,
    (lux) => craft.lambertLuminance(lux, 0.18),
    (l) => craft.lambertIlluminanceLux(l, 0.18),
  ],
];

describe(`what is turned one way comes back the other (seed ${SEED})`, () => {
  it.each(PAIRS)('%s', (_name, min, max, there, back) => {
    holds(fc.property(between(min, max), (x) => expectClose(back(there(x)), x)));
  });

  it('angle and time', () => {
    holds(
      fc.property(between(0.1, 360), rates, (angle, rate) => {
        expectClose(craft.angleFromExposureSeconds(craft.exposureSecondsFromAngle(angle, rate), rate), angle);
      }),
    );
  });

  it('each of aperture, time, sensitivity and density solves to what the light was made from', () => {
    const setting = fc.record({
      aperture: between(0.7, 64),
      exposureSeconds: between(1e-4, 10),
      iso: between(25, 1e5),
      ndDensity: between(0, 5),
    });
    holds(
      fc.property(setting, between(240, 540), (settings, calibrationC) => {
        const reading = { illuminanceLux: craft.askedIlluminanceLux(settings, calibrationC), calibrationC };
        expectClose(craft.exposureOffsetStops(reading.illuminanceLux, settings, calibrationC), 0);
        expectClose(craft.apertureFor(reading, settings), settings.aperture);
        expectClose(craft.exposureSecondsFor(reading, settings), settings.exposureSeconds);
        expectClose(craft.isoFor(reading, settings), settings.iso);
        expectClose(craft.ndDensityFor(reading, settings), settings.ndDensity);
      }),
    );
  });

  it('a compensating aperture gives the same light', () => {
    const setting = fc.record({
      exposureSeconds: between(1e-4, 10),
      iso: between(25, 1e5),
      ndDensity: between(0, 3),
    });
    holds(
      fc.property(setting, setting, between(1, 32), (before, after, aperture) => {
        const found = craft.compensatingAperture({ ...before, aperture }, after);
        const light = craft.askedIlluminanceLux({ ...before, aperture });
        expectClose(craft.askedIlluminanceLux({ ...after, aperture: found }) / light, 1);
      }),
    );
  });

  it('an aperture for a depth gives that depth', () => {
    const lens = fc.record({ focalLengthMm: between(8, 200), circleOfConfusionMm: between(0.005, 0.05) });
    holds(
      fc.property(lens, between(1.5, 50), between(1.1, 20), (glass, nearFactor, spread) => {
        const nearMm = glass.focalLengthMm * 2 * nearFactor;
        const farMm = nearMm * spread;
        const { aperture, focusDistanceMm } = craft.apertureForDepth(glass, nearMm, farMm);
        const depth = craft.depthOfField({ ...glass, aperture, focusDistanceMm });
        expectClose(depth.nearMm / nearMm, 1, 1e-7);
        expectClose(depth.farMm / farMm, 1, 1e-7);
      }),
    );
  });

  it('an aperture for infinity is focused at the hyperfocal distance', () => {
    holds(
      fc.property(between(10, 100), between(500, 20000), (focalLengthMm, nearMm) => {
        const glass = { focalLengthMm, circleOfConfusionMm: 0.02 };
        const { aperture, focusDistanceMm } = craft.apertureForDepth(glass, nearMm, Number.POSITIVE_INFINITY);
        const depth = craft.depthOfField({ ...glass, aperture, focusDistanceMm });
        expect(depth.farMm).toBe(Number.POSITIVE_INFINITY);
        expectClose(depth.nearMm / nearMm, 1, 1e-7);
      }),
    );
  });

  it('xy and uv', () => {
    holds(
      fc.property(between(0.15, 0.6), between(0.1, 0.39), (x, y) => {
        const back = craft.xyFromUv(craft.uvFromXy({ x, y }));
        expectClose(back.x, x);
        expectClose(back.y, y);
      }),
    );
  });

  it('a filter and its opposite', () => {
    holds(
      fc.property(between(2000, 10000), between(-60, 200), (kelvin, shift) => {
        expectClose(craft.afterShift(craft.afterShift(kelvin, shift), -shift), kelvin, 1e-8);
        expectClose(craft.miredDifference(kelvin, craft.afterShift(kelvin, shift)), shift, 1e-8);
      }),
    );
  });

  it('the temperature of a black body, found from its chromaticity', () => {
    holds(
      fc.property(between(1200, 40000), (kelvin) => {
        const found = craft.correlatedColourTemperature(craft.planckianUv(kelvin));
        expectClose(1e6 / found.kelvin, 1e6 / kelvin, 1e-5);
        expect(Math.abs(found.duv)).toBeLessThan(1e-7);
      }),
      100,
    );
  });

  it('samples and frames', () => {
    holds(
      fc.property(
        fc.integer({ min: 0, max: 10_000_000 }),
        rates,
        fc.constantFrom(48_000, 96_000, 192_000),
        (frame, rate, fs) => {
          const samples = Math.ceil(craft.samplesFromFrames(frame, rate, fs) - 1e-6);
          expect(craft.framesFromSamples(samples, rate, fs)).toBe(frame);
        },
      ),
    );
  });

  it('the words of a time reference', () => {
    holds(
      fc.property(fc.integer({ min: 0, max: 768_000 * 86_400 }), (samples) => {
        const words = craft.timeReferenceWords(samples);
        expect(words.low).toBeLessThan(2 ** 32);
        expect(craft.timeReferenceSamples(words)).toBe(samples);
      }),
    );
  });

  it('a written rate and time', () => {
    for (const [text, rate] of Object.entries(craft.FRAME_RATES)) {
      expect(craft.parseFrameRate(text)).toEqual(rate);
      expect(craft.formatFrameRate(rate)).toBe(text);
      expect(craft.frameRateFromNumber(Number(text))).toEqual(rate);
    }
    for (const mark of craft.videoTimeMarks()) {
      expect(craft.parseExposureTime(craft.formatExposureTime(mark.exact))).toBeCloseTo(mark.exact, 9);
      expect(craft.formatExposureTime(mark.exact)).toBe(mark.label);
    }
  });

  it.each([
    ['23.98', 24000, 1001],
    ['24000/1001', 24000, 1001],
    ['29.97', 30000, 1001],
    ['119.88', 120000, 1001],
    ['24.0', 24, 1],
    ['30.00', 30, 1],
    ['12.5', 25, 2],
    ['33.333', 33333, 1000],
    ['50p', 50, 1],
    ['50/2', 25, 1],
  ])('%s is the fraction %i/%i', (text, num, den) => {
    expect(craft.parseFrameRate(text)).toEqual({ num, den });
  });
});

describe('marks', () => {
  const series = [
    ...(['full', 'half', 'third'] as const).flatMap((step) => [
      [`f-numbers, ${step}`, craft.fNumberMarks(step)] as const,
      [`ISO, ${step}`, craft.isoMarks(step)] as const,
      [`times, ${step}`, craft.exposureTimeMarks(step)] as const,
    ]),
  ];

  it.each(series)('%s: a mark lies within a fifth of a stop of what it stands for', (_name, marks) => {
    for (const { marked, exact, label } of marks) {
      const stops = Math.abs(Math.log2(marked / exact)) * (label.startsWith('f/') ? 2 : 1);
      expect(stops, label).toBeLessThan(1 / 5);
    }
  });

  it.each(series)('%s: the exact values step evenly and the marks never turn back', (_name, marks) => {
    const steps = marks
      .slice(1)
      .map((mark, index) => Math.log2(mark.exact / (marks[index]?.exact ?? Number.NaN)));
    for (const step of steps) {
      expect(step).toBeCloseTo(steps[0] ?? Number.NaN, 9);
    }
    const sign = Math.sign(steps[0] ?? 0);
    marks.slice(1).forEach((mark, index) => {
      expect(Math.sign(mark.marked - (marks[index]?.marked ?? Number.NaN)), mark.label).toBe(sign);
    });
  });

  it('a written value is read as the power it stands for, and another as itself', () => {
    expect(craft.exactFNumber(5.6)).toBe(2 ** 2.5);
    expect(craft.exactFNumber(2.8)).toBe(2 ** 1.5);
    expect(craft.exactFNumber(22)).toBe(2 ** 4.5);
    expect(craft.exactFNumber(1.3)).toBe(1.3);
    expect(craft.exactIso(800)).toBe(800);
    expect(craft.exactIso(640)).toBeCloseTo(100 * 2 ** (8 / 3), 9);
    expect(craft.apertureStops(craft.exactFNumber(2.8), craft.exactFNumber(4))).toBeCloseTo(1, 12);
  });

  it('the nearest mark of a marked value is that mark, and steps stop at the ends', () => {
    const thirds = craft.fNumberMarks('third');
    for (const mark of thirds) {
      expect(craft.nearestMark(thirds, mark.exact)).toBe(mark);
    }
    expect(craft.stepMark(thirds, 1, 3).label).toBe('f/1.4');
    expect(craft.stepMark(thirds, 1, -99).label).toBe('f/0.7');
    expect(craft.stepMark(thirds, 1, 99).label).toBe('f/64');
  });
});
