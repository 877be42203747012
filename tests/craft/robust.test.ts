import * as craft from '@plumbline/craft';
import { CraftError } from '@plumbline/craft';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readDocumentation } from '../../packages/craft/scripts/docs.ts';
import { holds, SEED } from './seed.ts';

const documentation = readDocumentation('packages/craft/src');

/** Numbers that break arithmetic, and some that do not. */
const nasty = fc.oneof(
  fc.constantFrom(
    0,
    -0,
    -1,
    Number.NaN,
    Number.POSITIVE_INFINITY,
    Number.NEGATIVE_INFINITY,
    1e-320,
    1e308,
    5e-324,
  ),
  fc.constantFrom(0.5, 1, 2, 24, 25, 50, 60, 100, 400, 1 / 50, 90, 180, 360, 1001, 30000),
  fc.double(),
  fc.double({ min: 1e-6, max: 1e6, noNaN: true }),
  fc.integer({ min: -5, max: 500 }),
);

/** Where the unit of a result says that it may be infinite. */
const MAY_BE_INFINITE = new Set(['farMm', 'totalMm', 'far', 'beatPeriodSeconds']);

function faults(value: unknown, path: string): string[] {
  if (typeof value === 'number') {
    const name = path.split('.').at(-1) ?? '';
    const isAllowed =
      Number.isFinite(value) || (value === Number.POSITIVE_INFINITY && MAY_BE_INFINITE.has(name));
    return isAllowed ? [] : [`${path} is ${value}`];
  }
  if (typeof value === 'string') {
    return /NaN|Infinity|undefined/.test(value) ? [`${path} is "${value}"`] : [];
  }
  if (value instanceof Date) {
    return Number.isFinite(value.getTime()) ? [] : [`${path} is no date`];
  }
  if (typeof value === 'object' && value !== null) {
    return Object.entries(value).flatMap(([key, inner]) => faults(inner, `${path}.${key}`));
  }
  return [];
}

/** Calls a function; a clear refusal is as good as a finite answer, anything else is a fault. */
function faultsOf(name: string, call: () => unknown): string[] {
  try {
    return faults(call(), name);
  } catch (error) {
    if (!(error instanceof CraftError)) {
      return [`${name} threw ${String(error)}`];
    }
    const isClear = error.field.length > 0 && error.range.length > 0 && error.message.includes(error.field);
    return isClear ? [] : [`${name} threw an unclear ${error.message}`];
  }
}

type Call = (...numbers: number[]) => unknown;

const rate = (num: number, den: number) => ({ num, den });
const settings = (aperture: number, exposureSeconds: number, iso: number, ndDensity: number) => ({
  aperture,
  exposureSeconds,
  iso,
  ndDensity,
});
const lens = (focalLengthMm: number, aperture: number, circleOfConfusionMm: number) => ({
  focalLengthMm,
  aperture,
  circleOfConfusionMm,
});
const format = (num: number, den: number, drop: number) => ({ rate: rate(num, den), dropFrame: drop > 50 });
const place = (latitude: number, longitude: number) => ({ latitude, longitude });
const NOON = new Date('2024-06-21T12:00:00Z');

