import { SHOOT } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import { channelOf, channelText, inputField, sourceText } from './channels.ts';
import type { Target } from './finding.ts';
import { levelCandidates, limiterCandidates } from './remedies/sound.ts';
import { type Draft, found, type Rule } from './rule.ts';
import { plain } from './words.ts';

const ALIGNMENT: Target = { table: 'shoot', record: SHOOT, field: 'alignmentDbfs' };

/** `−18 dBFS` */
function dbfsText(level: number): string {
  return `${level < 0 ? '−' : ''}${plain(Math.abs(level))} dBFS`;
}

export const soundLevel: Rule<'channels'> = {
  id: 'sound-level',
  title: 'Level too far from the alignment level',
  severity: 'advice',
  beforeTake: false,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: [
    'inputs.levelDbfs',
    'inputs.safetyOf',
    'inputs.state',
    'shoot.alignmentDbfs',
    'shoot.aboveAlignmentDb',
    'shoot.belowAlignmentDb',
  ],
  tolerance: 'aboveAlignmentDb',
  basis:
    'EBU R 68: programme peaks up to 9 dB above the alignment level; the lower bound (20 dB, a field of its own): common practice, no source',
  catches:
    'An open channel whose peaks stand above the permitted maximum, or so far below the alignment level that they must be lifted. A safety copy is meant to be low.',
  why: 'Above, a laugh or a shout clips and nothing brings it back; far below, the mixer lifts the noise with the voice.',
  check(view) {
    const { setup, shoot } = view;
    const open = view.channels.filter((channel) => channel.open && channel.input.source !== undefined);
    if (open.length === 0) return found();
    const { alignmentDbfs } = shoot;
    const missing = open
      .filter(({ input }) => input.levelDbfs === undefined)
      .map((channel) => inputField(channel, 'levelDbfs'));
    if (alignmentDbfs === undefined) return { found: [], missing: [...missing, ALIGNMENT] };
    const most = alignmentDbfs + view.tolerance('aboveAlignmentDb');
    const least = alignmentDbfs - view.tolerance('belowAlignmentDb');
    const drafts = open.flatMap((channel): Draft[] => {
      const { levelDbfs, safetyOf } = channel.input;
      if (levelDbfs === undefined) return [];
      const high = levelDbfs > most;
      const low = levelDbfs < least && safetyOf === undefined;
      if (!high && !low) return [];
      const bound = high ? most : least;
      return [
        {
          scope: [setup.id, channel.recorder, String(channel.number)],
          targets: [inputField(channel, 'levelDbfs'), inputField(channel, 'safetyOf'), ALIGNMENT],
          message: sentence`Setup ${setup.label}: ${sourceText(channel)} on ${channelText(view, channel)} peaks at ${dbfsText(levelDbfs)}, ${high ? 'above' : 'below'} ${dbfsText(bound)}.`,
          measured: { value: levelDbfs, unit: 'dBFS', text: dbfsText(levelDbfs) },
          allowed: {
            value: bound,
            unit: 'dBFS',
            text: `${high ? 'at most' : 'at least'} ${dbfsText(bound)}`,
          },
        },
      ];
    });
    return { ...found(...drafts), missing };
  },
  candidates: (view, { scope, allowed }) => {
    const channel = channelOf(view, scope);
    return channel ? levelCandidates(channel, view.shoot.alignmentDbfs ?? allowed.value) : [];
  },
};

export const soundLimiter: Rule<'channels'> = {
  id: 'sound-limiter',
  title: 'Limiter catching',
  severity: 'advice',
  beforeTake: false,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.limiterCatching', 'inputs.state'],
  tolerance: null,
  basis: 'common practice, no source',
  catches: 'An open channel whose limiter was seen to act.',
  why: 'A limiter is there for the one shout. Where it acts in ordinary speech it pumps the room behind every word, and that is in the recording for good.',
  check(view) {
    return found(
      ...view.channels
        .filter(({ open, input }) => open && input.limiterCatching === true)
        .map(
          (channel): Draft => ({
            scope: [view.setup.id, channel.recorder, String(channel.number)],
            targets: [inputField(channel, 'limiterCatching'), inputField(channel, 'levelDbfs')],
            message: sentence`Setup ${view.setup.label}: the limiter catches ${sourceText(channel)} on ${channelText(view, channel)}.`,
            measured: { value: 1, unit: 'channel', text: 'catching' },
            allowed: { value: 0, unit: 'channel', text: 'at rest' },
          }),
        ),
    );
  },
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? limiterCandidates(channel) : [];
  },
};
