import { joinId } from '@plumbline/replica';
import type { ShootTableName } from '../../tables/index.ts';
import { sentence } from '../../views/apart.ts';
import type { Change } from '../finding.ts';
import type { Candidate } from '../rule.ts';
import type { Channel, ChannelsView } from '../scopes.ts';
import { kilohertzText } from '../words.ts';

function set(record: string, field: string, value: Change['value']): Change {
  return { table: 'inputs', record, field, value };
}

/** The lowest channels of a recorder that have no source on this setup. */
function freeChannels({ channels, recorders }: ChannelsView, recorder: string, most: number): number[] {
  const taken = new Set(
    channels
      .filter(
        (channel) =>
          channel.recorder === recorder &&
          (channel.input.source !== undefined ||
            channel.input.secondSource !== undefined ||
            channel.input.state === 'flagged' ||
            channel.input.fault !== undefined ||
            channel.flags.length > 0),
      )
      .map(({ number }) => number),
  );
  const count = recorders.get(recorder)?.channels ?? 0;
  const all = Array.from({ length: Math.floor(count) }, (_, index) => index + 1);
  return all.filter((number) => !taken.has(number)).slice(0, most);
}

/** The second source on a free channel of its own or, failing that, left out. */
export function twoSourcesCandidates(view: ChannelsView, channel: Channel): Candidate[] {
  const { source, secondSource } = channel.input;
  if (source === undefined || secondSource === undefined) return [];
  const { record, recorder, number } = channel;
  const moves = freeChannels(view, recorder, 2).map((free): Candidate => {
    const to = joinId(view.setup.id, recorder, free);
    return {
      id: `move:${free}`,
      label: sentence`${secondSource}: channel ${number} → ${free}`,
      changes: [set(record, 'secondSource', null), set(to, 'source', secondSource), set(to, 'state', 'open')],
      trouble: 0.05 * free,
    };
  });
  return [
    ...moves,
    {
      id: 'leaveOutSecond',
      label: sentence`Take ${secondSource} off channel ${number}`,
      changes: [set(record, 'secondSource', null)],
      says: [{ what: 'sound', text: sentence`${secondSource} is not recorded` }],
      trouble: 2,
    },
  ];
}

/** One of the two marked as the other's safety copy, or closed. */
export function doubledSourceCandidates(earlier: Channel, later: Channel): Candidate[] {
  const source = later.input.source ?? 'It';
  return [
    {
      id: 'safety',
      label: `Channel ${later.number} is the safety copy of channel ${earlier.number}`,
      changes: [set(later.record, 'safetyOf', earlier.input.safetyOf ?? earlier.number)],
      says: [{ what: 'sound', text: `channel ${later.number} should run some dB lower to be of use` }],
    },
    {
      id: 'close',
      label: `Close channel ${later.number}`,
      changes: [set(later.record, 'state', 'closed')],
      says: [{ what: 'sound', text: sentence`${source} is recorded on channel ${earlier.number} alone` }],
      trouble: 0.5,
    },
  ];
}

/** The channel closed; or the fault mended, which only an ear can tell. */
export function flaggedCandidates({ record, number, input }: Channel): Candidate[] {
  const name = input.source ?? `channel ${number}`;
  return [
    {
      id: 'mended',
      label: `Mended and listened to: channel ${number} is in order`,
      changes: [
        set(record, 'state', 'open'),
        ...(input.fault === undefined ? [] : [set(record, 'fault', null)]),
      ],
    },
    {
      id: 'close',
      label: `Close channel ${number}`,
      changes: [set(record, 'state', 'closed')],
      says: [{ what: 'sound', text: sentence`${name} is not recorded` }],
      trouble: 1,
    },
  ];
}

/** The sample rate that all have agreed on. */
export function sampleRateCandidate(table: ShootTableName, record: string, hertz: number): Candidate {
  return {
    id: `sampleRateHz:${hertz}`,
    label: `${kilohertzText(hertz)}`,
    changes: [{ table, record, field: 'sampleRateHz', value: hertz }],
  };
}

