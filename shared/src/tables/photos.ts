import { namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import {
  choice,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  number,
  reference,
  retired,
  table,
  text,
} from './field.ts';

const by: readonly Department[] = DEPARTMENTS;
const papers = ['scouting'] as const;

/** Name of a stored photograph: the SHA-256 of its bytes in small hexadecimal digits. */
export const PHOTO_HASH = /^[0-9a-f]{64}$/;

function hashOf(label: string, help: string) {
  const sentence = 'the SHA-256 of a file in hexadecimal digits';
  const make = () => z.string(sentence).check(z.regex(PHOTO_HASH, sentence));
  return field(make, { kind: 'text', maxLength: 64, multiline: false }, { label, help, by });
}

/** What a photograph or sketch is about is named as `table/record`. */
const ABOUT = /^[a-z][A-Za-z]{0,39}\/[A-Za-z0-9_-]{1,40}(\.[A-Za-z0-9_-]{1,40}){0,5}$/;

function aboutField() {
  const sentence = 'a record as table/record, such as places/mill';
  const make = () => z.string(sentence).check(z.regex(ABOUT, sentence));
  return field(
    make,
    { kind: 'text', maxLength: 300, multiline: false },
    { label: 'About', help: 'The record that it shows, as table/record.', by },
  );
}

const KINDS = [
  { value: 'photograph', label: 'Photograph' },
  { value: 'sketch', label: 'Sketch' },
] as const;

/** Photographs and sketches. The board holds what is known of them; the base keeps the pictures by their hash. */
export const photos = table('Photographs', [namePart()], {
  about: aboutField(),
  kind: choice(KINDS, { label: 'Kind', help: 'Whether it was taken or drawn.', by, papers }),
  hash: hashOf('Picture', 'The SHA-256 of the picture as the base keeps it.'),
  thumbHash: hashOf('Small picture', 'The SHA-256 of the same picture, made small.'),
  bytes: number(
    { label: 'Size', help: 'Of the picture as it is kept.', unit: 'bytes', by },
    { min: 1, max: 100_000_000, step: 1, whole: true },
  ),
  widthPx: number(
    { label: 'Width', help: 'Of the picture as it is kept.', unit: 'px', by },
    { min: 1, max: 20_000, step: 1, whole: true },
  ),
  heightPx: number(
    { label: 'Height', help: 'Of the picture as it is kept.', unit: 'px', by },
    { min: 1, max: 20_000, step: 1, whole: true },
  ),
  caption: text({ label: 'Caption', help: 'What it shows, in a few words.', by, papers }, 200, true),
  takenAt: moment({ label: 'Taken', help: 'When it was taken or drawn.', by, papers }),
  by: reference('people', {
    label: 'By',
    help: 'Who added it.',
    by,
    signedBy: (value) => (typeof value === 'string' ? value : null),
    papers,
  }),
  latitudeDeg: number(
    { label: 'Latitude', help: 'Where it was taken; only if whoever took it said so.', unit: '°', by },
    { min: -90, max: 90, step: 0.0001, decimals: 5 },
  ),
  longitudeDeg: number(
    { label: 'Longitude', help: 'Where it was taken; only if whoever took it said so.', unit: '°', by },
    { min: -180, max: 180, step: 0.0001, decimals: 5 },
  ),
  retired: retired(by),
});
