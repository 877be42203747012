import { type Json, namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import { departmentPart, ownDepartment } from './department.ts';
import {
  type About,
  choice,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  momentSchema,
  number,
  reference,
  retired,
  type ShootField,
  shortText,
  table,
  text,
  words,
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

/** Whose an item is, for the list of what goes back. */
export const OWNERSHIPS = [
  { value: 'own', label: 'Own' },
  { value: 'hired', label: 'Hired' },
  { value: 'lent', label: 'Lent to us' },
] as const;

/** What is looked at before an item leaves and when it comes back. Common practice, no source. */
export const CHECK_POINTS = ['body', 'glass', 'mount', 'cables', 'caps', 'cleaning'] as const;

export type CheckPoint = (typeof CHECK_POINTS)[number];

const setupId = z
  .string('the id of one of setups')
  .check(z.regex(/^[A-Za-z0-9_-]{1,40}$/, 'the id of one of setups'));

/** The setups that need an item. Boards once held one setup here by itself, which still reads. */
function setupsNeeding(about: About): ShootField<string | string[]> {
  const several = () => z.array(setupId, 'a list of setups').check(z.maxLength(40, 'at most 40 setups'));
  const make = () => z.union([setupId, several()], 'setups by their ids, at most 40');
  return field<string | string[]>(make, { kind: 'list', of: 'text', table: 'setups' }, about);
}

/** A calendar day, `2027-05-16`. */
function calendarDay(about: About): ShootField<string> {
  const sentence = 'a date such as 2027-05-16';
  const isDay = (value: string): boolean => {
    const day = new Date(`${value}T00:00:00Z`);
    return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(value);
  };
  const make = () =>
    z.string(sentence).check(z.regex(/^\d{4}-\d{2}-\d{2}$/, sentence), z.refine(isDay, sentence));
  return field(make, { kind: 'text', maxLength: 10, multiline: false }, about);
}

export const kit = table('Kit', [departmentPart, namePart()], {
  name: text({ ...kitAbout, label: 'Item', help: 'What it is.' }, 80),
  kind: text({ ...kitAbout, label: 'Kind', help: 'Lens, light, stand, microphone, cable, …' }, 40),
  serial: text({ ...kitAbout, label: 'Serial', help: 'The number on it.' }, 40),
  value: number(
    { ...kitAbout, label: 'Value', help: 'For the insurance, in the currency of the shoot.' },
    { min: 0, max: 10_000_000, step: 1, decimals: 2 },
  ),
  owner: text({ ...kitAbout, label: 'Owner', help: 'Whose it is: own or hired from whom.' }, 60),
  ownership: choice(OWNERSHIPS, {
    ...kitAbout,
    label: 'Own or hired',
    help: 'Hired and lent things go back to their owner.',
  }),
  dueBack: calendarDay({
    ...kitAbout,
    label: 'Due back',
    help: 'The day by which its owner has it back, as 2027-05-16.',
  }),
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
  neededBy: setupsNeeding({ ...kitAbout, label: 'Needed by', help: 'The setups that need it.' }),
  camera: reference('cameras', {
    ...kitAbout,
    label: 'Camera',
    help: 'For a body: which camera of the shoot it is, so that the board knows who is with it.',
  }),
  checkPoints: words(
    {
      ...kitAbout,
      label: 'Looked at',
      help: 'What is looked at before it leaves and when it comes back; left open, what its kind suggests.',
    },
    6,
    20,
    { options: CHECK_POINTS },
  ),
  note: text({ ...kitAbout, label: 'Note', help: 'What the next person must know.' }, 300, true),
  retired: retired(all),
});

/** What can happen to an item. `settle` ends a fork: it says who has the item and names the branches that it ends. */
export const CUSTODY_EVENTS = [
  'signOut',
  'handOver',
  'takeOver',
  'setDown',
  'return',
  'damage',
  'repair',
  'loss',
  'settle',
] as const;

const eventId = shortText(90);
const pointsSchema = z
  .array(z.enum(CHECK_POINTS, `one of ${CHECK_POINTS.join(', ')}`), 'a list of what was looked at')
  .check(z.maxLength(6, 'at most 6 of them'));

/** One thing that happened to an item, signed by the person it happened with. */
export const custodyEventSchema = z.strictObject(
  {
    item: shortText(90),
    what: z.enum(CUSTODY_EVENTS, `one of ${CUSTODY_EVENTS.join(', ')}`),
    /** Who had it, as far as the author knew. */
    from: z.exactOptional(shortText(60)),
    /** Who has it now; of a hand-over, to whom it is offered. */
    to: z.exactOptional(shortText(60)),
    /** The event before it that its author knew of; none for an item's first. */
    after: z.exactOptional(eventId),
    /** Of a settling: the last events of the other branches, which end here. */
    alsoAfter: z.exactOptional(
      z.array(eventId, 'a list of events').check(z.maxLength(12, 'at most 12 events')),
    ),
    attended: z.exactOptional(z.boolean()),
    /** Of a return: it went back to its owner and not into its case. */
    toOwner: z.exactOptional(z.boolean()),
    /** Where it was set down or put away. */
    where: z.exactOptional(shortText(60)),
    /** What was looked at and found in order. */
    looked: z.exactOptional(pointsSchema),
    /** What was looked at and found at fault. */
    atFault: z.exactOptional(pointsSchema),
    condition: z.exactOptional(z.enum(['good', 'worn', 'faulty', 'lost'])),
    remark: z.exactOptional(shortText(300)),
    signedBy: shortText(40),
    at: momentSchema,
  },
  'an event of an item, with nothing else in it',
);

export type CustodyEvent = z.infer<typeof custodyEventSchema>;

const signedSchema = z.object({ signedBy: shortText(40) });

/** Who signs, even where the rest is no event: then it is the event that is named as wrong, and not the signature. */
function eventSigner(value: Json): string | null {
  const parsed = z.safeParse(signedSchema, value);
  return parsed.success ? parsed.data.signedBy : null;
}

export const custody = table(
  'Custody',
  [namePart(), namePart(/^[1-9]\d{0,8}$/)],
  {
    event: field(
      () => custodyEventSchema,
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
