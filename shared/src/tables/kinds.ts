import * as z from 'zod/mini';
import { type About, between, field, type ShootField } from './field.ts';

/** How long the sensor is exposed: an angle of the frame's time, or a time. */
export type Shutter = { readonly angleDeg: number } | { readonly seconds: number };

/** A decimal with a digit above 0, or a fraction of whole numbers above 0. */
const FRAME_RATE = /^(?=.*[1-9])(\d{1,5}(\.\d{1,3})?|[1-9]\d{0,5}\/[1-9]\d{0,3})$/;

/** A frame rate as people write it: `25`, `23.976`, or exactly, `24000/1001`. */
export function frameRate(about: About): ShootField<string> {
  const sentence = 'a frame rate such as 25 or 23.976';
  const make = () => z.string(sentence).check(z.regex(FRAME_RATE, sentence));
  return field(make, { kind: 'frameRate' }, about);
}

/** A picture size, `1920x1080`. */
export function rasterOf(about: About): ShootField<string> {
  const sentence = 'a picture size such as 1920x1080';
  const make = () => z.string(sentence).check(z.regex(/^[1-9]\d{2,4}x[1-9]\d{2,4}$/, sentence));
  return field(make, { kind: 'text', maxLength: 11, multiline: false }, about);
}

/** The shutter of a camera, {@link Shutter}. */
export function shutterOf(about: About): ShootField<Shutter> {
  const make = () =>
    z.union(
      [z.strictObject({ angleDeg: between(1, 360) }), z.strictObject({ seconds: between(1 / 16_000, 8) })],
      'an angle such as 180° or a time such as 1/50',
    );
  return field<Shutter>(make, { kind: 'shutter' }, about);
}

/** An aperture as it is written on the lens: 5.6 stands for the mark, not for the number 5.6. */
export function fNumber(about: About): ShootField<number> {
  return field(() => between(0.7, 64), { kind: 'fNumber' }, about);
}

/** A timecode label, `10:02:33:12`, with a semicolon before the frames in drop-frame. */
export function timecodeLabel(about: About): ShootField<string> {
  const sentence = 'a timecode such as 10:02:33:12';
  const make = () =>
    z.string(sentence).check(z.regex(/^([01]\d|2[0-3]):[0-5]\d:[0-5]\d[:;]\d{2,3}$/, sentence));
  return field(make, { kind: 'timecode' }, about);
}
