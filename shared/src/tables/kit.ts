import { type Json, namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import { departmentPart, ownDepartment } from './department.ts';
import {
  choice,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  momentSchema,
  number,
  reference,
  retired,
  shortText,
  table,
  text,
} from './field.ts';

const all: readonly Department[] = DEPARTMENTS;
const papers = ['kit'] as const;
const kitAbout = { by: all, restrict: ownDepartment(0), papers };

export const CONDITIONS = [
  { value: 'good', label: 'Good' },
  { value: 'worn', label: 'Worn' },
  { value: 'faulty', label: 'Faulty' },
  { value: 'lost', label: 'Lost' },
] as const;

export const kit = table('Kit', [departmentPart, namePart()], {
  name: text({ ...kitAbout, label: 'Item', help: 'What it is.' }, 80),
  kind: text({ ...kitAbout, label: 'Kind', help: 'Lens, light, stand, microphone, cable, …' }, 40),
  serial: text({ ...kitAbout, label: 'Serial', help: 'The number on it.' }, 40),
  value: number(
    { ...kitAbout, label: 'Value', help: 'For the insurance, in the currency of the shoot.' },
    { min: 0, max: 10_000_000, step: 1, decimals: 2 },
  ),
  owner: text({ ...kitAbout, label: 'Owner', help: 'Whose it is: own or hired from whom.' }, 60),
  minTemperatureC: number(
    { ...kitAbout, label: 'Lowest temperature', help: 'It works down to.', unit: '°C' },
    { min: -60, max: 60, step: 1 },
  ),
  maxTemperatureC: number(
    { ...kitAbout, label: 'Highest temperature', help: 'It works up to.', unit: '°C' },
    { min: -20, max: 90, step: 1 },
  ),
  maxHumidityPercent: number(
    { ...kitAbout, label: 'Highest humidity', help: 'It works up to, relative.', unit: '%' },
    { min: 0, max: 100, step: 5 },
  ),
  weightKg: number(
    { ...kitAbout, label: 'Weight', help: 'For the car and for whoever carries it.', unit: 'kg' },
    { min: 0, max: 1000, step: 0.1, decimals: 2 },
  ),
  powerDrawW: number(
    { ...kitAbout, label: 'Power draw', help: 'What it takes from the mains or a battery.', unit: 'W' },
    { min: 0, max: 20_000, step: 1, decimals: 1 },
  ),
  packedIn: text({ ...kitAbout, label: 'Packed in', help: 'The case or bag it travels in.' }, 60),
  checkedAt: moment({ ...kitAbout, label: 'Checked', help: 'When it was last tried out.' }),
  condition: choice(CONDITIONS, { ...kitAbout, label: 'Condition', help: 'How it was when last looked at.' }),
  neededBy: reference('setups', { ...kitAbout, label: 'Needed by', help: 'The setup that needs it.' }),
  note: text({ ...kitAbout, label: 'Note', help: 'What the next person must know.' }, 300, true),
  retired: retired(all),
});

/** What can happen to an item. */
export const CUSTODY_EVENTS = [
  'signOut',
  'handOver',
  'takeOver',
  'setDown',
  'return',
  'damage',
  'repair',
  'loss',
] as const;

/** One thing that happened to an item, signed by the person it happened with. */
export const custodyEventSchema = z.strictObject(
  {
    item: shortText(90),
    what: z.enum(CUSTODY_EVENTS, `one of ${CUSTODY_EVENTS.join(', ')}`),
    from: z.exactOptional(shortText(60)),
    to: z.exactOptional(shortText(60)),
    /** The event before it that its author knew of; none for an item's first. */
    after: z.exactOptional(shortText(90)),
    attended: z.exactOptional(z.boolean()),
    condition: z.exactOptional(z.enum(['good', 'worn', 'faulty', 'lost'])),
    remark: z.exactOptional(shortText(300)),
    signedBy: shortText(40),
    at: momentSchema,
  },
  'an event of an item, with nothing else in it',
);

function eventSigner(value: Json): string | null {
  const parsed = z.safeParse(custodyEventSchema, value);
  return parsed.success ? parsed.data.signedBy : null;
}

export const custody = table(
  'Custody',
  [namePart(), namePart(/^[1-9]\d{0,8}$/)],
  {
    event: field(
      custodyEventSchema,
      { kind: 'object' },
      {
        label: 'Event',
        help: 'What happened to an item, from whom to whom, signed.',
        by: all,
        nullable: false,
        papers,
        signedBy: eventSigner,
      },
    ),
  },
  true,
);
