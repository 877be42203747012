import { CraftError, ndDensityForFactor, ndDensityForStops, parseFrameRate } from '@plumbline/craft';
import type { Json } from '@plumbline/replica';
import type { Shutter } from '../tables/index.ts';
import { type Reading, readNumber, readQuantity, type Writing } from './numbers.ts';

const hundredths = (value: number): number => Number(value.toFixed(2));

/** `f/4`, `F4`, `4,0`: the number on the ring. */
export function readAperture(text: string, writing: Writing): Reading<number> {
  return readNumber(text.replace(/^\s*[fƒ]\s*\/?\s*/i, ''), writing);
}

/**
 * `180°`, `172.8 deg`, `1/50`, `1/50 s`, `0.02 s`. A bare number is an angle from 60 on; below that, cameras that show
 * a bare 50 mean 1/50.
 */
export function readShutter(text: string, writing: Writing): Reading<Shutter> {
  const fraction = /^\s*(\d+)\s*[/\u2044\u2215]\s*(\d+(?:[.,]\d+)?)\s*s?\s*$/i.exec(text);
  if (fraction) {
    const denominator = readNumber(fraction[2] ?? '', writing);
    if ('problem' in denominator) return denominator;
    return { value: { seconds: Number(fraction[1]) / denominator.value } };
  }
  const time = /^(.*\d)\s*s(?:ec)?\s*$/i.exec(text);
  if (time) {
    const seconds = readNumber(time[1] ?? '', writing);
    return 'problem' in seconds ? seconds : { value: { seconds: seconds.value } };
  }
  const angle = readQuantity(text, '°', writing);
  if ('problem' in angle)
    return { problem: `“${text}” is neither an angle such as 180° nor a time such as 1/50` };
  if (/\d[.,]?\s*$/.test(text) && angle.value < 60) {
    return { problem: `“${text}” can be an angle or a time; write ${text.trim()}° or 1/${text.trim()}` };
  }
  return { value: { angleDeg: angle.value } };
}

/** `25`, `23,976`, `24000/1001`, `50p`: kept as written, once it is known to be a rate. */
export function readFrameRate(text: string, { decimalComma }: Writing): Reading<string> {
  const written = text
    .trim()
    .replace(/\s*(fps|frames\/s|p)$/i, '')
    .replace(decimalComma ? ',' : /$^/, '.')
    .replace(/\s*\/\s*/, '/');
  try {
    parseFrameRate(written);
    return { value: written };
  } catch (error) {
    if (!(error instanceof CraftError)) throw error;
    return { problem: `“${text}” is no frame rate such as 25, 23.976 or 24000/1001` };
  }
}

/**
 * `0.6`, `ND 0.6`, `2 stops`, `ND4`, `none`: as density. A bare whole number could be a density, a factor or stops, and
 * is only taken where the header says which.
 */
export function readDensity(text: string, writing: Writing, unitInHeader: boolean): Reading<number> {
  if (/^\s*(nd\s*)?(0|none|clear|open|-)\s*$/i.test(text)) return { value: 0 };
  const stops = /^\s*(?:nd\s*)?(.*\d)\s*stops?\s*$/i.exec(text);
  if (stops) {
    const count = readNumber(stops[1] ?? '', writing);
    if ('problem' in count) return count;
    if (count.value < 0) return { problem: `“${text}” would be a filter that adds light` };
    return { value: hundredths(ndDensityForStops(count.value)) };
  }
  const density = readNumber(text.replace(/^\s*nd\s*/i, ''), writing);
  if ('problem' in density || !Number.isInteger(density.value) || /[.,]/.test(text)) return density;
  const number = density.value;
  if (/^\s*nd/i.test(text) && number >= 2) return { value: hundredths(ndDensityForFactor(number)) };
  if (unitInHeader) return density;
  return {
    problem: `“${text}” can be a density, a factor or stops; write ND ${number}.0, ND${number} or ${number} stops`,
  };
}

/** `ISO 800`, `800`, `1 600`. */
export function readIso(text: string, writing: Writing): Reading<number> {
  return readQuantity(text.replace(/^\s*(iso|ei)\s*/i, ''), 'ISO', writing, true);
}

/** `1920x1080`, `1920 × 1080`. */
export function readRaster(text: string): Reading<string> {
  return { value: text.trim().replace(/\s*[x×*]\s*/i, 'x') };
}

