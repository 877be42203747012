import { namePart, recordPart } from '@plumbline/replica';
import { choice, flag, number, reference, retired, table, text } from './field.ts';
import { frameRate } from './kinds.ts';

const by = ['sound'] as const;
const papers = ['sound'] as const;

export const CONNECTORS = [
  { value: 'balanced', label: 'Balanced (XLR)' },
  { value: 'line', label: 'Line' },
  { value: 'unbalanced', label: 'Unbalanced (3.5 mm)' },
  { value: 'radio', label: 'Radio' },
  { value: 'digital', label: 'Digital (AES3)' },
  { value: 'builtIn', label: 'Built in' },
] as const;

/** What the microphone needs on its line, IEC 61938. */
export const PHANTOM = [
  { value: 'off', label: 'Off' },
  { value: 'p48', label: 'P48' },
  { value: 'p24', label: 'P24' },
  { value: 'p12', label: 'P12' },
] as const;

export const INPUT_STATES = [
  { value: 'closed', label: 'Closed' },
  { value: 'open', label: 'Open' },
  { value: 'flagged', label: 'Flagged' },
] as const;

export const recorders = table('Recorders', [namePart(/^[A-Za-z0-9_-]{1,8}$/)], {
  name: text({ label: 'Name', help: 'What the recorder is called on set.', by, papers }),
  channels: number(
    { label: 'Channels', help: 'How many it records.', by, papers },
    { min: 1, max: 64, step: 1, whole: true },
  ),
  sampleRateHz: number(
    { label: 'Sample rate', help: 'What it records at.', unit: 'Hz', by, papers },
    { min: 8000, max: 192_000, step: 100, whole: true },
  ),
  bitDepth: number(
    { label: 'Bit depth', help: 'What it records at.', unit: 'bit', by, papers },
    { min: 16, max: 32, step: 8, whole: true },
  ),
  timecodeRate: frameRate({
    label: 'Timecode rate',
    help: 'The frame rate its timecode counts.',
    unit: 'frames/s',
    by,
    papers,
  }),
  dropFrame: flag({
    label: 'Drop-frame',
    help: 'Whether its timecode skips labels (29.97 and 59.94 only).',
    by,
    papers,
  }),
  powerDrawW: number(
    { label: 'Power draw', help: 'What the recorder takes while recording.', unit: 'W', by },
    { min: 0.1, max: 500, step: 0.5, decimals: 1 },
  ),
  cardSlots: number(
    { label: 'Card slots', help: 'How many cards it records the same on at once; left open, one.', by },
    { min: 1, max: 2, step: 1, whole: true },
  ),
  card: reference('cards', { label: 'Card in', help: 'The card that it records on now.', by }),
  cardB: reference('cards', {
    label: 'Second card in',
    help: 'The card in its second slot, which records the same at the same time.',
    by,
  }),
  battery: reference('batteries', { label: 'Battery on', help: 'The battery that it runs on now.', by }),
  retired: retired(by),
});

export const inputs = table(
  'Inputs',
  [recordPart('setups'), recordPart('recorders'), namePart(/^[1-9]\d?$/)],
  {
    source: text(
      {
        label: 'Source',
        help: 'The microphone or line on this channel.',
        by,
        papers,
        match: { row: 'sound', how: 'equal' },
      },
      40,
    ),
    secondSource: text(
      {
        label: 'Second source',
        help: 'Another source on the same channel: they cannot be told apart afterwards.',
        by,
        papers,
      },
      40,
    ),
    subject: text({ label: 'Subject', help: 'Who or what it hears.', by, papers }, 60),
    connector: choice(CONNECTORS, { label: 'Connector', help: 'How it comes in.', by, papers }),
    phantom: choice(PHANTOM, {
      label: 'Phantom power',
      help: 'What the channel feeds the microphone (IEC 61938).',
      by,
      papers,
    }),
    needsPhantom: flag({ label: 'Needs phantom power', help: 'Whether the source works only when fed.', by }),
    levelDbfs: number(
      { label: 'Level', help: 'Where speech or the source peaks.', unit: 'dBFS', by, papers },
      { min: -96, max: 0, step: 1 },
    ),
    noiseFloorDbfs: number(
      { label: 'Noise floor', help: 'What is left when nobody speaks.', unit: 'dBFS', by, papers },
      { min: -144, max: 0, step: 1 },
    ),
    lowCutHz: number(
      { label: 'Low cut', help: 'Below this the channel is rolled off; 0 is off.', unit: 'Hz', by, papers },
      { min: 0, max: 400, step: 5 },
    ),
    limiter: flag({ label: 'Limiter', help: 'Whether the limiter is on.', by, papers }),
    limiterCatching: flag({ label: 'Limiter catching', help: 'Whether it was seen to act.', by, papers }),
    carrierMHz: number(
      {
        label: 'Carrier',
        help: 'The radio carrier. Whether it may be used here is for the local licence to say.',
        unit: 'MHz',
        by,
        papers,
      },
      { min: 30, max: 7000, step: 0.025, decimals: 3 },
    ),
    safetyOf: number(
      {
        label: 'Safety copy of',
        help: 'The channel whose source it carries again at a lower level.',
        unit: 'channel',
        by,
        papers,
      },
      { min: 1, max: 99, step: 1, whole: true },
    ),
    state: choice(INPUT_STATES, {
      label: 'State',
      help: 'Open channels are recorded; a flagged one has a fault that somebody must mend.',
      by,
      papers,
    }),
    fault: text({ label: 'Fault', help: 'What is wrong with it.', by, papers }, 200),
  },
);
