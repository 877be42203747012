import { namePart } from '@plumbline/replica';
import { choice, moment, number, reference, retired, table, text } from './field.ts';

const by = ['director'] as const;

/** Where a setup stands on the day. */
export const SETUP_STATES = [
  { value: 'planned', label: 'Planned' },
  { value: 'inWork', label: 'In work' },
  { value: 'complete', label: 'Complete' },
  { value: 'dropped', label: 'Dropped' },
] as const;

/** What a setup is worth when the day runs short. */
export const PRIORITIES = [
  { value: 'must', label: 'Must have' },
  { value: 'want', label: 'Wanted' },
  { value: 'spare', label: 'If there is time' },
] as const;

export const setups = table('Setups', [namePart()], {
  scene: reference('scenes', {
    label: 'Scene',
    help: 'The scene it belongs to.',
    by,
    papers: ['continuity', 'takes'],
  }),
  label: text(
    {
      label: 'Setup',
      help: 'What it is called on the slate.',
      by,
      papers: ['camera', 'sound', 'continuity', 'takes'],
    },
    20,
  ),
  description: text(
    {
      label: 'Description',
      help: 'Size, subject and movement, in a few words.',
      by,
      papers: ['camera', 'continuity', 'takes'],
    },
    300,
    true,
  ),
  storyOrder: number(
    { label: 'Story order', help: 'Its place in the finished programme.', by },
    { min: 0, max: 100_000, step: 1 },
  ),
  shootingOrder: number(
    { label: 'Shooting order', help: 'Its place in the day.', by },
    { min: 0, max: 100_000, step: 1 },
  ),
  place: reference('places', {
    label: 'Place',
    help: 'Where it is shot, if not at the scene’s place.',
    by,
  }),
  day: reference('days', { label: 'Day', help: 'The day it is planned for.', by }),
  matchGroup: text(
    {
      label: 'Match group',
      help: 'Setups with the same word here cut together and must agree.',
      by,
      papers: ['continuity'],
    },
    20,
  ),
  reference: reference('setups', {
    label: 'Reference setup',
    help: 'The setup of the group that the others are matched to.',
    by,
    papers: ['continuity'],
  }),
  plannedMinutes: number(
    {
      label: 'Planned',
      help: 'How long it is meant to take, lighting included.',
      unit: 'min',
      by,
      papers: ['progress'],
    },
    { min: 0, max: 1440, step: 5 },
  ),
  priority: choice(PRIORITIES, {
    label: 'Priority',
    help: 'What the day can do without when it runs short; left open it counts as wanted.',
    by,
    papers: ['progress'],
  }),
  takeMinutes: number(
    {
      label: 'Longest take',
      help: 'How long one take may run: what a card and a battery must last for.',
      unit: 'min',
      by,
    },
    { min: 0, max: 1440, step: 1, decimals: 1 },
  ),
  state: choice(SETUP_STATES, { label: 'State', help: 'Where the setup stands.', by, papers: ['progress'] }),
  startedAt: moment({ label: 'Started', help: 'When work on it began.', by, papers: ['progress'] }),
  completedAt: moment({ label: 'Completed', help: 'When it was marked complete.', by, papers: ['progress'] }),
  lights: text(
    {
      label: 'Lights',
      help: 'Which lights are used, and where they stand.',
      by: ['camera'],
      papers: ['camera', 'continuity'],
    },
    500,
    true,
  ),
  lightsK: number(
    {
      label: 'Colour of the lights',
      help: 'The correlated colour temperature of the light that the subject stands in.',
      unit: 'K',
      by: ['camera'],
      papers: ['camera'],
    },
    { min: 1000, max: 25_000, step: 100 },
  ),
  lightsChangedAt: moment({
    label: 'Lights changed',
    help: 'When its lights were last changed; readings and white balance taken before are old.',
    by: ['director', 'camera'],
  }),
  placeChangedAt: moment({
    label: 'Place changed',
    help: 'When it was moved to another place, noted by the base; readings taken before are of the old one.',
    by: [],
  }),
  retired: retired(by),
});