/** Functions that take more than bare numbers, called with bare numbers in every place. */
const CALLS: Readonly<Record<string, readonly [arity: number, call: Call]>> = {
  exposureValueAtIso100: [4, (a, t, s, d) => craft.exposureValueAtIso100(settings(a, t, s, d))],
  askedIlluminanceLux: [5, (a, t, s, d, c) => craft.askedIlluminanceLux(settings(a, t, s, d), c)],
  askedLuminance: [5, (a, t, s, d, k) => craft.askedLuminance(settings(a, t, s, d), k)],
  exposureOffsetStops: [6, (e, a, t, s, d, c) => craft.exposureOffsetStops(e, settings(a, t, s, d), c)],
  spotOffsetStops: [6, (l, a, t, s, d, k) => craft.spotOffsetStops(l, settings(a, t, s, d), k)],
  apertureFor: [
    5,
    (e, c, t, s, d) =>
      craft.apertureFor({ illuminanceLux: e, calibrationC: c }, { exposureSeconds: t, iso: s, ndDensity: d }),
  ],
  exposureSecondsFor: [
    5,
    (l, k, a, s, d) =>
      craft.exposureSecondsFor({ luminance: l, calibrationK: k }, { aperture: a, iso: s, ndDensity: d }),
  ],
  isoFor: [
    5,
    (e, c, a, t, d) =>
      craft.isoFor({ illuminanceLux: e, calibrationC: c }, { aperture: a, exposureSeconds: t, ndDensity: d }),
  ],
  ndDensityFor: [
    5,
    (e, c, a, t, s) =>
      craft.ndDensityFor({ illuminanceLux: e, calibrationC: c }, { aperture: a, exposureSeconds: t, iso: s }),
  ],
  compensatingAperture: [
    7,
    (a, t, s, d, t2, s2, d2) =>
      craft.compensatingAperture(settings(a, t, s, d), { exposureSeconds: t2, iso: s2, ndDensity: d2 }),
  ],
  ndStack: [3, (...d) => craft.ndStack(d)],
  nearestMark: [1, (n) => craft.nearestMark(craft.fNumberMarks('third'), n)],
  stepMark: [2, (n, steps) => craft.stepMark(craft.isoMarks('third'), n, steps)],
  hyperfocalMm: [3, (f, n, c) => craft.hyperfocalMm(lens(f, n, c))],
  depthOfField: [4, (f, n, c, s) => craft.depthOfField({ ...lens(f, n, c), focusDistanceMm: s })],
  blurDiameterMm: [
    4,
    (f, n, s, d) => craft.blurDiameterMm({ focalLengthMm: f, aperture: n, focusDistanceMm: s }, d),
  ],
  apertureForDepth: [
    4,
    (f, c, near, far) => craft.apertureForDepth({ focalLengthMm: f, circleOfConfusionMm: c }, near, far),
  ],
  cropFactor: [
    4,
    (w, h, w2, h2) => craft.cropFactor({ widthMm: w, heightMm: h }, { widthMm: w2, heightMm: h2 }),
  ],
  equivalentLens: [3, (f, n, crop) => craft.equivalentLens({ focalLengthMm: f, aperture: n }, crop)],
  formatFrameRate: [2, (n, d) => craft.formatFrameRate(rate(n, d))],
  framesPerSecond: [2, (n, d) => craft.framesPerSecond(rate(n, d))],
  frameSeconds: [2, (n, d) => craft.frameSeconds(rate(n, d))],
  nominalFramesPerSecond: [2, (n, d) => craft.nominalFramesPerSecond(rate(n, d))],
  sameFrameRate: [4, (n, d, n2, d2) => craft.sameFrameRate(rate(n, d), rate(n2, d2))],
  differByPull: [4, (n, d, n2, d2) => craft.differByPull(rate(n, d), rate(n2, d2))],
  exposureSecondsFromAngle: [3, (a, n, d) => craft.exposureSecondsFromAngle(a, rate(n, d))],
  angleFromExposureSeconds: [3, (t, n, d) => craft.angleFromExposureSeconds(t, rate(n, d))],
  angleOfTime: [3, (t, n, d) => craft.angleOfTime(t, rate(n, d))],
  fitsInFrame: [3, (t, n, d) => craft.fitsInFrame(t, rate(n, d))],
  longestExposureSeconds: [2, (n, d) => craft.longestExposureSeconds(rate(n, d))],
  apparentSpeed: [5, (n, d, n2, d2, t) => craft.apparentSpeed(rate(n, d), rate(n2, d2), t)],
  captureFpsForSpeed: [3, (f, n, d) => craft.captureFpsForSpeed(f, rate(n, d))],
  blurFraction: [3, (t, n, d) => craft.blurFraction(t, rate(n, d))],
  equivalentAngleAtPlayback: [3, (t, n, d) => craft.equivalentAngleAtPlayback(t, rate(n, d))],
  panSecondsAcrossFrame: [2, (n, d) => craft.panSecondsAcrossFrame(rate(n, d))],
  panDegreesPerSecond: [3, (a, n, d) => craft.panDegreesPerSecond(a, rate(n, d))],
  residualModulation: [
    4,
    (f, t, m, w) =>
      craft.residualModulation({
        mainsHz: f,
        exposureSeconds: t,
        modulationDepth: m,
        waveform: w > 50 ? 'sine' : 'rectified',
      }),
  ],
  beatHz: [3, (f, n, d) => craft.beatHz(f, rate(n, d))],
  flicker: [
    6,
    (f, t, m, n, d, readoutSeconds) =>
      craft.flicker({
        mainsHz: f,
        exposureSeconds: t,
        modulationDepth: m,
        frameRate: rate(n, d),
        readoutSeconds,
      }),
  ],
  safeExposureTimes: [3, (f, n, d) => craft.safeExposureTimes(f, rate(n, d))],
  safeAngles: [3, (f, n, d) => craft.safeAngles(f, rate(n, d))],
  nearestSafeExposure: [4, (f, t, n, d) => craft.nearestSafeExposure(f, t, rate(n, d))],
  nearestSafeAngle: [4, (f, a, n, d) => craft.nearestSafeAngle(f, a, rate(n, d))],
  droppedPerMinute: [3, (n, d, x) => craft.droppedPerMinute(format(n, d, x))],
  framesPerDay: [3, (n, d, x) => craft.framesPerDay(format(n, d, x))],
  timecodeExists: [
    5,
    (h, m, s, f, x) =>
      craft.timecodeExists({ hours: h, minutes: m, seconds: s, frames: f }, format(30000, 1001, x)),
  ],
  formatTimecode: [
    5,
    (h, m, s, f, x) =>
      craft.formatTimecode({ hours: h, minutes: m, seconds: s, frames: f }, format(30000, 1001, x)),
  ],
  timecodeFieldsFromFrames: [4, (f, n, d, x) => craft.timecodeFieldsFromFrames(f, format(n, d, x))],
  timecodeFromFrames: [4, (f, n, d, x) => craft.timecodeFromFrames(f, format(n, d, x))],
  addFrames: [2, (f, x) => craft.addFrames('00:00:59:29', f, format(30000, 1001, x))],
  secondsFromFrames: [3, (f, n, d) => craft.secondsFromFrames(f, rate(n, d))],
  framesFromSeconds: [3, (s, n, d) => craft.framesFromSeconds(s, rate(n, d))],
  timecodeFromElapsed: [4, (s, n, d, x) => craft.timecodeFromElapsed(s, format(n, d, x))],
  timecodeFromTimeOfDay: [4, (s, n, d, x) => craft.timecodeFromTimeOfDay(s, format(n, d, x))],
  labelsAheadOfClockSeconds: [3, (n, d, x) => craft.labelsAheadOfClockSeconds(format(n, d, x))],
  clockDrift: [4, (p, s, n, d) => craft.clockDrift(p, s, rate(n, d))],
  driftFramesPerHour: [3, (p, n, d) => craft.driftFramesPerHour(p, rate(n, d))],
  ltcBitRate: [2, (n, d) => craft.ltcBitRate(rate(n, d))],
  combinedShift: [2, (...shifts) => craft.combinedShift(shifts)],
  uvFromXy: [2, (x, y) => craft.uvFromXy({ x, y })],
  xyFromUv: [2, (u, v) => craft.xyFromUv({ u, v })],
  uvPrimeFromXy: [2, (x, y) => craft.uvPrimeFromXy({ x, y })],
  cctMcCamy: [2, (x, y) => craft.cctMcCamy({ x, y })],
  cctHernandezAndres: [2, (x, y) => craft.cctHernandezAndres({ x, y })],
  correlatedColourTemperature: [2, (u, v) => craft.correlatedColourTemperature({ u, v })],
  colourTemperatureOfXy: [2, (x, y) => craft.colourTemperatureOfXy({ x, y })],
  dbfsFromDbu: [3, (l, dbu, dbfs) => craft.dbfsFromDbu(l, { dbu, dbfs })],
  dbuFromDbfs: [3, (l, dbu, dbfs) => craft.dbuFromDbfs(l, { dbu, dbfs })],
  incoherentSumDb: [3, (...levels) => craft.incoherentSumDb(levels)],
  coherentSumDb: [3, (...levels) => craft.coherentSumDb(levels)],
  soundDelay: [4, (d, t, n, den) => craft.soundDelay(d, rate(n, den), t)],
  signalToNoiseDb: [3, (l, ...noise) => craft.signalToNoiseDb(l, noise)],
  samplesPerFrame: [3, (fs, n, d) => craft.samplesPerFrame(fs, rate(n, d))],
  samplesFromFrames: [4, (f, n, d, fs) => craft.samplesFromFrames(f, rate(n, d), fs)],
  framesFromSamples: [4, (s, n, d, fs) => craft.framesFromSamples(s, rate(n, d), fs)],
  pulledSampleRateHz: [2, (fs, x) => craft.pulledSampleRateHz(fs, x > 50 ? 'up' : 'down')],
  pcmBlockAlign: [3, (fs, c, b) => craft.pcmBlockAlign({ sampleRateHz: fs, channels: c, bits: b })],
  pcmBytesPerSecond: [3, (fs, c, b) => craft.pcmBytesPerSecond({ sampleRateHz: fs, channels: c, bits: b })],
  longestWavSeconds: [
    4,
    (fs, c, b, l) => craft.longestWavSeconds({ sampleRateHz: fs, channels: c, bits: b }, l),
  ],
  timeReferenceSamples: [2, (low, high) => craft.timeReferenceSamples({ low, high })],
  timeReferenceSeconds: [3, (low, high, fs) => craft.timeReferenceSeconds({ low, high }, fs)],
  ixmlTimecodeRate: [2, (n, d) => craft.ixmlTimecodeRate(rate(n, d))],
  measureLoudness: [3, (a, b, fs) => craft.measureLoudness({ sampleRateHz: fs, channels: [[a, b, a, b]] })],
  biquadGainDb: [2, (f, fs) => craft.biquadGainDb(craft.K_WEIGHTING_48K.shelf, f, fs)],
  truePeakDbtp: [3, (a, b, fs) => craft.truePeakDbtp([[a, b, a]], fs)],
  samplePeakDbfs: [2, (a, b) => craft.samplePeakDbfs([[a, b]])],
  thirdOrderProducts: [3, (...carriers) => craft.thirdOrderProducts(carriers)],
  fifthOrderProducts: [4, (limit, ...carriers) => craft.fifthOrderProducts(carriers, limit)],
  radioConflicts: [4, (guard, ...carriers) => craft.radioConflicts(carriers, { thirdTwoMHz: guard })],
  radioHits: [
    4,
    (guard, ...carriers) => craft.radioHits(carriers, { thirdThreeMHz: guard, fifthMHz: guard }),
  ],
  findCarriers: [
    5,
    (count, fromMHz, toMHz, stepMHz, spacingMHz) =>
      craft.findCarriers({ count, bands: [{ fromMHz, toMHz }], stepMHz, spacingMHz, tries: 2 }),
  ],
  activePictureRate: [
    5,
    (width, height, n, d, bits) =>
      craft.activePictureRate({ width, height, rate: rate(n, d), bits, sampling: '4:2:2' }),
  ],
  framesFromFields: [2, (n, d) => craft.framesFromFields(rate(n, d))],
  serialInterfaceRate: [4, (s, l, n, d) => craft.serialInterfaceRate(s, l, rate(n, d))],
  bytesOf: [1, (n) => craft.bytesOf(n, 'TiB')],
  inByteUnit: [1, (n) => craft.inByteUnit(n, 'kB')],
  fitPicture: [3, (width, height, r) => craft.fitPicture({ width, height }, r)],
  cropTo: [3, (width, height, r) => craft.cropTo({ width, height }, r)],
  displayedPicture: [3, (width, height, par) => craft.displayedPicture({ width, height }, par)],
  circuitLoad: [5, (w, pf, v, a, f) => craft.circuitLoad([{ watts: w, powerFactor: pf }], v, a, f)],
  directSunLux: [3, (h, day, c) => craft.directSunLux(h, day, c)],
  skyLux: [1, (h) => craft.skyLux(h, 'clear')],
  daylightLux: [2, (h, day) => craft.daylightLux(h, day, 'overcast')],
  sunPosition: [
    5,
    (lat, lon, ms, p, t) => craft.sunPosition(place(lat, lon), new Date(ms), { pressureHPa: p, celsius: t }),
  ],
  sunDay: [2, (lat, lon) => craft.sunDay(place(lat, lon), 'Europe/Oslo', '2024-06-21')],
  sunDayFrom: [3, (lat, lon, ms) => craft.sunDayFrom(place(lat, lon), new Date(ms))],
  sunAtHeight: [3, (lat, lon, h) => craft.sunAtHeight(place(lat, lon), 'UTC', '2024-06-21', h)],
  sunAtBearing: [
    3,
    (lat, lon, b) => craft.sunAtBearing(place(lat, lon), NOON, new Date(NOON.getTime() + 7_200_000), b),
  ],
  polarNight: [2, (lat, year) => craft.polarNight(place(lat, 0), year)],
  polarDay: [2, (lat, year) => craft.polarDay(place(lat, 0), year)],
  utcOffsetMinutes: [1, (ms) => craft.utcOffsetMinutes('Europe/Oslo', new Date(ms))],
  localIso: [1, (ms) => craft.localIso('Asia/Kathmandu', new Date(ms))],
  localDate: [1, (ms) => craft.localDate('America/New_York', new Date(ms))],
  localTimeOfDaySeconds: [1, (ms) => craft.localTimeOfDaySeconds('UTC', new Date(ms))],
};

