import { recordingBytes, recordingSeconds } from '@plumbline/craft/media';
import { drainFromReadings, minutesAtLoad } from '../power/batteries.ts';
import type { ShootRecord } from '../tables/index.ts';
import { sentence } from '../views/apart.ts';
import type { BatteryOn, CardIn } from './devices.ts';
import type { Target } from './finding.ts';
import { readAgainCandidate, recorderBatterySwaps, recorderCardSwaps } from './remedies/recorderPower.ts';
import { AGREES, type Draft, found, notKnown, type Rule, type Verdict } from './rule.ts';
import type { Channel, ChannelsView } from './scopeViews.ts';
import type { SetupSummary } from './setup.ts';
import { minutesText, plain } from './words.ts';

const BYTES_PER_GB = 1e9;
const MS_PER_MINUTE = 60_000;
const MINUTES_PER_HOUR = 60;

/** Minutes that one take may run: judged on the setup in work, whose cards and batteries are those in the devices. */
function wantedMinutes(setup: SetupSummary): number | null {
  const { takeMinutes } = setup.record;
  return setup.state === 'inWork' && takeMinutes !== undefined && takeMinutes > 0 ? takeMinutes : null;
}

function takeField({ id }: SetupSummary): Target {
  return { table: 'setups', record: id, field: 'takeMinutes' };
}

function batteryField(id: string, field: string): Target {
  return { table: 'batteries', record: id, field };
}

function recorderField(recorder: string, field: string): Target {
  return { table: 'recorders', record: recorder, field };
}

/** The recorders that record something on the setup, with how many channels they do. */
function recording({ channels, recorders }: ChannelsView): {
  readonly recorder: string;
  readonly device: ShootRecord<'recorders'>;
  readonly open: readonly Channel[];
}[] {
  return [...recorders].flatMap(([recorder, device]) => {
    const open = channels.filter((channel) => channel.recorder === recorder && channel.open);
    return open.length === 0 ? [] : [{ recorder, device, open }];
  });
}

/** Judges each recorder of a setup on its own. */
function eachRecorder(
  view: ChannelsView,
  judge: (of: ReturnType<typeof recording>[number], wanted: number) => Verdict,
): Verdict {
  const wanted = wantedMinutes(view.setup);
  if (wanted === null) return AGREES;
  const verdicts = recording(view).map((of) => judge(of, wanted));
  return {
    found: verdicts.flatMap((verdict) => verdict.found),
    missing: verdicts.flatMap((verdict) => verdict.missing),
  };
}

/** Bits in a second of PCM, as it is written into a wave file. */
function bitsPerSecond(channels: number, sampleRateHz: number, bitDepth: number): number {
  return channels * sampleRateHz * bitDepth;
}

/** Bytes that the takes on a card take up, each with the channels that it was shot with. */
function usedBytes({ takes }: CardIn, recorder: string, channels: number, bitsPerChannel: number): number {
  return takes.reduce((sum, { take }) => {
    const shot = Object.keys(take.view.asShotInputs ?? {}).filter((name) => name.startsWith(`${recorder}.`));
    const count = shot.length > 0 ? shot.length : channels;
    return sum + recordingBytes(take.seconds ?? 0, count * bitsPerChannel);
  }, 0);
}

export const mediaRecorderCardShort: Rule<'channels'> = {
  id: 'media-recorder-card-short',
  title: 'Recorder’s card shorter than the planned take',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: null,
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'recorders.card',
    'recorders.sampleRateHz',
    'recorders.bitDepth',
    'cards.capacityGB',
    'inputs.state',
    'inputs.source',
    'takes.cards',
    'takes.cutAt',
  ],
  tolerance: null,
  basis: 'bytes = time · channels · sample rate · bits / 8, PCM as in a wave file; decimal gigabytes',
  catches:
    'On a setup in work, a card in the recorder with less room for the open channels than the longest take may run. The takes on it count with the channels that they were shot with.',
  why: 'The sound stops in the middle of the answer, and nobody hears it before the take is over.',
  check(view) {
    return eachRecorder(view, ({ recorder, device, open }, wanted) => {
      const card = view.cardIn(recorder);
      const { sampleRateHz, bitDepth } = device;
      const capacity = card?.card.capacityGB;
      if (!card || capacity === undefined || sampleRateHz === undefined || bitDepth === undefined) {
        return notKnown([
          ...(card ? [] : [recorderField(recorder, 'card')]),
          ...(card && capacity === undefined
            ? [{ table: 'cards', record: card.id, field: 'capacityGB' } as const]
            : []),
          ...(sampleRateHz === undefined ? [recorderField(recorder, 'sampleRateHz')] : []),
          ...(bitDepth === undefined ? [recorderField(recorder, 'bitDepth')] : []),
        ]);
      }
      const perChannel = bitsPerSecond(1, sampleRateHz, bitDepth);
      const free = Math.max(0, capacity * BYTES_PER_GB - usedBytes(card, recorder, open.length, perChannel));
      const left = recordingSeconds(free, open.length * perChannel) / 60;
      if (left >= wanted - 1e-9) return AGREES;
      return found({
        scope: [view.setup.id, recorder],
        targets: [
          recorderField(recorder, 'card'),
          takeField(view.setup),
          { table: 'cards', record: card.id, field: 'capacityGB' },
          recorderField(recorder, 'sampleRateHz'),
          recorderField(recorder, 'bitDepth'),
          ...open.map(({ record }): Target => ({ table: 'inputs', record, field: 'state' })),
        ],
        message: sentence`Setup ${view.setup.label}, recorder ${device.name ?? recorder}: card ${card.card.name ?? card.id} holds ${left < 1 ? 'less than a minute' : minutesText(Math.floor(left))} more of ${open.length} ${open.length === 1 ? 'channel' : 'channels'}, a take may run ${minutesText(wanted)}.`,
        measured: { value: left, unit: 'min', text: `${plain(left)} min left` },
        allowed: { value: wanted, unit: 'min', text: `at least ${plain(wanted)} min` },
      });
    });
  },
  candidates: (view, { scope: [, recorder = ''] }) => recorderCardSwaps(recorder, view.spareCards()),
};

