import { sentence } from '../views/apart.ts';
import { channelOf, channelText, inputField, sourceText } from './channels.ts';
import type { Target } from './finding.ts';
import { phantomCandidates } from './remedies/sound.ts';
import type { Draft, Rule, Verdict } from './rule.ts';
import type { Channel, ChannelsView } from './scopes.ts';

/** What is connected so that power fed to it finds something that was not made for it. */
const KEEP_OFF: ReadonlyMap<string, string> = new Map([
  ['line', 'a line output'],
  ['unbalanced', 'an unbalanced 3.5 mm plug'],
  ['radio', 'a radio receiver'],
  ['digital', 'a digital (AES3) source'],
]);

const POWER_TEXT = { off: 'off', p48: 'P48', p24: 'P24', p12: 'P12' } as const;

function isFed({ input }: Channel): boolean {
  return input.phantom !== undefined && input.phantom !== 'off';
}

/** Judges each open channel. */
function eachOpen(view: ChannelsView, judge: (channel: Channel) => Draft | Target | null): Verdict {
  const results = view.channels.filter(({ open }) => open).map(judge);
  return {
    found: results.filter((result): result is Draft => result !== null && 'message' in result),
    missing: results.filter((result): result is Target => result !== null && 'record' in result),
  };
}

function draftOf(view: ChannelsView, channel: Channel, message: string, allowed: string): Draft {
  const { setup } = view;
  const power = POWER_TEXT[channel.input.phantom ?? 'off'];
  return {
    scope: [setup.id, channel.recorder, String(channel.number)],
    targets: ['phantom', 'needsPhantom', 'connector', 'state'].map((field) => inputField(channel, field)),
    message: sentence`Setup ${setup.label}: ${message}`,
    measured: { value: Number(power.slice(1)) || 0, unit: 'V', text: power },
    allowed: { value: 0, unit: 'V', text: allowed },
  };
}

export const soundPhantomMissing: Rule<'channels'> = {
  id: 'sound-phantom-missing',
  title: 'No phantom power where the source needs it',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.needsPhantom', 'inputs.phantom', 'inputs.state'],
  tolerance: null,
  basis: 'IEC 61938: a condenser microphone works only when fed',
  catches: 'An open channel whose source needs phantom power, with the power off.',
  why: 'The channel is silent, or hisses until the microphone’s last charge is gone.',
  check: (view) =>
    eachOpen(view, (channel) => {
      if (channel.input.needsPhantom !== true || isFed(channel)) return null;
      if (channel.input.phantom === undefined) return inputField(channel, 'phantom');
      const who = sentence`${sourceText(channel)} on ${channelText(view, channel)}`;
      return draftOf(view, channel, sentence`${who} needs phantom power, and it is off.`, 'on');
    }),
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? phantomCandidates(channel, 'p48') : [];
  },
};

export const soundPhantomHarm: Rule<'channels'> = {
  id: 'sound-phantom-harm',
  title: 'Phantom power on what must not have it',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.phantom', 'inputs.connector', 'inputs.state'],
  tolerance: null,
  basis:
    'IEC 61938 feeds balanced microphones; that everything else is kept off it: common practice, no source',
  catches:
    'Phantom power fed to a line output, a radio receiver, an unbalanced plug or a digital source, which can harm it.',
  why: 'The power meets an output that was not built for it: noise at best, a dead receiver at worst.',
  check: (view) =>
    eachOpen(view, (channel) => {
      const what = KEEP_OFF.get(channel.input.connector ?? '');
      if (what === undefined || !isFed(channel)) return null;
      const power = POWER_TEXT[channel.input.phantom ?? 'off'];
      const who = sentence`${sourceText(channel)} on ${channelText(view, channel)}`;
      return draftOf(view, channel, sentence`${power} is fed to ${what}, ${who}, which can harm it.`, 'off');
    }),
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? phantomCandidates(channel, 'off') : [];
  },
};

export const soundPhantomIdle: Rule<'channels'> = {
  id: 'sound-phantom-idle',
  title: 'Phantom power on a source that needs none',
  severity: 'advice',
  beforeTake: false,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.phantom', 'inputs.needsPhantom', 'inputs.connector', 'inputs.state'],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'Phantom power fed to a balanced source that is entered as needing none: a moving-coil microphone stands it, a ribbon with a bad cable does not.',
  why: 'It does nothing but drain batteries, and with a wrong or half-pulled plug it can tear a ribbon.',
  check: (view) =>
    eachOpen(view, (channel) => {
      const { needsPhantom, connector } = channel.input;
      if (needsPhantom !== false || KEEP_OFF.has(connector ?? '') || !isFed(channel)) return null;
      const power = POWER_TEXT[channel.input.phantom ?? 'off'];
      const who = sentence`${sourceText(channel)} on ${channelText(view, channel)}`;
      return draftOf(view, channel, sentence`${who} is fed ${power} and needs none.`, 'off');
    }),
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? phantomCandidates(channel, 'off') : [];
  },
};
