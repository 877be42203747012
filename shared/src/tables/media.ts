import { namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import { choice, field, moment, momentSchema, number, retired, shortText, table, text } from './field.ts';

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

/**
 * A copy of a card's contents: where it is, how it was compared with the card, when the copying began (what was
 * recorded after that is not in it), and by whom.
 */
export const copySchema = z.strictObject(
  {
    where: shortText(60),
    checked: z.enum(['no', 'byEye', 'checksum'], 'no, byEye or checksum'),
    at: momentSchema,
    by: shortText(40),
  },
  'a copy: where, checked, at, by',
);

export const cards = table('Cards', [namePart()], {
  name: text({ label: 'Name', help: 'What is written on the card.', by, papers }, 40),
  capacityGB: number(
    { label: 'Capacity', help: 'In decimal gigabytes, as printed on it.', unit: 'GB', by, papers },
    { min: 0.1, max: 64_000, step: 1, decimals: 1 },
  ),
  state: choice(CARD_STATES, { label: 'State', help: 'Where the card is on its way.', by, papers }),
  holder: text({ label: 'Holder', help: 'Who or what has it.', by, papers }, 60),
  copies: field(
    z.array(copySchema, 'a list of copies').check(z.maxLength(12, 'at most 12 copies')),
    { kind: 'object' },
    {
      label: 'Copies',
      help: 'Where its contents have been copied, and how each copy was checked.',
      by,
      papers,
    },
  ),
  preparedAt: field(
    z.array(momentSchema, 'a list of moments').check(z.maxLength(40, 'at most 40 of them')),
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

export const batteries = table('Batteries', [namePart()], {
  name: text({ label: 'Name', help: 'What is written on the battery.', by }, 40),
  energyWh: number(
    { label: 'Energy', help: 'As printed on it.', unit: 'Wh', by },
    { min: 0.5, max: 2000, step: 1, decimals: 1 },
  ),
  chargePercent: number(
    { label: 'Charge', help: 'When last looked at.', unit: '%', by },
    { min: 0, max: 100, step: 5 },
  ),
  checkedAt: moment({ label: 'Charge read', help: 'When the charge was last looked at.', by }),
  where: text({ label: 'Where', help: 'On which camera, charger or in which bag.', by }, 60),
  retired: retired(by),
});
