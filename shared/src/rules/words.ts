import { type DepthOfField, formatExposureTime } from '@plumbline/craft';
import type { ShootRecord } from '../tables/index.ts';
import { apart } from '../views/apart.ts';
import { type PictureFacts, setInGain } from './facts.ts';

/** A number with at most so many decimals, and no zeros at its end. */
export function plain(value: number, decimals = 1): string {
  return String(Number(value.toFixed(decimals)));
}

/** `1.0 stop`, `2.3 stops`, without a sign. */
export function stopsText(stops: number, decimals = 1): string {
  const size = Math.abs(stops).toFixed(decimals);
  return `${size} ${Number(size) > 1 ? 'stops' : 'stop'}`;
}

/** Stops with enough decimals to be told from the tolerance. */
export function stopsAgainst(stops: number, tolerance: number): string {
  const tell = Math.abs(stops).toFixed(1) === tolerance.toFixed(1) ? 2 : 1;
  return stopsText(stops, tell);
}

/** `f/2.8` */
export function apertureText(written: number): string {
  return `f/${plain(written, 2)}`;
}

/** `180°` or `1/50 s`, as it is set. */
export function shutterText(shutter: NonNullable<ShootRecord<'picture'>['shutter']>): string {
  return 'angleDeg' in shutter ? `${plain(shutter.angleDeg, 1)}°` : timeText(shutter.seconds);
}

/** `1/50 s` */
export function timeText(seconds: number): string {
  const text = formatExposureTime(seconds);
  return text.endsWith('s') ? text : `${text} s`;
}

/** `1.4 m`, `0.35 m`, `35 m`. */
export function metresText(metres: number): string {
  return `${metres < 1 ? metres.toFixed(2) : metres < 10 ? metres.toFixed(1) : metres.toFixed(0)} m`;
}

/** `0.9 m`, or from where on everything is sharp. */
export function depthText(depth: DepthOfField): string {
  return Number.isFinite(depth.totalMm)
    ? metresText(depth.totalMm / 1000)
    : `everything beyond ${metresText(depth.nearMm / 1000)}`;
}

/** `ISO 800` or `6 dB`, as the camera is set. */
export function sensitivityText({ picture, device }: PictureFacts): string {
  return setInGain(picture, device)
    ? `${plain(picture.gainDb ?? 0)} dB`
    : `ISO ${plain(picture.iso ?? 0, 0)}`;
}

/** `4:1`, `2.8:1`: a lighting ratio from its stops. */
export function ratioText(stops: number): string {
  return `${plain(2 ** stops)}:1`;
}

/** `25 min`, `2 h 05 min`; never less than a minute. */
export function minutesText(minutes: number): string {
  const whole = Math.max(1, Math.round(minutes));
  return whole < 90
    ? `${whole} min`
    : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}

/** `48 kHz`, `44.1 kHz`. */
export function kilohertzText(hertz: number): string {
  return `${plain(hertz / 1000, 3)} kHz`;
}

/** `1000 lx`, `33 lx`, `3.5 lx`. */
export function luxText(lux: number): string {
  return `${Number(lux.toPrecision(3))} lx`;
}

/** `a`, `a and b`, `a, b and c`, each set apart. */
export function listed(words: readonly string[]): string {
  const [last = '', ...before] = words.map(apart).reverse();
  return before.length === 0 ? last : `${before.reverse().join(', ')} and ${last}`;
}
