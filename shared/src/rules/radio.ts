import { type RadioConflict, type RadioGuards, radioConflicts } from '@plumbline/craft/radio';
import { sentence } from '../views/apart.ts';
import { channelOf, channelText, inputField, sameSource, sourceText } from './channels.ts';
import { carrierCandidates } from './remedies/radio.ts';
import { type Draft, found, type Rule } from './rule.ts';
import type { Channel, ChannelsView } from './scopes.ts';
import { listed } from './words.ts';

/** A transmitter that is on the air: a carrier and the first of the channels that it comes in on. */
export interface OnAir {
  readonly carrierMHz: number;
  readonly channel: Channel;
}

function rootOf({ input, number }: Channel): number {
  return input.safetyOf ?? number;
}

/** Whether two channels of one carrier are fed by one receiver. */
function sameReceiver(a: Channel, b: Channel): boolean {
  return a.recorder === b.recorder ? rootOf(a) === rootOf(b) || sameSource(a, b) : sameSource(a, b);
}

/** The open channels that come in by radio. */
function radioChannels(view: ChannelsView): (Channel & { readonly carrierMHz: number })[] {
  return view.channels.flatMap((channel) => {
    const { carrierMHz } = channel.input;
    return channel.open && carrierMHz !== undefined ? [{ ...channel, carrierMHz }] : [];
  });
}

const HZ_PER_MHZ = 1_000_000;

/** The carriers on the air, each once, in the order of their channels. */
export function onAir(view: ChannelsView): OnAir[] {
  const seen = new Map<number, OnAir>();
  for (const channel of radioChannels(view)) {
    const hertz = Math.round(channel.carrierMHz * HZ_PER_MHZ);
    if (!seen.has(hertz)) seen.set(hertz, { carrierMHz: channel.carrierMHz, channel });
  }
  return [...seen.values()];
}

/** How near products may come, for a tolerance of 2A − B. */
export function guardsOf(view: ChannelsView) {
  const two = view.tolerance('carrierSpacingKHz') / 1000;
  return { thirdTwoMHz: two, thirdThreeMHz: two / 2, fifthMHz: two / 2 };
}

/** `606.5 MHz` */
function megahertzText(megahertz: number): string {
  return `${Number(megahertz.toFixed(4))} MHz`;
}

/** `2 · 610.25 − 606.5`, with each carrier counted once. */
function productText(carriers: readonly OnAir[], { product }: RadioConflict): string {
  const side = (indices: readonly number[]) =>
    [...new Set(indices)]
      .map((index) => {
        const times = indices.filter((other) => other === index).length;
        const megahertz = Number((carriers[index]?.carrierMHz ?? 0).toFixed(4));
        return times === 1 ? `${megahertz}` : `${times} · ${megahertz}`;
      })
      .join(' + ');
  return `${side(product.plus)} − ${side(product.minus)}`;
}

const CARRIER_BASIS =
  'intermodulation of transmitters (textbooks of radio coordination); the spacing: common practice, no source';

export const soundCarrierTwice: Rule<'channels'> = {
  id: 'sound-carrier-twice',
  title: 'Two transmitters on one carrier',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.carrierMHz', 'inputs.source', 'inputs.subject', 'inputs.safetyOf', 'inputs.state'],
  tolerance: null,
  basis: 'common practice, no source',
  catches:
    'Two open channels with the same carrier and different sources. One receiver on two channels, as a safety copy, is one transmitter.',
  why: 'The receivers take whichever is stronger: voices jump from one to the other, or both turn to noise.',
  check(view) {
    const channels = radioChannels(view);
    const drafts: Draft[] = [];
    for (const [index, later] of channels.entries()) {
      const earlier = channels
        .slice(0, index)
        .find(
          (other) =>
            Math.round((other.carrierMHz - later.carrierMHz) * HZ_PER_MHZ) === 0 &&
            !sameReceiver(other, later),
        );
      if (!earlier) continue;
      const mhz = megahertzText(later.carrierMHz);
      drafts.push({
        scope: [view.setup.id, later.recorder, String(later.number)],
        targets: [later, earlier].flatMap((channel) =>
          ['carrierMHz', 'source', 'state'].map((field) => inputField(channel, field)),
        ),
        message: sentence`Setup ${view.setup.label}: ${sourceText(later)} on ${channelText(view, later)} has the carrier of ${sourceText(earlier)}, ${mhz}.`,
        measured: { value: later.carrierMHz, unit: 'MHz', text: mhz },
        allowed: { value: 1, unit: 'transmitter', text: 'one transmitter on a carrier' },
      });
    }
    return found(...drafts);
  },
  candidates: (view, { scope }) => {
    const channel = channelOf(view, scope);
    return channel ? carrierCandidates(view, channel, onAir(view), guardsOf(view)) : [];
  },
};