export const powerRecorderShort: Rule<'channels'> = {
  id: 'power-recorder-short',
  title: 'Recorder’s battery shorter than the planned take',
  severity: 'fault',
  beforeTake: true,
  department: 'sound',
  scope: 'channels',
  row: null,
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'recorders.battery',
    'recorders.powerDrawW',
    'batteries.energyWh',
    'batteries.chargePercent',
    'inputs.state',
    'inputs.source',
  ],
  tolerance: null,
  basis: 'time = energy / power; nine tenths of it usable: common practice, no source',
  catches:
    'On a setup in work, a battery whose charge, when last read, lasts a shorter time at the recorder’s draw than the longest take may run.',
  why: 'The recorder stops in the take, and a file that was not closed may be lost with it.',
  check(view) {
    return eachRecorder(view, ({ recorder, device }, wanted) => {
      const on = view.batteryOn(recorder);
      const { powerDrawW } = device;
      const { energyWh, chargePercent } = on?.battery ?? {};
      if (!on || energyWh === undefined || chargePercent === undefined || powerDrawW === undefined) {
        return notKnown([
          ...(on ? [] : [recorderField(recorder, 'battery')]),
          ...(on && energyWh === undefined ? [batteryField(on.id, 'energyWh')] : []),
          ...(on && chargePercent === undefined ? [batteryField(on.id, 'chargePercent')] : []),
          ...(powerDrawW === undefined ? [recorderField(recorder, 'powerDrawW')] : []),
        ]);
      }
      const left = minutesAtLoad(energyWh, chargePercent, powerDrawW);
      if (left >= wanted - 1e-9) return AGREES;
      return found({
        scope: [view.setup.id, recorder],
        targets: [
          takeField(view.setup),
          recorderField(recorder, 'battery'),
          recorderField(recorder, 'powerDrawW'),
          batteryField(on.id, 'energyWh'),
          batteryField(on.id, 'chargePercent'),
        ],
        message: sentence`Setup ${view.setup.label}, recorder ${device.name ?? recorder}: battery ${on.battery.name ?? on.id} at ${plain(chargePercent)} % lasts about ${minutesText(left)}, a take may run ${minutesText(wanted)}.`,
        measured: { value: left, unit: 'min', text: `about ${plain(left, 0)} min` },
        allowed: { value: wanted, unit: 'min', text: `at least ${plain(wanted)} min` },
      });
    });
  },
  candidates: (view, { scope: [, recorder = ''] }) => recorderBatterySwaps(recorder, view.spareBatteries()),
};

/** What a battery has left by a moment, had its device run on it since it was read. */
function drained(
  { id, battery }: BatteryOn,
  drawW: number | undefined,
  by: number | null,
  wanted: number,
): {
  readonly left: number;
  readonly percent: number;
  readonly minutes: number;
  readonly targets: Target[];
} | null {
  const { energyWh, chargePercent, checkedAt, readings = [], onChargeSince } = battery;
  if (energyWh === undefined || chargePercent === undefined || checkedAt === undefined) return null;
  if (by === null || by <= checkedAt || onChargeSince !== undefined) return null;
  const loadW = drainFromReadings(energyWh, readings) ?? drawW;
  if (loadW === undefined) return null;
  // A charge that was too little when it was read is a fault of its own, and told as such.
  if (minutesAtLoad(energyWh, chargePercent, drawW ?? loadW) < wanted - 1e-9) return null;
  const minutes = (by - checkedAt) / MS_PER_MINUTE;
  const percent = Math.max(0, chargePercent - ((loadW * minutes) / MINUTES_PER_HOUR / energyWh) * 100);
  const left = minutesAtLoad(energyWh, percent, loadW);
  if (left >= wanted - 1e-9) return null;
  return {
    left,
    percent,
    minutes,
    targets: [batteryField(id, 'chargePercent'), batteryField(id, 'checkedAt'), batteryField(id, 'energyWh')],
  };
}

