import { namePart } from '@plumbline/replica';
import { departmentPart, ownDepartment } from './department.ts';
import {
  choice,
  DEPARTMENTS,
  type Department,
  flag,
  moment,
  number,
  reference,
  table,
  text,
} from './field.ts';

const all: readonly Department[] = DEPARTMENTS;
const checkAbout = { by: all, restrict: ownDepartment(1) };

/** A check of a setup, or of a day (its date in the setup's place): `setup.department.check`. */
export const checks = table('Checks', [namePart(), departmentPart, namePart()], {
  title: text({ ...checkAbout, label: 'Check', help: 'What is looked at.' }, 120),
  doneBy: reference('people', {
    ...checkAbout,
    label: 'Done by',
    help: 'Who looked.',
    signedBy: (value) => (typeof value === 'string' ? value : null),
  }),
  doneAt: moment({ ...checkAbout, label: 'Done', help: 'When.' }),
  remark: text({ ...checkAbout, label: 'Remark', help: 'What was found.' }, 300),
});

/** When a line of the routine is gone through. */
export const ROUTINE_TIMES = [
  { value: 'beforeDay', label: 'Before the day' },
  { value: 'setup', label: 'At each setup' },
  { value: 'wrap', label: 'At wrap' },
] as const;

/** What the board can see by itself, and tick. */
export const COMPUTED_CHECKS = [
  { value: 'cardsReady', label: 'A card that is free for every camera and recorder' },
  { value: 'cardIn', label: 'A card in every camera and recorder, with room for the take' },
  { value: 'takesCopied', label: 'Every take on its verified copies' },
  { value: 'cardsCleared', label: 'Every card that was recorded on cleared for preparing' },
  { value: 'batteriesCharged', label: 'All batteries charged' },
  { value: 'batteryOn', label: 'A battery on every camera and recorder, good for the take' },
  { value: 'allByHand', label: 'No automatic function left on' },
  { value: 'channelsOpen', label: 'Every channel with its source, none flagged' },
  { value: 'flagsAnswered', label: 'No flag open' },
  { value: 'roomTone', label: 'Room tone of every place with sound' },
  { value: 'takesJudged', label: 'Every take judged' },
  { value: 'kitBack', label: 'All kit signed back in' },
] as const;

const lineAbout = { by: all, restrict: ownDepartment(0) };

/**
 * A line of the routine, `department.line`. A line whose name is one of the usual ones says what is different about
 * it on this shoot; others are added.
 */
export const routine = table('Routine', [departmentPart, namePart()], {
  title: text({ ...lineAbout, label: 'Line', help: 'What is looked at, in a few words.' }, 120),
  when: choice(ROUTINE_TIMES, { ...lineAbout, label: 'When', help: 'When it is gone through.' }),
  order: number(
    { ...lineAbout, label: 'Order', help: 'Its place among the lines of that time.' },
    { min: 0, max: 10_000, step: 1 },
  ),
  computedBy: choice(COMPUTED_CHECKS, {
    ...lineAbout,
    label: 'Seen by the board',
    help: 'What the board can see by itself; left open, somebody looks and ticks.',
  }),
  retired: flag({ ...lineAbout, label: 'Retired', help: 'Not gone through on this shoot.' }),
});
