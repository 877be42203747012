import { type RadioGuards, radioConflicts } from '@plumbline/craft/radio';
import { sentence } from '../../views/apart.ts';
import type { Candidate } from '../rule.ts';
import type { Channel, ChannelsView } from '../scopes.ts';

/** Steps that transmitters are tuned in, MHz; how far one is tuned from where it is; least distance between two. Common practice, no source. */
const STEP_MHZ = 0.025;
const REACH_MHZ = 12;
const SPACING_MHZ = 0.3;

/** How many free carriers are offered. */
const MOST = 2;

/** The nearest carriers that no other carrier and no product comes near. */
function freeCarriers(from: number, others: readonly number[], guards: RadioGuards): number[] {
  const free: number[] = [];
  for (let step = 1; step * STEP_MHZ <= REACH_MHZ && free.length < MOST; step += 1) {
    for (const sign of [1, -1]) {
      const at = Number((from + sign * step * STEP_MHZ).toFixed(3));
      if (at <= 0 || others.some((other) => Math.abs(other - at) < SPACING_MHZ)) continue;
      if (radioConflicts([...others, at], guards).length === 0) free.push(at);
      if (free.length === MOST) break;
    }
  }
  return free;
}

/** A transmitter tuned to a carrier that is free of the others and of all products. */
export function carrierCandidates(
  view: ChannelsView,
  channel: Channel,
  carriers: readonly { readonly carrierMHz: number; readonly channel: Channel }[],
  guards: RadioGuards,
): Candidate[] {
  const { carrierMHz } = channel.input;
  if (carrierMHz === undefined) return [];
  const sharing = view.channels.filter(
    ({ open, input, record }) => open && record !== channel.record && input.carrierMHz === carrierMHz,
  );
  const others = carriers.map((one) => one.carrierMHz);
  const rest = sharing.length > 0 ? others : others.filter((other) => other !== carrierMHz);
  return freeCarriers(carrierMHz, rest, guards).map((free, index) => ({
    id: `${channel.recorder}-${channel.number}-carrier:${free}`,
    label: sentence`${channel.input.source ?? `Channel ${channel.number}`}: ${carrierMHz} → ${free} MHz, if the licence allows it`,
    changes: [{ table: 'inputs', record: channel.record, field: 'carrierMHz', value: free }],
    says: [{ what: 'sound', text: 'transmitter and receiver are tuned together, and listened to' }],
    trouble: 0.2 + 0.05 * index,
  }));
}