/** The moment by which a reading is used up: the last roll or, before it, the start of work. No clock is asked. */
function usedBy(view: {
  readonly setup: SetupSummary;
  readonly lastRoll: () => number | null;
}): number | null {
  return view.lastRoll() ?? view.setup.record.startedAt ?? null;
}

const DRAINED = {
  severity: 'advice',
  beforeTake: true,
  row: null,
  tolerance: null,
  basis: 'energy = power · time; that the device ran since the reading: common practice, no source',
  catches:
    'On a setup in work, a battery that was enough when it was read, and no longer is if its device has run on it since, by the last roll.',
  why: 'A charge that was read in the morning is not there at noon. Reading it again takes ten seconds.',
} as const;

function drainedDraft(
  whose: string,
  scope: readonly string[],
  on: BatteryOn,
  gone: NonNullable<ReturnType<typeof drained>>,
  targets: readonly Target[],
  wanted: number,
): Draft {
  const { battery, id } = on;
  return {
    scope,
    targets: [...gone.targets, ...targets],
    message: sentence`${whose}: battery ${battery.name ?? id} was read at ${plain(battery.chargePercent ?? 0)} % ${minutesText(gone.minutes)} before; by now about ${plain(gone.percent, 0)} %, good for about ${minutesText(gone.left)}, a take may run ${minutesText(wanted)}.`,
    measured: { value: gone.left, unit: 'min', text: `about ${plain(gone.left, 0)} min` },
    allowed: { value: wanted, unit: 'min', text: `at least ${plain(wanted)} min` },
  };
}

export const powerCameraDrained: Rule<'picture'> = {
  ...DRAINED,
  id: 'power-camera-drained',
  title: 'Camera’s battery drained since it was read',
  department: 'camera',
  scope: 'picture',
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'setups.startedAt',
    'takes.rolledAt',
    'cameras.battery',
    'cameras.powerDrawW',
    'batteries.energyWh',
    'batteries.chargePercent',
    'batteries.checkedAt',
    'batteries.readings',
    'batteries.onChargeSince',
  ],
  check(view) {
    const { setup, own } = view;
    const wanted = wantedMinutes(setup);
    const on = wanted === null ? null : view.battery();
    // That the battery or its charge is not known is told where the charge itself is judged.
    if (wanted === null || !on || on.battery.chargePercent === undefined) return AGREES;
    if (on.battery.checkedAt === undefined) return notKnown([batteryField(on.id, 'checkedAt')]);
    const gone = drained(on, own.device.powerDrawW, usedBy(view), wanted);
    if (!gone) return AGREES;
    const whose = sentence`Setup ${setup.label}, camera ${own.camera}`;
    const camera: Target = { table: 'cameras', record: own.camera, field: 'battery' };
    return found(drainedDraft(whose, [setup.id, own.camera], on, gone, [camera, takeField(setup)], wanted));
  },
  candidates: (view) => readAgainCandidate(view.battery(), usedBy(view)),
};

export const powerRecorderDrained: Rule<'channels'> = {
  ...DRAINED,
  id: 'power-recorder-drained',
  title: 'Recorder’s battery drained since it was read',
  department: 'sound',
  scope: 'channels',
  reads: [
    'setups.state',
    'setups.takeMinutes',
    'setups.startedAt',
    'takes.rolledAt',
    'recorders.battery',
    'recorders.powerDrawW',
    'batteries.energyWh',
    'batteries.chargePercent',
    'batteries.checkedAt',
    'batteries.readings',
    'batteries.onChargeSince',
    'inputs.state',
    'inputs.source',
  ],
  check(view) {
    return eachRecorder(view, ({ recorder, device }, wanted) => {
      const on = view.batteryOn(recorder);
      if (!on || on.battery.chargePercent === undefined) return AGREES;
      if (on.battery.checkedAt === undefined) return notKnown([batteryField(on.id, 'checkedAt')]);
      const gone = drained(on, device.powerDrawW, usedBy(view), wanted);
      if (!gone) return AGREES;
      const whose = sentence`Setup ${view.setup.label}, recorder ${device.name ?? recorder}`;
      const targets = [recorderField(recorder, 'battery'), takeField(view.setup)];
      return found(drainedDraft(whose, [view.setup.id, recorder], on, gone, targets, wanted));
    });
  },
  candidates: (view, { scope: [, recorder = ''] }) =>
    readAgainCandidate(view.batteryOn(recorder), usedBy(view)),
};
