import { sentence } from '../views/apart.ts';
import { inputField, sameSource, sourceText } from './channels.ts';
import { channelOrderCandidates } from './remedies/sound.ts';
import { type Draft, found, type Rule } from './rule.ts';
import type { Channel, LineUpView } from './scopes.ts';
import { listed } from './words.ts';

type LinedUp = LineUpView['recorders'][number];

/** A source, and the channel that it was on before. */
export interface Moved {
  readonly channel: Channel;
  readonly was: number;
}

/** The sources that stand on another channel than on the first setup of the scene. Safety copies follow what they repeat. */
export function movedSources({ channels, first }: LinedUp): Moved[] {
  const lineUp = (first?.channels ?? []).filter(({ open, input }) => open && input.safetyOf === undefined);
  return channels.flatMap((channel): Moved[] => {
    if (!channel.open || channel.input.safetyOf !== undefined) return [];
    const before = lineUp.filter((other) => sameSource(other, channel));
    const [was] = before;
    if (!was || before.some(({ number }) => number === channel.number)) return [];
    return [{ channel, was: was.number }];
  });
}

export const soundChannelOrder: Rule<'lineUp'> = {
  id: 'sound-channel-order',
  title: 'Channel order changed within a scene',
  severity: 'break',
  beforeTake: true,
  department: 'sound',
  scope: 'lineUp',
  row: 'sound',
  reads: ['inputs.source', 'inputs.subject', 'inputs.safetyOf', 'inputs.state', 'setups.scene'],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'A source that stands on another channel than on the first setup of the scene that has this recorder. Sources that come or go are no change of order.',
  why: 'The editor lines up channel by channel: after the change every cut jumps to another microphone until somebody finds out why.',
  check(view) {
    const { setup } = view;
    return found(
      ...view.recorders.flatMap((lined): Draft[] => {
        const moved = movedSources(lined);
        if (moved.length === 0 || lined.first === null) return [];
        const words = moved.map(
          ({ channel, was }) => sentence`${sourceText(channel)} from ${was} to ${channel.number}`,
        );
        const before = new Set(moved.map(({ was }) => was));
        return [
          {
            scope: [setup.id, lined.recorder],
            targets: [
              ...moved.map(({ channel }) => inputField(channel, 'source')),
              ...lined.first.channels
                .filter(({ number }) => before.has(number))
                .map((channel) => inputField(channel, 'source')),
            ],
            message: sentence`Setup ${setup.label}: channels changed since ${lined.first.setup.label}: ${listed(words)}.`,
            measured: {
              value: moved.length,
              unit: 'channel',
              text: `${moved.length} moved`,
            },
            allowed: { value: 0, unit: 'channel', text: sentence`as on ${lined.first.setup.label}` },
          },
        ];
      }),
    );
  },
  candidates: (view, { scope: [, recorder] }) => {
    const lined = view.recorders.find((one) => one.recorder === recorder);
    return lined ? channelOrderCandidates(view.setup, lined.channels, movedSources(lined)) : [];
  },
};