/** Phantom power switched. */
export function phantomCandidates({ record, number }: Channel, power: 'p48' | 'off'): Candidate[] {
  return [
    {
      id: `phantom:${power}`,
      label: power === 'off' ? `Phantom power off on channel ${number}` : `P48 on channel ${number}`,
      changes: [set(record, 'phantom', power)],
      says: [{ what: 'sound', text: 'channel muted and headphones off while it is switched' }],
    },
  ];
}

/** Asks for the gain to be turned so that the source peaks at the alignment level. Nothing is written: the level is read again. */
export function levelCandidates({ record, number, input }: Channel, toDbfs: number): Candidate[] {
  const { levelDbfs } = input;
  if (levelDbfs === undefined) return [];
  const change = Number((toDbfs - levelDbfs).toFixed(1));
  return [
    {
      id: 'gain',
      label: `Turn channel ${number} ${change > 0 ? 'up' : 'down'} by ${Math.abs(change)} dB, and read the peaks again`,
      changes: [],
      supposes: [set(record, 'levelDbfs', toDbfs)],
      says: [
        {
          what: 'sound',
          text: `noise ${change > 0 ? 'rises' : 'falls'} with it; headphones down first`,
        },
      ],
      trouble: 0.1,
    },
  ];
}

/** The level brought down until the limiter rests. */
export function limiterCandidates({ record, number }: Channel): Candidate[] {
  return [
    {
      id: 'rests',
      label: `Turned down and listened to: the limiter of channel ${number} rests`,
      changes: [set(record, 'limiterCatching', false)],
    },
  ];
}

/** Everything about a channel goes with its source. */
const CHANNEL_FIELDS = [
  'source',
  'secondSource',
  'subject',
  'connector',
  'phantom',
  'needsPhantom',
  'levelDbfs',
  'noiseFloorDbfs',
  'lowCutHz',
  'limiter',
  'limiterCatching',
  'carrierMHz',
  'safetyOf',
  'state',
  'fault',
] as const satisfies readonly (keyof Channel['input'])[];

/** Sources put back on the channels that they had, where those are free or are left by another of them. */
export function channelOrderCandidates(
  setup: { readonly id: string },
  channels: readonly Channel[],
  moved: readonly { readonly channel: Channel; readonly was: number }[],
): Candidate[] {
  const [recorder] = channels.map((channel) => channel.recorder);
  const to = new Map(moved.map(({ channel, was }) => [channel.number, was]));
  const wanted = new Set(to.values());
  const isFree = (number: number): boolean =>
    to.has(number) ||
    !channels.some(({ number: other, input }) => other === number && input.source !== undefined);
  if (recorder === undefined || wanted.size !== to.size || ![...wanted].every(isFree)) return [];
  const changes = [...new Set([...wanted, ...to.keys()])].flatMap((number) => {
    const from = moved.find(({ was }) => was === number)?.channel.input;
    return CHANNEL_FIELDS.map((field) => {
      const value = from?.[field];
      const follows = field === 'safetyOf' && typeof value === 'number' ? (to.get(value) ?? value) : value;
      return set(joinId(setup.id, recorder, number), field, follows ?? null);
    });
  });
  const copies = channels.flatMap(({ record, number, input }) => {
    const follows = input.safetyOf === undefined ? undefined : to.get(input.safetyOf);
    return follows === undefined || to.has(number) ? [] : [set(record, 'safetyOf', follows)];
  });
  return [
    {
      id: 'order',
      label: `Back: ${moved.map(({ channel, was }) => sentence`${channel.input.source ?? ''} to ${was}`).join(', ')}`,
      changes: [...changes, ...copies],
      says: [{ what: 'sound', text: 'cables are patched with it' }],
    },
  ];
}