/** Functions that take text, a name from a list or nothing; each has its tests elsewhere in this folder. */
const TEXT_ONLY = new Set([
  'fNumberMarks',
  'isoMarks',
  'exposureTimeMarks',
  'videoTimeMarks',
  'parseExposureTime',
  'parseFrameRate',
  'parseTimecode',
  'isTimecode',
  'framesFromTimecode',
  'framesBetween',
  'ixmlTimecodeFlag',
  'instantsOfLocalTime',
  'startOfDay',
  'hoursInDay',
  'runBiquad',
]);
/** Guards that the functions themselves call. */
const isGuard = (name: string) => name.startsWith('require');

const SLOW = new Set(['polarNight', 'polarDay', 'sunDay', 'sunDayFrom', 'sunAtHeight', 'sunAtBearing']);

function numericArity(parameters: string): number | null {
  const list = parameters === '' ? [] : parameters.split(', ');
  return list.every((one) => /^\w+(: number( = [\w.]+)?| = -?[\d._]+)$/.test(one)) ? list.length : null;
}

const exported: Readonly<Record<string, unknown>> = craft;
const calls = documentation.functions
  .filter(({ name }) => !TEXT_ONLY.has(name) && !isGuard(name))
  .map(({ name, parameters }): [string, number, Call] => {
    const listed = CALLS[name];
    if (listed) {
      return [name, listed[0], listed[1]];
    }
    const arity = numericArity(parameters);
    const target = exported[name];
    if (arity === null || typeof target !== 'function') {
      throw new Error(`${name}(${parameters}) takes more than numbers and is not listed`);
    }
    return [name, arity, (...numbers) => target(...numbers)];
  });

