import {
  angleFromExposureSeconds,
  exposureSecondsFromAngle,
  type FrameRate,
  fitsInFrame,
  fNumberMarks,
  formatExposureTime,
  isoMarks,
  type Mark,
  ndDensityForFactor,
  ndDensityForStops,
  parseFrameRate,
} from '@plumbline/craft';
import type { Shutter } from '@plumbline/shared';
import { andThen, mixedNumberIn, numberIn, plain, type Reading, read, unread, within } from './reading.ts';

/** Marks within this many stops of a typed value are taken for it: `5.6` typed, `f/5.6` meant. */
const SAME_MARK_STOPS = 0.02;

function markFor(marks: readonly Mark[], typed: number): number {
  const near = marks.find((mark) => Math.abs(Math.log2(mark.marked / typed)) < SAME_MARK_STOPS);
  return near?.marked ?? typed;
}

/** `f/4`, `f4`, `F 4`, `4`, `T2.8`, `5,6`: the number on the ring. */
export function readAperture(text: string): Reading<number> {
  const typed = numberIn(plain(text).replace(/^[ft]\s*\/?\s*/, ''));
  if (typed === null) return unread('Write the number on the ring, as f/4 or 5.6.');
  return andThen(within(typed, 0.5, 128, ''), (number) => read(markFor(fNumberMarks('third'), number)));
}

/**
 * `180`, `180°`, `172.8 deg`, `1/50`, `1/50 s`, `0.02 s`, `2 s`. A bare number is an angle: cameras that show a bare
 * 50 mean 1/50, so an angle below 60 asks for its sign.
 */
export function readShutter(text: string): Reading<Shutter> {
  const typed = plain(text);
  const time = /^(?:(\d+)\s*\/\s*(\d+(?:\.\d+)?)\s*(?:s|sec)?|(\d*\.?\d+)\s*(?:s|sec))$/.exec(typed);
  if (time) {
    const seconds = time[3] === undefined ? Number(time[1]) / Number(time[2]) : Number(time[3]);
    if (!(seconds > 0) || !Number.isFinite(seconds))
      return unread('A time is longer than nothing: write 1/50.');
    return andThen(within(seconds, 1 / 100_000, 60, 's'), () => read({ seconds }));
  }
  const angle = /^(\d*\.?\d+)\s*(°|º|deg|degrees)?$/.exec(typed);
  if (!angle) return unread('Write an angle as 180°, or a time as 1/50.');
  const degrees = Number(angle[1]);
  if (degrees > 360) return unread(`No shutter opens more than 360°. Is 1/${angle[1]} meant?`);
  if (degrees <= 0) return unread('Write an angle as 180°, or a time as 1/50.');
  if (angle[2] === undefined && degrees < 60) {
    return unread(`Is it ${angle[1]}° or 1/${angle[1]}? Write it with its sign.`);
  }
  return read({ angleDeg: degrees });
}

/** A shutter as the trade writes it. */
export function writeShutter(shutter: Shutter): string {
  return 'angleDeg' in shutter ? `${tidy(shutter.angleDeg, 2)}°` : formatExposureTime(shutter.seconds);
}

/** The same shutter as a time where it is an angle and the other way round, to be read beside it. */
export function shutterBeside(shutter: Shutter, rate: FrameRate): string {
  if ('angleDeg' in shutter) {
    return formatExposureTime(exposureSecondsFromAngle(shutter.angleDeg, rate));
  }
  return fitsInFrame(shutter.seconds, rate)
    ? `${tidy(angleFromExposureSeconds(shutter.seconds, rate), 1)}°`
    : 'longer than the frame';
}

/** `0.6`, `ND 0.6`, `ND.6`, `2 stops`, `1/2 stop`, `ND4`, `ND 64`, `clear`: as density. */
export function readDensity(text: string): Reading<number> {
  const typed = plain(text);
  if (/^(nd\s*)?(0|none|clear|open|off|-)$/.test(typed)) return read(0);
  const stops = /^(?:nd\s*)?(.+?)\s*(?:stops?|st)$/.exec(typed);
  if (stops) {
    const count = mixedNumberIn(stops[1] ?? '');
    if (count === null) return unread('Write the stops as a number: 2 stops.');
    return andThen(within(count, 0, 20, 'stops'), (given) => read(roundTo(ndDensityForStops(given), 2)));
  }
  const number = numberIn(typed.replace(/^nd\s*/, ''));
  if (number === null || number < 0) return unread('Write a density as 0.6, a factor as ND4, or 2 stops.');
  const asFactor = typed.startsWith('nd') && Number.isInteger(number) && number >= 2;
  if (asFactor)
    return andThen(within(number, 2, 1_000_000, ''), (f) => read(roundTo(ndDensityForFactor(f), 2)));
  if (Number.isInteger(number) && !typed.includes('.')) {
    return unread(
      `Is ${number} a density, a factor or stops? Write ${number}.0, ND${number} or ${number} stops.`,
    );
  }
  return within(number, 0, 6, 'density');
}