export const soundCarrierProducts: Rule<'channels'> = {
  id: 'sound-carrier-products',
  title: 'Radio products fall on a carrier',
  severity: 'advice',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: 'sound',
  reads: ['inputs.carrierMHz', 'inputs.connector', 'inputs.source', 'inputs.state'],
  tolerance: 'carrierSpacingKHz',
  basis: CARRIER_BASIS,
  catches:
    'Products 2A − B of the open carriers of a setup nearer to one of them than the spacing, A + B − C and 3A − 2B nearer than half of it. Only carriers on the board are known: whose frequencies they are is for the local licence to say.',
  why: 'Transmitters close together mix, and what they make lands in another receiver as whistles and drop-outs that come and go as people walk.',
  check(view) {
    const carriers = onAir(view);
    const missing = view.channels
      .filter(({ open, input }) => open && input.connector === 'radio' && input.carrierMHz === undefined)
      .map((channel) => inputField(channel, 'carrierMHz'));
    if (carriers.length < 2) return { found: [], missing };
    const hits = conflictsOf(carriers, guardsOf(view));
    if (hits.length === 0) return { found: [], missing };
    const nearest = Math.min(...hits.map(({ offsetMHz }) => Math.abs(offsetMHz))) * 1000;
    const words = hits.slice(0, 3).map((hit) => {
      const on = carriers[hit.carrier];
      const name = on ? sentence`${sourceText(on.channel)} (${megahertzText(on.carrierMHz)})` : '';
      return `${productText(carriers, hit)} MHz falls on ${name}`;
    });
    const spacing = view.tolerance('carrierSpacingKHz');
    return {
      found: [
        {
          scope: [view.setup.id],
          targets: carriers.map(({ channel }) => inputField(channel, 'carrierMHz')),
          message: sentence`Setup ${view.setup.label}: ${listed(hits.length > 3 ? [...words, `${hits.length - 3} more`] : words)}.`,
          measured: { value: nearest, unit: 'kHz', text: `${Number(nearest.toFixed(1))} kHz away` },
          allowed: {
            value: spacing,
            unit: 'kHz',
            text: `more than ${spacing} kHz away, half of it for the weaker kinds`,
          },
        },
      ],
      missing,
    };
  },
  candidates: (view) => {
    const carriers = onAir(view);
    const hit = new Set(conflictsOf(carriers, guardsOf(view)).map(({ carrier }) => carrier));
    // Moving a carrier that makes a product may break it as well; those that are hit come first.
    const inOrder = [
      ...carriers.filter((_, index) => hit.has(index)),
      ...carriers.filter((_, index) => !hit.has(index)),
    ];
    return inOrder.flatMap(({ channel }) => carrierCandidates(view, channel, carriers, guardsOf(view)));
  },
};

/** Products that come near a carrier that has no part in them: a carrier is on the air by itself anyway. */
function conflictsOf(carriers: readonly OnAir[], guards: RadioGuards): RadioConflict[] {
  const conflicts = radioConflicts(
    carriers.map(({ carrierMHz }) => carrierMHz),
    guards,
  );
  return conflicts.filter(({ carrier, product }) => !product.minus.includes(carrier));
}
