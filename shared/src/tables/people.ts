import { contestedTable, namePart, type RightQuestion } from '@plumbline/replica';
import * as z from 'zod/mini';
import { DEPARTMENT_CHOICES, signature } from './department.ts';
import {
  choice,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  reference,
  retired,
  table,
  text,
} from './field.ts';

const byBase = [] as const;
const all: readonly Department[] = DEPARTMENTS;

const ROLE_CHOICES = [
  { value: 'director', label: 'Director' },
  { value: 'camera', label: 'Camera' },
  { value: 'sound', label: 'Sound' },
  { value: 'producer', label: 'Producer' },
] as const;

export const people = table('People', [namePart()], {
  name: text({ label: 'Name', help: 'As given when joining.', by: byBase }, 60),
  role: choice(ROLE_CHOICES, { label: 'Role', help: 'What the invite was for.', by: byBase }),
  joinedAt: moment({ label: 'Joined', help: 'When.', by: byBase }),
  leftAt: moment({ label: 'Left', help: 'When the person left for good.', by: byBase }),
});

/** Who is expected on the shoot, before anybody has joined. */
export const crew = table('Crew', [namePart()], {
  name: text({ label: 'Name', help: 'Who is expected.', by: ['director'] }, 60),
  job: text({ label: 'Job', help: 'What the person does on this shoot.', by: ['director'] }, 60),
  role: choice(ROLE_CHOICES, { label: 'Role', help: 'Which tablet the person uses.', by: ['director'] }),
  retired: retired(['director']),
});

const SEVERITIES = [
  { value: 'stop', label: 'Stop' },
  { value: 'mend', label: 'Mend before the next take' },
  { value: 'note', label: 'For the record' },
] as const;

/** A flag is answered by the department it is for. */
function departmentConcerned({ role, record, value }: RightQuestion): string | null {
  return value('flags', record, 'department') === role ? null : 'The department it is about answers it.';
}

export const flags = table('Flags', [namePart()], {
  what: text(
    { label: 'Flag', help: 'What is wrong, in a few words.', by: all, papers: ['continuity', 'progress'] },
    200,
  ),
  about: text({ label: 'About', help: 'The record it is about, as table/record.', by: all }, 120),
  department: choice(DEPARTMENT_CHOICES, {
    label: 'For',
    help: 'The department that should mend it.',
    by: all,
  }),
  severity: choice(SEVERITIES, { label: 'Weight', help: 'Whether the next take can wait for it.', by: all }),
  raisedBy: reference('people', {
    label: 'Raised by',
    help: 'Who saw it.',
    by: all,
    signedBy: signature,
  }),
  raisedAt: moment({ label: 'Raised', help: 'When.', by: all }),
  answer: text(
    { label: 'Answer', help: 'What was done about it.', by: all, restrict: departmentConcerned },
    200,
  ),
  answeredBy: reference('people', {
    label: 'Answered by',
    help: 'Who dealt with it.',
    by: all,
    restrict: departmentConcerned,
    signedBy: signature,
  }),
  answeredAt: moment({ label: 'Answered', help: 'When.', by: all, restrict: departmentConcerned }),
  retired: retired(all),
});

export const accepted = table('Accepted breaks', 'any', {
  acceptedBy: reference('people', {
    label: 'Accepted by',
    help: 'Who let it stand.',
    by: ['director'],
    signedBy: signature,
    papers: ['continuity'],
  }),
  reason: text({ label: 'Reason', help: 'Why it may stand.', by: ['director'], papers: ['continuity'] }, 200),
  values: field(
    () => z.record(z.string(), z.json(), 'values by the fields they stand in'),
    { kind: 'object' },
    { label: 'For these values', help: 'It stands only while these values do.', by: ['director'] },
  ),
  acceptedAt: moment({ label: 'Accepted', help: 'When.', by: ['director'] }),
});

/** The replica's own table of values set unseen by each other, with the words that people read. */
export const contested = table('Contested', contestedTable.id, {
  about: field(
    () => contestedTable.fields.about.schema,
    { kind: 'object' },
    { label: 'Cell', help: 'Where two values were set unseen by each other.', by: byBase },
  ),
  stands: field(
    () => contestedTable.fields.stands.schema,
    { kind: 'object' },
    { label: 'Stands', help: 'The newer value, which stands.', by: byBase },
  ),
  other: field(
    () => contestedTable.fields.other.schema,
    { kind: 'object' },
    { label: 'Other', help: 'The value it replaced unseen.', by: byBase },
  ),
  earlier: field(
    () => contestedTable.fields.earlier.schema,
    { kind: 'object' },
    { label: 'Earlier', help: 'Values replaced unseen before.', by: byBase },
  ),
});
