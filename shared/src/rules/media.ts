import { recordingSeconds } from '@plumbline/craft/media';
import { minutesAtLoad } from '../power/batteries.ts';
import { sentence } from '../views/apart.ts';
import { copiesWords, takesNamed } from './cardStates.ts';
import type { CardIn } from './devices.ts';
import { pictureField } from './facts.ts';
import type { Target } from './finding.ts';
import { batterySwaps, cardSwaps, copiesCandidates } from './remedies/media.ts';
import { AGREES, found, notKnown, type Rule } from './rule.ts';
import type { PictureView } from './scopes.ts';
import { minutesText, plain } from './words.ts';

const BITS_PER_MEGABIT = 1e6;
const BYTES_PER_GB = 1e9;

/** Minutes that one take may run: judged on the setup in work, whose card and battery are those in the camera. */
function wantedMinutes({ setup }: PictureView): number | null {
  const { takeMinutes } = setup.record;
  return setup.state === 'inWork' && takeMinutes !== undefined && takeMinutes > 0 ? takeMinutes : null;
}

function takeField({ setup }: PictureView): Target {
  return { table: 'setups', record: setup.id, field: 'takeMinutes' };
}

function cameraField({ own }: PictureView, field: 'card' | 'cardB' | 'battery' | 'powerDrawW'): Target {
  return { table: 'cameras', record: own.camera, field };
}

/** Bytes that the takes on the card take up, each at the bit rate that it was shot at. */
function usedBytes(view: PictureView, card: CardIn): number {
  return card.takes.reduce((sum, { take }) => {
    const shot = take.view.asShotPicture?.[view.own.camera]?.bitRateMbps;
    const rate = typeof shot === 'number' ? shot : (view.own.picture.bitRateMbps ?? 0);
    return sum + ((take.seconds ?? 0) * rate * BITS_PER_MEGABIT) / 8;
  }, 0);
}

interface CardLeft {
  readonly slot: 'card' | 'cardB';
  readonly card: CardIn;
  /** Minutes. */
  readonly left: number;
}

function minutesLeft(view: PictureView, card: CardIn, capacityGB: number, bitRateMbps: number): number {
  return minutesOf(capacityGB * BYTES_PER_GB - usedBytes(view, card), bitRateMbps);
}

/** The card in the second slot where it ends sooner than the first; otherwise the first. */
function secondLeft(view: PictureView, bitRateMbps: number, first: CardLeft): CardLeft {
  const card = view.secondCard();
  if (card?.card.capacityGB === undefined) return first;
  const left = minutesLeft(view, card, card.card.capacityGB, bitRateMbps);
  return left < first.left ? { slot: 'cardB', card, left } : first;
}

/** Minutes of a card's room at the camera's bit rate. */
export function minutesOf(bytes: number, bitRateMbps: number): number {
  return recordingSeconds(Math.max(0, bytes), bitRateMbps * BITS_PER_MEGABIT) / 60;
}

