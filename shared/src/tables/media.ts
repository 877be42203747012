import { namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import {
  between,
  choice,
  field,
  moment,
  momentSchema,
  number,
  retired,
  shortText,
  table,
  text,
  words,
} from './field.ts';

const by = ['camera', 'sound'] as const;
const papers = ['cards'] as const;

/** A card's way through the day. */
export const CARD_STATES = [
  { value: 'blank', label: 'Blank' },
  { value: 'prepared', label: 'Prepared' },
  { value: 'inCamera', label: 'In the camera' },
  { value: 'full', label: 'Full' },
  { value: 'out', label: 'Out' },
  { value: 'copied', label: 'Copied' },
  { value: 'verified', label: 'Verified' },
  { value: 'cleared', label: 'Cleared for preparing' },
] as const;

/** What is recorded on. */
export const MEDIA_KINDS = [
  { value: 'card', label: 'Card' },
  { value: 'drive', label: 'Drive' },
] as const;

/** Whose a card, a drive or a battery is. */
export const MEDIA_DEPARTMENTS = [
  { value: 'camera', label: 'Camera' },
  { value: 'sound', label: 'Sound' },
] as const;

/** How a copy was compared with the card. `differs`: it was compared, and is not the same. */
export const COPY_CHECKS = [
  { value: 'no', label: 'Not checked' },
  { value: 'byEye', label: 'By eye' },
  { value: 'checksum', label: 'By checksum' },
  { value: 'differs', label: 'Differs from the card' },
] as const;

/** Checksums that copying leaves behind, by the hexadecimal digits that each has: FIPS 180-4, RFC 1321, xxHash. */
export const CHECKSUMS = [
  { value: 'xxh64', label: 'xxHash, 64 bit', digits: 16 },
  { value: 'xxh3', label: 'xxHash 3, 64 bit', digits: 16 },
  { value: 'xxh128', label: 'xxHash 3, 128 bit', digits: 32 },
  { value: 'md5', label: 'MD5', digits: 32 },
  { value: 'sha1', label: 'SHA-1', digits: 40 },
  { value: 'sha256', label: 'SHA-256', digits: 64 },
] as const;

/** A checksum over a copy, or over the list of its files: which kind and, where it was noted, its value. */
export const checksumSchema = z.strictObject(
  {
    kind: z.enum(
      CHECKSUMS.map(({ value }) => value),
      `one of ${CHECKSUMS.map(({ value }) => value).join(', ')}`,
    ),
    value: z.exactOptional(
      z
        .string('a checksum in hexadecimal')
        .check(z.regex(/^[0-9a-f]{16,64}$/, 'a checksum in small hexadecimal letters')),
    ),
  },
  'a checksum: kind, value',
);

/**
 * A copy of a card's contents: where it is, how it was compared with the card, when the copying began (what was
 * recorded after that is not in it), and by whom. Where it was compared later, by whom and when.
 */
export const copySchema = z.strictObject(
  {
    where: shortText(60),
    checked: z.enum(['no', 'byEye', 'checksum', 'differs'], 'no, byEye, checksum or differs'),
    at: momentSchema,
    by: shortText(40),
    sum: z.exactOptional(checksumSchema),
    checkedAt: z.exactOptional(momentSchema),
    checkedBy: z.exactOptional(shortText(40)),
  },
  'a copy: where, checked, at, by, and with what it was checked, when and by whom',
);

export const cards = table('Cards', [namePart()], {
  name: text({ label: 'Name', help: 'What is written on the card.', by, papers }, 40),
  kind: choice(MEDIA_KINDS, { label: 'Kind', help: 'A card, or a drive that is recorded on.', by, papers }),
  department: choice(MEDIA_DEPARTMENTS, {
    label: 'Department',
    help: 'Whose it is: what is recorded on it and who answers for it.',
    by,
    papers,
  }),
  capacityGB: number(
    { label: 'Capacity', help: 'In decimal gigabytes, as printed on it.', unit: 'GB', by, papers },
    { min: 0.1, max: 64_000, step: 1, decimals: 1 },
  ),
  state: choice(CARD_STATES, { label: 'State', help: 'Where the card is on its way.', by, papers }),
  holder: text({ label: 'Holder', help: 'Who or what has it.', by, papers }, 60),
  copies: field(
    () => z.array(copySchema, 'a list of copies').check(z.maxLength(12, 'at most 12 copies')),
    { kind: 'object' },
    {
      label: 'Copies',
      help: 'Where its contents have been copied, and how each copy was checked.',
      by,
      papers,
    },
  ),
  copiesBefore: field(
    () => z.array(copySchema, 'a list of copies').check(z.maxLength(40, 'at most 40 copies')),
    { kind: 'object' },
    {
      label: 'Earlier copies',
      help: 'Copies of what was on it before it was last prepared, moved here to make room.',
      by,
      papers,
    },
  ),
  preparedAt: field(
    () => z.array(momentSchema, 'a list of moments').check(z.maxLength(40, 'at most 40 of them')),
    { kind: 'object' },
    {
      label: 'Prepared',
      help: 'When the card was prepared, the first time first: what was recorded before is no longer on it.',
      by,
      papers,
    },
  ),
  note: text({ label: 'Note', help: 'What the next person must know.', by, papers }, 300, true),
  retired: retired(by),
});

/** What a battery is made of. */
export const CHEMISTRIES = [
  { value: 'lithium', label: 'Lithium' },
  { value: 'nickel', label: 'Nickel' },
  { value: 'lead', label: 'Lead' },
] as const;

/** A battery's charge as it was read. */
export const chargeReadingSchema = z.strictObject(
  { percent: between(0, 100), at: momentSchema },
  'a reading: percent, at',
);

export const batteries = table('Batteries', [namePart()], {
  name: text({ label: 'Name', help: 'What is written on the battery.', by }, 40),
  department: choice(MEDIA_DEPARTMENTS, { label: 'Department', help: 'Whose it is.', by }),
  chemistry: choice(CHEMISTRIES, {
    label: 'Made of',
    help: 'What is in its cells; lithium has rules for its transport.',
    by,
  }),
  energyWh: number(
    { label: 'Energy', help: 'As printed on it.', unit: 'Wh', by },
    { min: 0.5, max: 2000, step: 1, decimals: 1 },
  ),
  chargePercent: number(
    { label: 'Charge', help: 'When last looked at.', unit: '%', by },
    { min: 0, max: 100, step: 5 },
  ),
  checkedAt: moment({ label: 'Charge read', help: 'When the charge was last looked at.', by }),
  readings: field(
    () => z.array(chargeReadingSchema, 'a list of readings').check(z.maxLength(24, 'at most 24 readings')),
    { kind: 'object' },
    { label: 'Readings', help: 'Its charge as it was read, the oldest first: how fast it drains.', by },
  ),
  fits: words(
    {
      label: 'Fits',
      help: 'The cameras and recorders that it fits, such as A or R1; left open, all of its department.',
      by,
    },
    12,
    8,
  ),
  onChargeSince: moment({
    label: 'On charge since',
    help: 'When it was put on charge; empty when it is not.',
    by,
  }),
  where: text({ label: 'Where', help: 'On which camera, charger or in which bag.', by }, 60),
  note: text(
    { label: 'Note', help: 'What the next person must know: swollen, weak, does not lock.', by },
    300,
  ),
  retired: retired(by),
});
