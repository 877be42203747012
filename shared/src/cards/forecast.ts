import { bytesOf, recordingBytes } from '@plumbline/craft/media';
import type { ShootReader } from '../tables/index.ts';
import { setupsInShootingOrder } from '../views/setups.ts';
import { allTakes } from '../views/takes.ts';
import { isOnSetup, type RecordingRate, rateOn } from './rates.ts';
import { roomOn } from './room.ts';
import type { CardStanding, Device } from './standing.ts';
import type { CardState } from './states.ts';

/** Takes that a setup needs where nothing has been completed yet. Common practice, no source. */
export const USUAL_TAKES = 3;

/** How many takes a setup is reckoned at, and whether that is from this shoot's own. */
export interface TakesEach {
  readonly takes: number;
  readonly fromOwn: boolean;
}

/** The takes of the completed setups on average, rounded up, or the usual. */
export function takesEach(reader: ShootReader): TakesEach {
  const complete = reader
    .records('setups')
    .filter((id) => reader.value('setups', id, 'state') === 'complete');
  const done = new Set(complete);
  const rolled = allTakes(reader).filter(({ setup, state }) => state !== 'announced' && done.has(setup));
  return rolled.length === 0
    ? { takes: USUAL_TAKES, fromOwn: false }
    : { takes: Math.ceil(rolled.length / new Set(rolled.map(({ setup }) => setup)).size), fromOwn: true };
}

/** A setup that is still to be shot by a device, and what it will take up. */
export interface SetupToCome {
  readonly id: string;
  readonly label: string;
  readonly takes: number;
  readonly secondsEach: number;
  /** At the setup's own setting, or at that of the setup before where it has none yet. */
  readonly rate: RecordingRate;
  readonly bytesEach: number;
}

/** What is to come for a device, and the setups of which too little is known to count them. */
export interface ToCome {
  readonly setups: readonly SetupToCome[];
  readonly unknown: readonly string[];
}

/** The setups of a day, or of the whole shoot, that a device has still to shoot. */
export function setupsToCome(reader: ShootReader, device: Device, day?: string): ToCome {
  const { takes: each } = takesEach(reader);
  const rolled = new Map<string, number>();
  for (const { setup, state } of allTakes(reader)) {
    if (state !== 'announced') rolled.set(setup, (rolled.get(setup) ?? 0) + 1);
  }
  const setups: SetupToCome[] = [];
  const unknown: string[] = [];
  let last: RecordingRate | null = null;
  for (const { id, view } of setupsInShootingOrder(reader)) {
    const rate: RecordingRate | null = rateOn(reader, device, id) ?? last;
    last = rate;
    if (view.state === 'complete' || view.state === 'dropped' || !isOnSetup(reader, device, id)) continue;
    if (day !== undefined && view.day !== undefined && view.day !== day) continue;
    const { label = id, takeMinutes } = view;
    if (takeMinutes === undefined || takeMinutes <= 0 || rate === null) {
      unknown.push(label);
      continue;
    }
    // One in work that has had as many as were reckoned with gets one more.
    const takes = Math.max(1, each - (rolled.get(id) ?? 0));
    const secondsEach = takeMinutes * 60;
    const bytesEach = recordingBytes(secondsEach, rate.bitsPerSecond);
    setups.push({ id, label, takes, secondsEach, rate, bytesEach });
  }
  return { setups, unknown };
}

/** A card that goes in, and before which take of which setup. */
export interface CardChange {
  readonly setup: string;
  /** Counted from the takes to come: 1 is the next. */
  readonly take: number;
  readonly card: string;
}

/** How the cards at hand last for what is to come. */
export interface CardForecast extends ToCome {
  readonly neededBytes: number;
  readonly changes: readonly CardChange[];
  /** What fits on no card at hand; 0 where all of it fits. */
  readonly shortBytes: number;
  /** The setup in which the cards run out; `null` where they last. */
  readonly runsOutIn: string | null;
}

const FREE: ReadonlySet<CardState> = new Set(['blank', 'prepared', 'cleared']);

/** Whether a card can be recorded on from the beginning: free, in no device, nothing on it that lacks copies, none lost. */
export function isFree({ state, device, lacking, lost }: CardStanding): boolean {
  return FREE.has(state) && device === null && lacking.length === 0 && lost.length === 0;
}

/**
 * Goes through the takes to come one by one: a take goes onto one card as a whole, the card in the device first, then
 * the free ones of the department, the largest first.
 */
export function forecastCards(
  reader: ShootReader,
  device: Device,
  standings: readonly CardStanding[],
  day?: string,
): CardForecast {
  const toCome = setupsToCome(reader, device, day);
  const inDevice = standings.find(
    (standing) => standing.device?.table === device.table && standing.device.id === device.id,
  );
  const department = device.table === 'cameras' ? 'camera' : 'sound';
  const free = standings
    .filter((standing) => standing.department === department && isFree(standing))
    .map(({ id, card }) => ({ id, bytes: bytesOf(card.capacityGB ?? 0, 'GB') }))
    .sort((a, b) => b.bytes - a.bytes || (a.id < b.id ? -1 : 1));
  let left = inDevice === undefined ? 0 : (roomOn(reader, inDevice)?.leftBytes ?? 0);
  let shortBytes = 0;
  let neededBytes = 0;
  let runsOutIn: string | null = null;
  const changes: CardChange[] = [];
  for (const { label, takes, bytesEach } of toCome.setups) {
    for (let take = 1; take <= takes; take++) {
      neededBytes += bytesEach;
      if (bytesEach > left) {
        const index = free.findIndex(({ bytes }) => bytes >= bytesEach);
        const [next] = index < 0 ? [] : free.splice(index, 1);
        if (next === undefined) {
          shortBytes += bytesEach;
          runsOutIn ??= label;
          continue;
        }
        changes.push({ setup: label, take, card: next.id });
        left = next.bytes;
      }
      left -= bytesEach;
    }
  }
  return { ...toCome, neededBytes, changes, shortBytes, runsOutIn };
}
