import { joinId, splitId } from '@plumbline/replica';
import {
  type CardStanding,
  cardStandings,
  type Device,
  isFree,
  isOnSetup,
  minutesAt,
  rateOn,
  roomOn,
} from '../cards/index.ts';
import { batteryStandings, CHARGED_PERCENT, poweredDevices } from '../power/index.ts';
import type { Department, ShootReader } from '../tables/index.ts';
import { apart, sentence } from '../views/apart.ts';
import { picturesOf } from '../views/picture.ts';
import { openFlags } from '../views/progress.ts';
import { placeOfSetup } from '../views/setups.ts';
import { channelsOf } from '../views/sound.ts';
import { allTakes } from '../views/takes.ts';
import { placesOfDay, setupsOfDay } from './day.ts';
import type { ComputedCheck } from './usual.ts';

/** What a check is made for: a setup, or a day (`undefined` where no day is planned: the whole shoot). */
export interface CheckedFor {
  readonly department: Department;
  readonly setup: string | null;
  readonly day: string | undefined;
  /** The base's clock, ms. */
  readonly now: number;
}

/** What the board sees: whether it is so, and why, in a sentence. `null`: too little is entered to say. */
export interface Seen {
  readonly ok: boolean | null;
  readonly why: string;
}

type Look = (reader: ShootReader, of: CheckedFor) => Seen;

const yes = (why: string): Seen => ({ ok: true, why });
const no = (why: string): Seen => ({ ok: false, why });
const unknown = (why: string): Seen => ({ ok: null, why });

const MOST_NAMED = 4;

/** The first few of some names, and how many more. */
export function named(names: readonly string[]): string {
  const shown = names.slice(0, MOST_NAMED).map(apart);
  const more = names.length - shown.length;
  return more > 0 ? `${shown.join(', ')} and ${more} more` : shown.join(', ');
}

/** The devices of a department; on a setup, those that shoot it. */
function devicesOf(reader: ShootReader, { department, setup }: CheckedFor): Device[] {
  const table = department === 'sound' ? 'recorders' : 'cameras';
  return poweredDevices(reader)
    .filter((device) => device.table === table)
    .map(({ id }) => ({ table, id }) as const)
    .filter((device) => setup === null || isOnSetup(reader, device, setup));
}

const nameOf = (reader: ShootReader, { table, id }: Device): string => reader.value(table, id, 'name') ?? id;

function cardsOf(reader: ShootReader, { department }: CheckedFor): CardStanding[] {
  return cardStandings(reader).filter((card) => card.department === department);
}

