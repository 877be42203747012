import { sentence } from '../views/apart.ts';
import type { Target } from './finding.ts';
import type { Channel, ChannelsView } from './scopes.ts';

/** A field of a channel. */
export function inputField(channel: Channel, field: string): Target {
  return { table: 'inputs', record: channel.record, field };
}

/** `channel 2`, and of which recorder where the setup has several. */
export function channelText({ recorders }: ChannelsView, { recorder, number }: Channel): string {
  const name = recorders.get(recorder)?.name ?? recorder;
  return recorders.size > 1 ? sentence`channel ${number} of ${name}` : `channel ${number}`;
}

/** What is on a channel, or that nobody said. */
export function sourceText({ input }: Channel): string {
  return input.source?.trim() ?? 'the source';
}

/** The channel that a finding's scope names. */
export function channelOf(view: ChannelsView, [, recorder, number]: readonly string[]): Channel | undefined {
  return view.channels.find((channel) => channel.recorder === recorder && String(channel.number) === number);
}

/** Whether two channels carry the same source: the same words, unless their subjects tell them apart. */
export function sameSource(a: Channel, b: Channel): boolean {
  if (a.sourceKey === null || a.sourceKey !== b.sourceKey) return false;
  return a.subjectKey === null || b.subjectKey === null || a.subjectKey === b.subjectKey;
}