/** `yes`, `no`, `x`, `on`, `1`. */
export function readSwitch(text: string): Reading<boolean> {
  const plain = text.trim().toLowerCase();
  if (['yes', 'y', 'true', 'on', 'x', '1', '✓'].includes(plain)) return { value: true };
  if (['no', 'n', 'false', 'off', '0', '-'].includes(plain)) return { value: false };
  return { problem: `“${text}” is neither yes nor no` };
}

/** `7:30`, `07.30`, `07:30:00`: a time of day. */
export function readClock(text: string): Reading<string> {
  const parts = /^\s*(\d{1,2})[:.h](\d{2})(?:[:.]00)?\s*$/i.exec(text);
  if (!parts) return { problem: `“${text}” is no time of day such as 07:30` };
  return { value: `${(parts[1] ?? '').padStart(2, '0')}:${parts[2]}` };
}

/** `2027-05-14`, `14.5.2027`: a date as a day's record. With slashes nobody can tell the day from the month. */
export function readDate(text: string): Reading<string> {
  const iso = /^\s*(\d{4})-(\d{1,2})-(\d{1,2})\s*$/.exec(text);
  const dotted = /^\s*(\d{1,2})\.\s*(\d{1,2})\.\s*(\d{4})\s*$/.exec(text);
  const [year, month, day] = iso
    ? [Number(iso[1]), Number(iso[2]), Number(iso[3])]
    : [Number(dotted?.[3]), Number(dotted?.[2]), Number(dotted?.[1])];
  const date = new Date(Date.UTC(year, month - 1, day));
  if (Number.isNaN(date.getTime()) || date.getUTCMonth() !== month - 1 || date.getUTCDate() !== day) {
    return { problem: `“${text}” is no date; write it as 2027-05-14` };
  }
  return { value: date.toISOString().slice(0, 10) };
}

/** `2027-05-14T07:30Z`, `2027-05-14 09:30+02:00`: a moment, which needs its zone. */
export function readMoment(text: string): Reading<number> {
  const plain = text.trim().replace(' ', 'T');
  const at = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})$/.test(plain)
    ? Date.parse(plain)
    : Number.NaN;
  return Number.isNaN(at)
    ? { problem: `“${text}” is no moment with its zone, such as 2027-05-14T09:30+02:00` }
    : { value: at };
}

/** `Ring A: 230 V 16 A; Stove 400 V 32 A (by the door)`: circuits with voltage and fuse. */
export function readCircuits(text: string, writing: Writing): Reading<Json> {
  const circuits: Json[] = [];
  for (const part of text.split(/[;|\n]/).filter((piece) => piece.trim() !== '')) {
    const form = /^\s*(.+?):?\s+([\d.,]+)\s*V\s*,?\s*([\d.,]+)\s*A\s*(?:\((.+)\))?\s*$/i.exec(part);
    const voltage = readNumber(form?.[2] ?? '', writing);
    const fuse = readNumber(form?.[3] ?? '', writing);
    if (!form || 'problem' in voltage || 'problem' in fuse) {
      return { problem: `“${part.trim()}” is no circuit such as Ring A: 230 V 16 A` };
    }
    const note = form[4] === undefined ? {} : { note: form[4].trim() };
    circuits.push({ name: (form[1] ?? '').trim(), voltageV: voltage.value, fuseA: fuse.value, ...note });
  }
  return { value: circuits };
}

/**
 * `South window: 190°, 60° wide, from 5°, to 55°; Door 12°`: where each looks, how wide it is as seen from the subject,
 * and between which heights the sun comes through.
 */
export function readOpenings(text: string, writing: Writing): Reading<Json> {
  const openings: Json[] = [];
  const FORM =
    /^\s*(.+?):?\s+([\d.,]+)\s*°(?:\s*,?\s*([\d.,]+)\s*°\s*wide)?(?:\s*,?\s*from\s+([\d.,]+)\s*°)?(?:\s*,?\s*to\s+([\d.,]+)\s*°)?\s*$/i;
  for (const part of text.split(/[;|\n]/).filter((piece) => piece.trim() !== '')) {
    const form = FORM.exec(part);
    const problem = { problem: `“${part.trim()}” is no opening such as South window: 190°, 60° wide` };
    if (!form) return problem;
    const opening: Record<string, Json> = { name: (form[1] ?? '').trim() };
    for (const [index, key] of (['bearingDeg', 'arcDeg', 'lowestDeg', 'highestDeg'] as const).entries()) {
      const written = form[index + 2];
      if (written === undefined) continue;
      const read = readNumber(written, writing);
      if ('problem' in read) return problem;
      opening[key] = read.value;
    }
    openings.push(opening);
  }
  return { value: openings };
}