describe(`bad input is refused with a clear error, and no answer is NaN or infinite (seed ${SEED})`, () => {
  it.each(calls)('%s', (name, arity, call) => {
    holds(
      fc.property(fc.array(nasty, { minLength: arity, maxLength: arity }), (numbers) => {
        expect(
          faultsOf(name, () => call(...numbers)),
          numbers.join(', '),
        ).toEqual([]);
      }),
      SLOW.has(name) ? 20 : 400,
    );
  });

  it('covers every function that the package exports', () => {
    const names = new Set([...calls.map(([name]) => name), ...TEXT_ONLY]);
    const functions = Object.entries(exported).filter(([, value]) => typeof value === 'function');
    const missing = functions.map(([name]) => name).filter((name) => !names.has(name) && !isGuard(name));
    expect(missing).toEqual(['CraftError']);
  });

  it('keeps every listed call in step with the package', () => {
    expect(Object.keys(CALLS).filter((name) => typeof exported[name] !== 'function')).toEqual([]);
  });
});

describe('an error says what, how much and what is allowed', () => {
  it('names the field, keeps the value and states the range', () => {
    try {
      craft.depthOfField({ focalLengthMm: 50, aperture: 4, circleOfConfusionMm: 0.03, focusDistanceMm: 40 });
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(CraftError);
      expect(error).toMatchObject({
        name: 'CraftError',
        field: 'focusDistanceMm',
        value: 40,
        range: 'longer than the focal length, 50 mm',
        message: 'focusDistanceMm must be longer than the focal length, 50 mm, got 40',
      });
    }
  });

  it.each([
    ['a time', () => craft.parseExposureTime('1/x')],
    ['a rate', () => craft.parseFrameRate('fast')],
    ['a label', () => craft.parseTimecode('10.00.00')],
    ['a zone', () => craft.localIso('Europe/Nowhere', NOON)],
    ['a date', () => craft.startOfDay('UTC', '2023-02-29')],
    ['a wall time', () => craft.instantsOfLocalTime('UTC', '2024-01-01T25:00')],
    ['drop-frame at 25', () => craft.framesPerDay({ rate: craft.FRAME_RATES['25'], dropFrame: true })],
    [
      'a skipped label',
      () => craft.framesFromTimecode('00:01:00;00', { rate: craft.FRAME_RATES['29.97'], dropFrame: true }),
    ],
  ])('refuses %s that cannot be', (_what, call) => {
    expect(call).toThrow(CraftError);
  });
});