function minutesText(minutes: number): string {
  const whole = Math.floor(minutes);
  return whole < 90
    ? `${whole} min`
    : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, '0')} min`;
}

const LOOKS: Readonly<Record<ComputedCheck, Look>> = {
  cardsReady(reader, of) {
    const devices = devicesOf(reader, of);
    const cards = cardsOf(reader, of);
    if (devices.length === 0) return unknown('No camera or recorder is entered.');
    const spare = cards.filter(isFree);
    const fresh = cards.filter(
      ({ device, takes, state }) => device !== null && takes.length === 0 && state !== 'full',
    );
    const ready = [...fresh, ...spare].map(({ name }) => name);
    return ready.length >= devices.length
      ? yes(sentence`Free: ${named(ready)}.`)
      : no(
          `${ready.length} free for ${devices.length}${ready.length > 0 ? sentence`: ${named(ready)}` : ''}.`,
        );
  },

  cardIn(reader, of) {
    const cards = cardStandings(reader);
    const devices = devicesOf(reader, of);
    if (devices.length === 0) return unknown('No camera or recorder is entered.');
    const wanted = of.setup === null ? undefined : reader.value('setups', of.setup, 'takeMinutes');
    const said: string[] = [];
    let isUnknown = false;
    for (const device of devices) {
      const name = nameOf(reader, device);
      const card = cards.find((one) => one.device?.table === device.table && one.device.id === device.id);
      if (!card) return no(sentence`No card is entered in ${name}.`);
      const rate = of.setup === null ? null : rateOn(reader, device, of.setup);
      const room = roomOn(reader, card);
      if (room === null || rate === null) {
        isUnknown = true;
        said.push(sentence`${name}: ${card.name}, room not known`);
        continue;
      }
      const left = minutesAt(room.leftBytes, rate);
      if (wanted !== undefined && left < wanted) {
        return no(
          sentence`${name}: ${card.name} has ${minutesText(left)} left, a take may run ${minutesText(wanted)}.`,
        );
      }
      said.push(sentence`${name}: ${card.name}, ${minutesText(left)} left`);
    }
    return isUnknown ? unknown(`${said.join('; ')}.`) : yes(`${said.join('; ')}.`);
  },

  takesCopied(reader, of) {
    const cards = cardsOf(reader, of);
    const lacking = cards.filter((card) => card.lacking.length > 0);
    if (lacking.length > 0) {
      const takes = lacking.reduce((sum, card) => sum + card.lacking.length, 0);
      return no(
        sentence`${takes} ${takes === 1 ? 'take lacks' : 'takes lack'} copies: ${named(lacking.map(({ name }) => name))}.`,
      );
    }
    const takes = cards.reduce((sum, card) => sum + card.takes.length, 0);
    return takes === 0
      ? yes('No card holds a take.')
      : yes(`All ${takes} takes on cards are on their copies.`);
  },

  cardsCleared(reader, of) {
    const used = cardsOf(reader, of).filter(({ takes }) => takes.length > 0);
    const open = used.filter(({ state }) => state !== 'cleared');
    if (open.length > 0) return no(sentence`Not cleared: ${named(open.map(({ name }) => name))}.`);
    return used.length === 0
      ? yes('No card holds a take.')
      : yes(sentence`Cleared: ${named(used.map(({ name }) => name))}.`);
  },

  batteriesCharged(reader, of) {
    const mine = batteryStandings(reader, of.now).filter(({ department }) => department === of.department);
    if (mine.length === 0) return unknown('No battery is entered.');
    const unread = mine.filter(({ percent }) => percent === null);
    const low = mine.filter(({ percent }) => percent !== null && percent < CHARGED_PERCENT);
    if (low.length > 0) {
      return no(
        `Not full: ${named(low.map(({ name, percent }) => sentence`${name} at ${Math.round(percent ?? 0)} %`))}.`,
      );
    }
    return unread.length > 0
      ? unknown(sentence`Not read: ${named(unread.map(({ name }) => name))}.`)
      : yes(`All ${mine.length} at ${CHARGED_PERCENT} % or more when last read.`);
  },

  batteryOn(reader, of) {
    const devices = devicesOf(reader, of);
    const batteries = batteryStandings(reader, of.now);
    const wanted = of.setup === null ? undefined : reader.value('setups', of.setup, 'takeMinutes');
    if (devices.length === 0) return unknown('No camera or recorder is entered.');
    const said: string[] = [];
    let isUnknown = false;
    for (const device of devices) {
      const name = nameOf(reader, device);
      const on = batteries.find((one) => one.device?.table === device.table && one.device.id === device.id);
      if (!on) return no(sentence`No battery is entered on ${name}.`);
      if (on.minutesLeft === null) {
        isUnknown = true;
        said.push(sentence`${name}: ${on.name}, time not known`);
        continue;
      }
      if (wanted !== undefined && on.minutesLeft < wanted) {
        return no(
          sentence`${name}: ${on.name} lasts about ${minutesText(on.minutesLeft)}, a take may run ${minutesText(wanted)}.`,
        );
      }
      said.push(sentence`${name}: ${on.name}, about ${minutesText(on.minutesLeft)}`);
    }
    return isUnknown ? unknown(`${said.join('; ')}.`) : yes(`${said.join('; ')}.`);
  },

  allByHand(reader, { setup }) {
    const pictures = setup === null ? [] : picturesOf(reader, setup);
    if (pictures.length === 0) return unknown('No camera is set for it yet.');
    const open = pictures.filter(({ view }) => view.autoFunctions === undefined);
    const on = pictures.filter(({ view }) => (view.autoFunctions ?? []).length > 0);
    if (on.length > 0) {
      return no(
        `On: ${named(on.map(({ camera, view }) => `${camera} ${(view.autoFunctions ?? []).join(', ')}`))}.`,
      );
    }
    return open.length > 0
      ? unknown(sentence`Not entered for ${named(open.map(({ camera }) => camera))}.`)
      : yes('Everything by hand, as entered.');
  },

  channelsOpen(reader, { setup }) {
    const channels = setup === null ? [] : channelsOf(reader, setup);
    if (channels.length === 0) return unknown('No channel is entered for it.');
    const flagged = channels.filter(({ view }) => view.state === 'flagged');
    if (flagged.length > 0)
      return no(sentence`Flagged: channel ${named(flagged.map(({ channel }) => String(channel)))}.`);
    const bare = channels.filter(({ open, view }) => open && view.source === undefined);
    return bare.length > 0
      ? no(sentence`No source: channel ${named(bare.map(({ channel }) => String(channel)))}.`)
      : yes(`${channels.filter(({ open }) => open).length} open, each with its source.`);
  },

  flagsAnswered(reader) {
    const open = openFlags(reader).map((flag) => reader.value('flags', flag, 'what') ?? flag);
    return open.length === 0 ? yes('No flag is open.') : no(sentence`Open: ${named(open)}.`);
  },

  roomTone(reader, { day }) {
    const setups = setupsOfDay(reader, day).filter((setup) => channelsOf(reader, setup).length > 0);
    const withSound = new Set(setups.flatMap((setup) => placeOfSetup(reader, setup) ?? []));
    const places = placesOfDay(reader, day).filter((place) => withSound.has(place));
    if (places.length === 0) return unknown('No place with sound is planned.');
    const open = places.filter((place) => reader.value('places', place, 'roomToneAt') === undefined);
    const names = (list: readonly string[]) =>
      named(list.map((id) => reader.value('places', id, 'name') ?? id));
    return open.length > 0
      ? no(sentence`None yet: ${names(open)}.`)
      : yes(sentence`Recorded: ${names(places)}.`);
  },

  takesJudged(reader, { day }) {
    const setups = new Set(setupsOfDay(reader, day));
    const takes = allTakes(reader).filter(({ setup, state }) => state === 'cut' && setups.has(setup));
    const open = takes.filter(({ view }) => view.verdict === undefined);
    if (takes.length === 0) return yes('No take was shot.');
    const label = (record: string): string => {
      const [setup = '', number] = splitId(record);
      return sentence`${reader.value('setups', setup, 'label') ?? setup} take ${number ?? ''}`;
    };
    return open.length > 0
      ? no(sentence`Not judged: ${named(open.map(({ record }) => label(record)))}.`)
      : yes(`All ${takes.length} judged.`);
  },

  kitBack(reader, { department }) {
    const last = new Map<string, { what: string; at: number }>();
    for (const record of reader.records('custody')) {
      const { event } = reader.view('custody', record);
      if (!event || splitId(event.item)[0] !== department) continue;
      const before = last.get(event.item);
      if (before === undefined || event.at >= before.at) last.set(event.item, event);
    }
    if (last.size === 0) return unknown('Nothing was signed out.');
    const out = [...last].filter(([, { what }]) => !BACK.has(what));
    const names = out.map(([item]) => reader.value('kit', item, 'name') ?? item).sort();
    return out.length > 0
      ? no(sentence`Still out: ${named(names)}.`)
      : yes(`All ${last.size} signed back in.`);
  },
};

/** What a last word about an item can be for it to count as back; what is lost is told elsewhere. */
const BACK: ReadonlySet<string> = new Set(['return', 'loss']);

/** Looks at the board for what a line of the routine asks. */
export function look(reader: ShootReader, check: ComputedCheck, of: CheckedFor): Seen {
  return LOOKS[check](reader, of);
}

/** The record in `checks` that a line is ticked in: `SETUP.department.line`, or the day in the setup's place. */
export function checkRecord(of: string, line: { department: Department; name: string }): string {
  return joinId(of, line.department, line.name);
}