export const mediaCardShort: Rule<'picture'> = {
  id: 'media-card-short',
  title: 'Card shorter than the planned take',
  severity: 'fault',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: null,
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'cameras.card',
    'cameras.cardB',
    'cards.capacityGB',
    'picture.bitRateMbps',
    'takes.cards',
    'takes.cutAt',
  ],
  tolerance: null,
  basis: 'time = 8 · bytes / bit rate; decimal gigabytes as printed on cards',
  catches:
    'On a setup in work, a card in either slot with less room left at the camera’s bit rate than the longest take may run. The takes on it count at the bit rate that they were shot at.',
  why: 'The card runs out in the middle of the answer.',
  check(view) {
    const wanted = wantedMinutes(view);
    if (wanted === null) return AGREES;
    const { setup, own } = view;
    const card = view.card();
    const { bitRateMbps } = own.picture;
    const capacity = card?.card.capacityGB;
    if (!card || capacity === undefined || bitRateMbps === undefined) {
      return notKnown([
        ...(card ? [] : [cameraField(view, 'card')]),
        ...(card && capacity === undefined
          ? [{ table: 'cards', record: card.id, field: 'capacityGB' } as const]
          : []),
        ...(bitRateMbps === undefined ? [pictureField(own, 'bitRateMbps')] : []),
      ]);
    }
    const first: CardLeft = { slot: 'card', card, left: minutesLeft(view, card, capacity, bitRateMbps) };
    const { slot, card: shorter, left } = secondLeft(view, bitRateMbps, first);
    if (left >= wanted - 1e-9) return AGREES;
    return found({
      scope: [setup.id, own.camera],
      targets: [
        pictureField(own, 'bitRateMbps'),
        takeField(view),
        cameraField(view, slot),
        { table: 'cards', record: shorter.id, field: 'capacityGB' },
      ],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: card ${shorter.card.name ?? shorter.id} holds ${left < 1 ? 'less than a minute' : minutesText(Math.floor(left))} more at ${plain(bitRateMbps)} Mbit/s, a take may run ${minutesText(wanted)}.`,
      measured: { value: left, unit: 'min', text: `${plain(left)} min left` },
      allowed: { value: wanted, unit: 'min', text: `at least ${plain(wanted)} min` },
    });
  },
  candidates: (view) => {
    const wanted = wantedMinutes(view) ?? 0;
    const spare = view.spareCards();
    return [
      ...cardSwaps(view.own, spare, wanted),
      ...(view.secondCard() === null ? [] : cardSwaps(view.own, spare, wanted, 'cardB')),
    ];
  },
};

export const powerBatteryShort: Rule<'picture'> = {
  id: 'power-battery-short',
  title: 'Battery shorter than the planned take',
  severity: 'fault',
  beforeTake: true,
  department: 'camera',
  scope: 'picture',
  row: null,
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'cameras.battery',
    'cameras.powerDrawW',
    'batteries.energyWh',
    'batteries.chargePercent',
  ],
  tolerance: null,
  basis: 'time = energy / power; nine tenths of it usable: common practice, no source',
  catches:
    'On a setup in work, a battery whose charge, when last read, lasts a shorter time at the camera’s draw than the longest take may run.',
  why: 'The camera stops in the take, and a file that was not closed may be lost with it.',
  check(view) {
    const wanted = wantedMinutes(view);
    if (wanted === null) return AGREES;
    const { setup, own } = view;
    const on = view.battery();
    const { powerDrawW } = own.device;
    const { energyWh, chargePercent } = on?.battery ?? {};
    if (!on || energyWh === undefined || chargePercent === undefined || powerDrawW === undefined) {
      const field = (name: string): Target => ({ table: 'batteries', record: on?.id ?? '', field: name });
      return notKnown([
        ...(on ? [] : [cameraField(view, 'battery')]),
        ...(on && energyWh === undefined ? [field('energyWh')] : []),
        ...(on && chargePercent === undefined ? [field('chargePercent')] : []),
        ...(powerDrawW === undefined ? [cameraField(view, 'powerDrawW')] : []),
      ]);
    }
    const left = minutesAtLoad(energyWh, chargePercent, powerDrawW);
    if (left >= wanted - 1e-9) return AGREES;
    const field = (name: string): Target => ({ table: 'batteries', record: on.id, field: name });
    return found({
      scope: [setup.id, own.camera],
      targets: [
        takeField(view),
        cameraField(view, 'battery'),
        cameraField(view, 'powerDrawW'),
        field('energyWh'),
        field('chargePercent'),
      ],
      message: sentence`Setup ${setup.label}, camera ${own.camera}: battery ${on.battery.name ?? on.id} at ${plain(chargePercent)} % lasts about ${minutesText(left)}, a take may run ${minutesText(wanted)}.`,
      measured: { value: left, unit: 'min', text: `about ${plain(left, 0)} min` },
      allowed: { value: wanted, unit: 'min', text: `at least ${plain(wanted)} min` },
    });
  },
  candidates: (view) => batterySwaps(view.own, view.spareBatteries(), wantedMinutes(view) ?? 0),
};

export const mediaCardWiped: Rule<'card'> = {
  id: 'media-card-wiped',
  title: 'A card was prepared before its takes were copied',
  severity: 'fault',
  loudest: true,
  beforeTake: true,
  department: 'camera',
  scope: 'card',
  row: null,
  reads: ['cards.preparedAt', 'cards.copies', 'takes.cards', 'takes.rolledAt', 'shoot.copiesRequired'],
  tolerance: null,
  basis: 'common practice, no source: two verified copies in different places before a card is wiped',
  catches:
    'A card that was prepared while takes on it had fewer verified copies, in different places, than the shoot asks for.',
  why: 'What was on it is gone or going. Record nothing more on that card: as long as it is not written over, somebody may still bring the takes back.',
  check(view) {
    const { lost, card, copiesRequired: required } = view;
    if (lost.length === 0) return AGREES;
    const fewest = Math.min(...lost.map(({ places }) => places.length));
    return found({
      scope: [view.id],
      department: view.department,
      targets: [
        ...lost.map(({ take }): Target => ({ table: 'takes', record: take.record, field: 'cards' })),
        { table: 'cards', record: view.id, field: 'preparedAt' },
        { table: 'cards', record: view.id, field: 'copies' },
      ],
      message: sentence`Card ${card.name ?? view.id} was prepared with ${takesNamed(lost)} on it and ${copiesWords(fewest)}. Record nothing more on it.`,
      measured: { value: fewest, unit: 'copy', text: `${fewest} of ${required} copies` },
      allowed: { value: required, unit: 'copy', text: `${required} verified copies` },
    });
  },
  candidates: (view) => copiesCandidates(view),
};
