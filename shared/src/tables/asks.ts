import { namePart, type RightQuestion, splitId } from '@plumbline/replica';
import * as z from 'zod/mini';
import { DEPARTMENT_CHOICES, signature } from './department.ts';
import {
  choice,
  DEPARTMENTS,
  type Department,
  field,
  moment,
  reference,
  shortText,
  table,
  text,
} from './field.ts';

const all: readonly Department[] = DEPARTMENTS;

/** What came of something that was asked for. */
export const ASK_ANSWERS = [
  { value: 'taken', label: 'Taken' },
  { value: 'declined', label: 'Declined' },
] as const;

/** A value to be set, as it is asked for; `null` clears. */
const changeSchema = z.strictObject(
  { table: shortText(40), record: shortText(250), field: shortText(60), value: z.json() },
  'a change: table, record, field, value',
);

/** An ask's record begins with the person who asks: nobody rewrites another's, or takes it over. */
function ownAsk({ person, record, value }: RightQuestion): string | null {
  if (splitId(record)[0] !== person) return 'Who asked may change what is asked.';
  return value('asks', record, 'answer') == null ? null : 'It was answered, and stays as it was asked.';
}

/** Who asked may take it back, or put the answer away. */
function ownToWithdraw({ person, record }: RightQuestion): string | null {
  return splitId(record)[0] === person ? null : 'Who asked takes it back.';
}

/** An ask is answered by the department that it is asked of, and not by whoever asked. */
function departmentAsked({ role, person, record, value }: RightQuestion): string | null {
  return value('asks', record, 'department') === role && splitId(record)[0] !== person
    ? null
    : 'The department that it is asked of answers it.';
}

const asked = { by: all, restrict: ownAsk };
const answered = { by: all, restrict: departmentAsked };

/** A remedy that somebody would like a department to make: `PERSON.NAME`. */
export const asks = table('Asks', [namePart(), namePart()], {
  finding: text({ ...asked, label: 'Finding', help: 'The id of the finding that it would mend.' }, 250),
  remedy: text({ ...asked, label: 'Remedy', help: 'The id of the remedy among those of the finding.' }, 250),
  changes: field(
    () => z.array(changeSchema, 'a list of changes').check(z.maxLength(100, 'at most 100 of them')),
    { kind: 'object' },
    {
      ...asked,
      label: 'Changes',
      help: 'What would be set; empty where it is done by hand, such as moving a lamp.',
    },
  ),
  values: field(
    () => z.record(z.string(), z.json(), 'values by the fields they stand in'),
    { kind: 'object' },
    { ...asked, label: 'Asked for these values', help: 'It is needed only while these values stand.' },
  ),
  words: text({ ...asked, label: 'Asked', help: 'What is asked for, in words.' }, 300),
  reason: text({ ...asked, label: 'Why', help: 'What the finding said when it was asked.' }, 600),
  department: choice(DEPARTMENT_CHOICES, { ...asked, label: 'Of', help: 'The department that can do it.' }),
  askedBy: reference('people', {
    ...asked,
    label: 'Asked by',
    help: 'Who would like it done.',
    signedBy: signature,
  }),
  askedAt: moment({ ...asked, label: 'Asked at', help: 'When.' }),
  withdrawnAt: moment({
    by: all,
    restrict: ownToWithdraw,
    label: 'Withdrawn',
    help: 'When who asked took it back or, after the answer, put it away.',
  }),
  answer: choice(ASK_ANSWERS, { ...answered, label: 'Answer', help: 'Whether it was done.' }),
  answerWords: text(
    { ...answered, label: 'Answer in words', help: 'Why not, or what was done instead.' },
    120,
  ),
  answeredBy: reference('people', {
    ...answered,
    label: 'Answered by',
    help: 'Who took it or declined it.',
    signedBy: signature,
  }),
  answeredAt: moment({ ...answered, label: 'Answered', help: 'When.' }),
});

/** A change as it stands in an ask. */
export type AskedChange = z.infer<typeof changeSchema>;
