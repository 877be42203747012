import { sentence } from '../views/apart.ts';
import { channelOf, channelText, inputField, sameSource } from './channels.ts';
import type { Target } from './finding.ts';
import { doubledSourceCandidates, flaggedCandidates, twoSourcesCandidates } from './remedies/sound.ts';
import { AGREES, type Draft, found, type Rule } from './rule.ts';
import type { Channel, ChannelsView } from './scopes.ts';
import { listed } from './words.ts';

function scopeOf({ setup }: ChannelsView, { recorder, number }: Channel): string[] {
  return [setup.id, recorder, String(number)];
}

export const soundTwoSources: Rule<'channels'> = {
  id: 'sound-two-sources',
  title: 'Two sources on one channel',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.source', 'inputs.secondSource', 'inputs.state'],
  tolerance: null,
  basis: 'common practice, no source',
  catches: 'A channel that is recorded with two sources on it. A closed channel is let be.',
  why: 'What is summed at the recorder cannot be taken apart again: one bad source spoils the other for good.',
  check(view) {
    return found(
      ...view.channels.flatMap((channel): Draft[] => {
        const { source, secondSource } = channel.input;
        if (!channel.open || source === undefined || secondSource === undefined) return [];
        return [
          {
            scope: scopeOf(view, channel),
            targets: [
              inputField(channel, 'secondSource'),
              inputField(channel, 'source'),
              inputField(channel, 'state'),
            ],
            message: sentence`Setup ${view.setup.label}: two sources on ${channelText(view, channel)}, ${source} and ${secondSource}; they cannot be told apart afterwards.`,
            measured: { value: 2, unit: 'source', text: sentence`${source} and ${secondSource}` },
            allowed: { value: 1, unit: 'source', text: 'one source' },
          },
        ];
      }),
    );
  },
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? twoSourcesCandidates(view, channel) : [];
  },
};

/** The channel that a channel repeats, or itself. */
function rootOf({ input, number }: Channel): number {
  return input.safetyOf ?? number;
}

export const soundDoubledSource: Rule<'channels'> = {
  id: 'sound-doubled-source',
  title: 'One source on two channels that is not a safety copy',
  severity: 'advice',
  beforeTake: false,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.source', 'inputs.subject', 'inputs.safetyOf', 'inputs.state'],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'The same source named on two open channels of one recorder, with no word that one is the safety copy of the other. The same kind of microphone on two subjects is two sources.',
  why: 'Either something was patched twice and something else is missing, or the mixer will not know which of the two to use.',
  check(view) {
    const drafts: Draft[] = [];
    const open = view.channels.filter((channel) => channel.open);
    for (const [index, later] of open.entries()) {
      const earlier = open
        .slice(0, index)
        .find(
          (other) =>
            other.recorder === later.recorder && rootOf(other) !== rootOf(later) && sameSource(other, later),
        );
      if (!earlier) continue;
      const source = (earlier.input.source ?? '').trim();
      drafts.push({
        scope: [...scopeOf(view, earlier), String(later.number)],
        targets: [earlier, later].flatMap((channel) =>
          ['source', 'subject', 'safetyOf', 'state'].map((field) => inputField(channel, field)),
        ),
        message: sentence`Setup ${view.setup.label}: ${source} is on ${channelText(view, earlier)} and on ${channelText(view, later)}, and neither is marked as the safety copy.`,
        measured: { value: 2, unit: 'channel', text: `channels ${earlier.number} and ${later.number}` },
        allowed: { value: 1, unit: 'channel', text: 'one channel, or a safety copy' },
      });
    }
    return found(...drafts);
  },
  candidates: (view, { scope: [setup = '', recorder = '', first = '', second = ''] }) => {
    const earlier = channelOf(view, [setup, recorder, first]);
    const later = channelOf(view, [setup, recorder, second]);
    return earlier && later ? doubledSourceCandidates(earlier, later) : [];
  },
};

export const soundFlaggedOpen: Rule<'channels'> = {
  id: 'sound-flagged-open',
  title: 'A flagged channel is still open',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: [
    'inputs.state',
    'inputs.fault',
    'inputs.source',
    'flags.about',
    'flags.severity',
    'flags.answer',
    'takes.rolledAt',
    'takes.cutAt',
    'setups.state',
  ],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'An open channel that is flagged, has a fault noted, or has an unanswered flag about it, before rolling and while a take rolls. A completed setup is let be until somebody rolls again.',
  why: 'A fault that somebody heard and nobody mended is recorded into every take that follows.',
  check(view) {
    const { setup, rolling } = view;
    if (setup.state === 'complete' && rolling === null) return AGREES;
    return found(
      ...view.channels.flatMap((channel): Draft[] => {
        const { state, fault, source } = channel.input;
        const flagged = state === 'flagged' || fault !== undefined || channel.flags.length > 0;
        if (state === 'closed' || !flagged) return [];
        const reasons = [...(fault === undefined ? [] : [fault]), ...channel.flags.map(({ what }) => what)];
        const name = `${channelText(view, channel)}${source === undefined ? '' : sentence` (${source})`}`;
        const said = reasons.length === 0 ? '' : `: ${listed(reasons)}`;
        const todo = rolling === null ? 'mend or close it before rolling' : `take ${rolling} is rolling`;
        return [
          {
            scope: scopeOf(view, channel),
            targets: [
              inputField(channel, 'state'),
              inputField(channel, 'fault'),
              ...channel.flags.map(({ id }): Target => ({ table: 'flags', record: id, field: 'what' })),
            ],
            message: sentence`Setup ${setup.label}: ${name} is flagged${said}; ${todo}.`,
            measured: { value: 1, unit: 'flagged channel', text: `channel ${channel.number} flagged` },
            allowed: { value: 0, unit: 'flagged channel', text: 'none open' },
          },
        ];
      }),
    );
  },
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? flaggedCandidates(channel) : [];
  },
};