/** `800`, `ISO 800`, `1.600`. */
export function readIso(text: string): Reading<number> {
  const typed = numberIn(plain(text, true).replace(/^(iso|ei|asa)\s*/, ''));
  if (typed === null) return unread('Write the sensitivity as a number, as 800.');
  return andThen(within(typed, 1, 1_000_000, 'ISO'), (iso) => read(markFor(isoMarks('third'), iso)));
}

/** `5600`, `5600 K`, `5.6k`, `5 600`. */
export function readKelvin(text: string): Reading<number> {
  const typed = plain(text, true);
  const number = numberIn(typed.replace(/\s*k(elvin)?$/, ''));
  if (number === null) return unread('Write the colour temperature in kelvin, as 5600.');
  return within(number < 100 ? number * 1000 : number, 1000, 30_000, 'K');
}

/** `25`, `23.98`, `24000/1001`, `50 fps`, `50p`. */
export function readRate(text: string): Reading<FrameRate> {
  try {
    return read(parseFrameRate(plain(text).replace(/\s*(fps|hz|p|frames?(\s*\/\s*s)?)$/, '')));
  } catch {
    return unread('Write the frames in a second, as 25, 23.976 or 24000/1001.');
  }
}

/**
 * `3.2`, `3.2 m`, `320 cm`, `10 ft`, `∞`: metres, `Infinity` for the horizon.
 *
 * @param signed whether it may lie below 0, as a height may
 */
export function readMetres(text: string, signed = false): Reading<number> {
  const typed = plain(text);
  if (/^(∞|inf|infinity)$/.test(typed)) return read(Number.POSITIVE_INFINITY);
  const parts = /^(.*?)\s*(m|cm|mm|ft|in|['’"])?$/.exec(typed);
  const number = numberIn(parts?.[1] ?? '');
  if (number === null || (number <= 0 && !signed))
    return unread('Write a distance as 3.2 m, 320 cm or 10 ft.');
  const METRES: Readonly<Record<string, number>> = {
    m: 1,
    cm: 0.01,
    mm: 0.001,
    ft: 0.3048,
    in: 0.0254,
    "'": 0.3048,
    '"': 0.0254,
  };
  return read(roundTo(number * (METRES[parts?.[2] ?? 'm'] ?? 1), 4));
}

/** `1000`, `1000 lx`, `1,000`, `93 fc`: lux. */
export function readLux(text: string): Reading<number> {
  const typed = plain(text, true);
  const parts = /^(.*?)\s*(lx|lux|fc|footcandles?|klx)?$/.exec(typed);
  const number = numberIn(parts?.[1] ?? '');
  if (number === null) return unread('Write the reading in lux, as 1000.');
  const unit = parts?.[2] ?? 'lx';
  const lux = unit.startsWith('f') ? number / 0.3048 ** 2 : unit === 'klx' ? number * 1000 : number;
  return andThen(within(lux, 0.01, 200_000, 'lx'), (value) => read(roundTo(value, 1)));
}

/** A number with its unit, which may be left out. `scale` holds other units it may be written in. */
export function readQuantity(
  text: string,
  options: {
    readonly unit: string;
    readonly min: number;
    readonly max: number;
    readonly decimals: number;
    readonly scale?: Readonly<Record<string, number>>;
  },
): Reading<number> {
  const { unit, min, max, decimals, scale = {} } = options;
  const typed = plain(text, decimals === 0);
  const parts = /^([+-]?[\d.]+)\s*(.*)$/.exec(typed);
  const number = parts ? numberIn(parts[1] ?? '') : null;
  const written = parts?.[2]?.replace(/\s+/g, '') ?? '';
  const factor = written === '' || written === unit.toLowerCase().replace(/\s+/g, '') ? 1 : scale[written];
  if (number === null || factor === undefined) {
    return unread(unit === '' ? 'Write a number.' : `Write a number in ${unit}.`);
  }
  return andThen(within(number * factor, min, max, unit), (value) => read(roundTo(value, decimals)));
}

export function roundTo(value: number, decimals: number): number {
  return Number(value.toFixed(decimals));
}

/** At most so many decimals, none that say nothing. */
export function tidy(value: number, decimals: number): string {
  return String(roundTo(value, decimals));
}
