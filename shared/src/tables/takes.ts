import { namePart, recordPart } from '@plumbline/replica';
import * as z from 'zod/mini';
import { choice, field, flag, moment, reference, shortText, table, text, words } from './field.ts';
import { timecodeLabel } from './kinds.ts';

const all = ['director', 'camera', 'sound'] as const;
const onTakes = ['takes', 'camera', 'sound', 'continuity'] as const;
const byBase = [] as const;

export const VERDICTS = [
  { value: 'good', label: 'Good' },
  { value: 'keep', label: 'Keep' },
  { value: 'no', label: 'No good' },
] as const;

export const SOUND_STATES = [
  { value: 'good', label: 'Good' },
  { value: 'usable', label: 'Usable' },
  { value: 'bad', label: 'Bad' },
  { value: 'mute', label: 'Shot mute' },
] as const;

/** A finding as it stood when the take was shot; with `accepted` the director had let it stand. */
const findingAsShotSchema = z.strictObject(
  {
    id: shortText(250),
    rule: shortText(40),
    severity: z.enum(['fault', 'break', 'advice'], 'fault, break or advice'),
    message: z.exactOptional(shortText(2000)),
    accepted: z.exactOptional(
      z.strictObject({ by: shortText(40), reason: shortText(200) }, 'who accepted it: by, reason'),
    ),
  },
  'a finding: id, rule, severity, message, accepted',
);

/** Settings by camera or by channel: names of fields to their values as they were. */
export const asShotSchema = z.record(z.string(), z.record(z.string(), z.json()));

export const takes = table('Takes', [recordPart('setups'), namePart(/^[1-9]\d{0,3}$/)], {
  rolledAt: moment({
    label: 'Rolled',
    help: 'When it began, on the base’s clock.',
    by: all,
    papers: onTakes,
  }),
  rolledBy: reference('people', {
    label: 'Rolled by',
    help: 'Who pressed roll.',
    by: all,
    signedBy: (value) => (typeof value === 'string' ? value : null),
  }),
  cutAt: moment({ label: 'Cut', help: 'When it ended, on the base’s clock.', by: all, papers: onTakes }),
  cutBy: reference('people', {
    label: 'Cut by',
    help: 'Who pressed cut.',
    by: all,
    signedBy: (value) => (typeof value === 'string' ? value : null),
  }),
  rolledAnyway: text(
    {
      label: 'Rolled anyway',
      help: 'Why it was rolled though something stood against it, in a few words.',
      by: all,
      papers: ['takes', 'continuity'],
    },
    60,
  ),
  cards: words(
    {
      label: 'Cards',
      help: 'The cards it was recorded on.',
      by: ['camera', 'sound'],
      papers: ['takes', 'cards', 'camera', 'sound'],
    },
    8,
    40,
    { table: 'cards' },
  ),
  clip: text(
    { label: 'Clip', help: 'What the camera called the file.', by: ['camera'], papers: onTakes },
    60,
  ),
  verdict: choice(VERDICTS, {
    label: 'Verdict',
    help: 'What the director thinks of it.',
    by: ['director'],
    papers: onTakes,
  }),
  directorNote: text(
    { label: 'Director’s note', help: 'Why.', by: ['director'], papers: ['takes', 'continuity'] },
    300,
    true,
  ),
  pictureNote: text(
    {
      label: 'Picture note',
      help: 'What happened in the picture.',
      by: ['camera'],
      papers: ['takes', 'camera', 'continuity'],
    },
    300,
    true,
  ),
  soundState: choice(SOUND_STATES, {
    label: 'Sound',
    help: 'How it sounded.',
    by: ['sound'],
    papers: ['takes', 'sound'],
  }),
  soundNote: text(
    { label: 'Sound note', help: 'What was heard.', by: ['sound'], papers: ['takes', 'sound'] },
    300,
    true,
  ),
  timecodeIn: timecodeLabel({
    label: 'Timecode in',
    help: 'The first frame’s label.',
    by: ['camera', 'sound'],
    papers: onTakes,
  }),
  timecodeOut: timecodeLabel({
    label: 'Timecode out',
    help: 'The label of the frame after the last.',
    by: ['camera', 'sound'],
    papers: onTakes,
  }),
  cardsIn: field(
    () => z.record(z.string(), z.string(), 'cards by the device they were in'),
    { kind: 'object' },
    {
      label: 'Cards as shot',
      help: 'Which card was in which camera and recorder when it was rolled, noted by the base.',
      by: byBase,
      papers: ['takes', 'cards', 'camera', 'sound'],
    },
  ),
  asShotPicture: field(
    () => asShotSchema,
    { kind: 'object' },
    {
      label: 'Picture as shot',
      help: 'Each camera’s settings as they were, copied by the base.',
      by: byBase,
      papers: ['takes', 'camera', 'continuity'],
    },
  ),
  asShotInputs: field(
    () => asShotSchema,
    { kind: 'object' },
    {
      label: 'Sound as shot',
      help: 'Each channel’s settings as they were, copied by the base.',
      by: byBase,
      papers: ['takes', 'sound'],
    },
  ),
  findingsAsShot: field(
    () => z.array(findingAsShotSchema, 'a list of findings').check(z.maxLength(60, 'at most 60 of them')),
    { kind: 'object' },
    {
      label: 'Findings as shot',
      help: 'What stood against it when it was shot, noted by the base.',
      by: byBase,
      papers: ['takes', 'continuity'],
    },
  ),
  changedWhileRolling: words(
    {
      label: 'Changed while rolling',
      help: 'Settings that were not the same at the cut as at the roll.',
      by: byBase,
      papers: ['takes', 'camera', 'sound', 'continuity'],
    },
    100,
    100,
  ),
  retired: flag({
    label: 'Not a take',
    help: 'Rolled by mistake: it stays in the history and leaves the lists.',
    by: all,
  }),
});
