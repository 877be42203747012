import type { Change } from '@plumbline/replica';
import {
  type CardAct,
  type CardStanding,
  cardStanding,
  cardStandings,
  clear,
  type Device,
  prepare,
  putIn,
  recordCopy,
  takeOut,
} from '../cards/index.ts';
import { batteryStandings, readCharge } from '../power/index.ts';
import type { ShootReader } from '../tables/index.ts';
import { copiesRequired } from '../views/index.ts';
import { type Actor, between, type Stage, type Step, type Steps, somebodyOf } from './stage.ts';
import { COPY_PLACES } from './words.ts';

type MediaDepartment = 'camera' | 'sound';

/** Cards at hand are never all used up: this many stay free where there are as many. */
const FREE: ReadonlySet<string> = new Set(['blank', 'prepared', 'cleared']);

function departmentOf(device: Device): MediaDepartment {
  return device.table === 'recorders' ? 'sound' : 'camera';
}

/** The cameras and recorders in use. */
export function devicesOf(reader: ShootReader): Device[] {
  return (['cameras', 'recorders'] as const).flatMap((table) =>
    reader
      .records(table)
      .filter((id) => reader.value(table, id, 'retired') !== true)
      .map((id) => ({ table, id })),
  );
}

function nameOf(reader: ShootReader, { table, id }: Device): string {
  return reader.value(table, id, 'name') ?? id;
}

/** An act on a card as a step; `null` where it is not to be done. */
function acted(by: Actor, card: CardStanding, act: CardAct, what: string, minutes: number): Step | null {
  if (act.kind === 'refused') return null;
  return {
    minutes,
    by,
    says: `Card ${card.name}: ${what}`,
    changes: act.changes,
    at: { screen: 'kit', record: `cards.${card.id}` },
  };
}

/** A free card is prepared and put into a device that has none. */
export function* load(stage: Stage, device: Device): Steps {
  const reader = stage.read();
  if (reader.value(device.table, device.id, 'card') !== undefined) return;
  const department = departmentOf(device);
  const free = cardStandings(reader).find(
    (card) => card.device === null && card.department === department && FREE.has(card.state),
  );
  if (!free) return;
  const by = somebodyOf(stage, department);
  if (free.state !== 'prepared') {
    const step = acted(by, free, prepare(free, Math.floor(stage.now())), 'prepared', 1);
    if (!step) return;
    yield step;
  }
  const now = cardStanding(stage.read(), free.id);
  const name = nameOf(reader, device);
  const step = acted(by, now, putIn(stage.read(), now, device, name), `into ${name}`, 0.5);
  if (step) yield step;
}

/** A card that has takes on it comes out of its device. Returns it, `null` where there was nothing to take out. */
export function* unload(stage: Stage, device: Device): Generator<Step, string | null, void> {
  const id = stage.read().value(device.table, device.id, 'card');
  if (id === undefined) return null;
  const card = cardStanding(stage.read(), id);
  if (card.takes.length === 0) return null;
  const by = somebodyOf(stage, departmentOf(device));
  const holder = stage.read().value('people', by.person, 'name') ?? by.role;
  const step = acted(by, card, takeOut(card, true, holder), 'full, taken out', between(stage, 0.5, 2));
  if (!step) return null;
  yield step;
  return id;
}

/** What is on a card is copied to as many places as the shoot asks for, each copy checked. */
export function* copyAway(stage: Stage, id: string): Steps {
  const required = copiesRequired(stage.read());
  for (const where of COPY_PLACES.slice(0, required)) {
    const card = cardStanding(stage.read(), id);
    const by = somebodyOf(stage, card.department === 'sound' ? 'sound' : 'camera');
    const copy = {
      where,
      checked: 'checksum' as const,
      at: Math.floor(stage.now()),
      by: by.person,
      sum: { kind: 'xxh64' as const },
    };
    const act = recordCopy(stage.read(), card, copy);
    const step = acted(by, card, act, `copied to ${where}`, between(stage, 4, 9));
    if (step) yield step;
  }
}

/** A card whose copies are all verified is given free. */
export function* giveFree(stage: Stage, id: string): Steps {
  const card = cardStanding(stage.read(), id);
  const by = somebodyOf(stage, card.department === 'sound' ? 'sound' : 'camera');
  const step = acted(by, card, clear(card), 'cleared for preparing', 1);
  if (step) yield step;
}

/** The charge of what a department's devices run on is read, somewhat less than before. */
export function* readBatteries(stage: Stage, department: MediaDepartment): Steps {
  const at = Math.floor(stage.now());
  const mine = batteryStandings(stage.read(), at).filter((battery) => battery.department === department);
  const changes = mine.slice(0, 4).flatMap((battery): Change[] => {
    const less = battery.device ? between(stage, 4, 12) : 0;
    return readCharge(battery, Math.max(5, Math.round((battery.percent ?? 100) - less)), at);
  });
  if (changes.length === 0) return;
  yield {
    minutes: 1,
    by: somebodyOf(stage, department),
    says: 'Batteries looked at',
    changes,
    at: { screen: 'kit', record: 'power' },
  };
}
