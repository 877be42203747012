import { splitId } from '@plumbline/replica';
import { effect, type Signal, signal } from '@preact/signals-core';
import { setupsNeeding } from '../kit/items.ts';
import type { ShootReader, ShootTableName } from '../tables/index.ts';

/** Which records belong together under a key: the first part of their ids, or what their fields say. */
export type IndexSpec =
  | {
      readonly table: ShootTableName;
      readonly by: 'id';
      readonly keysOf: (record: string) => readonly string[];
    }
  | {
      readonly table: ShootTableName;
      readonly by: 'fields';
      readonly keysOf: (record: string, reader: ShootReader) => readonly string[];
    };

const ofSetup = (record: string): readonly string[] => [splitId(record)[0] ?? ''];

const keys = (key: string | null | undefined): readonly string[] =>
  key === null || key === undefined ? [] : [key];

/** The key of `kitWithLimits` for what is needed by no setup in particular. */
export const WITH_THE_UNIT = '';

/** The key of `setupsInWork`. */
export const IN_WORK = 'inWork';

/** The relations that rules walk along. None of them needs the whole board to follow a change. */
export const INDEXES = {
  /** Setups in use by match group. */
  setupsOfGroup: {
    table: 'setups',
    by: 'fields',
    keysOf: (record, reader) => {
      const { matchGroup, state, retired } = reader.view('setups', record);
      return retired === true || state === 'dropped' ? [] : keys(matchGroup);
    },
  },
  /** Setups in use by scene. */
  setupsOfScene: {
    table: 'setups',
    by: 'fields',
    keysOf: (record, reader) => {
      const { scene, state, retired } = reader.view('setups', record);
      return retired === true || state === 'dropped' ? [] : keys(scene);
    },
  },
  /** Setups in use by place: their own, or their scene's. */
  setupsOfPlace: {
    table: 'setups',
    by: 'fields',
    keysOf: (record, reader) => {
      const { place, scene, state, retired } = reader.view('setups', record);
      if (retired === true || state === 'dropped') return [];
      return keys(place ?? (scene === undefined ? undefined : reader.view('scenes', scene).place));
    },
  },
  /** Setups in use by the day they are planned for. */
  setupsOfDay: {
    table: 'setups',
    by: 'fields',
    keysOf: (record, reader) => {
      const { day, state, retired } = reader.view('setups', record);
      return retired === true || state === 'dropped' ? [] : keys(day);
    },
  },
  setupsInWork: {
    table: 'setups',
    by: 'fields',
    keysOf: (record, reader) => {
      const { state, retired } = reader.view('setups', record);
      return retired !== true && state === 'inWork' ? [IN_WORK] : [];
    },
  },
  picturesOfSetup: { table: 'picture', by: 'id', keysOf: ofSetup },
  inputsOfSetup: { table: 'inputs', by: 'id', keysOf: ofSetup },
  takesOfSetup: { table: 'takes', by: 'id', keysOf: ofSetup },
  checksOfSetup: { table: 'checks', by: 'id', keysOf: ofSetup },
  loadsOfPlace: { table: 'loads', by: 'id', keysOf: ofSetup },
  /** Takes by the cards that they were recorded on. */
  takesOnCard: {
    table: 'takes',
    by: 'fields',
    keysOf: (record, reader) => [...new Set(reader.view('takes', record).cards ?? [])],
  },
  /** What happened to an item, by the item. */
  custodyOfItem: {
    table: 'custody',
    by: 'fields',
    keysOf: (record, reader) => keys(reader.view('custody', record).event?.item),
  },
  /** Items with limits of temperature or humidity, by the setups that need them. */
  kitWithLimits: {
    table: 'kit',
    by: 'fields',
    keysOf: (record, reader) => {
      const item = reader.view('kit', record);
      const { minTemperatureC, maxTemperatureC, maxHumidityPercent } = item;
      const limited = minTemperatureC ?? maxTemperatureC ?? maxHumidityPercent;
      if (item.retired === true || limited === undefined) return [];
      const setups = setupsNeeding(item);
      return setups.length === 0 ? [WITH_THE_UNIT] : [...new Set(setups)];
    },
  },
  /** Flags that nobody has answered, by what they are about: `table/record`. */
  openFlagsAbout: {
    table: 'flags',
    by: 'fields',
    keysOf: (record, reader) => {
      const { about, retired, answer, answeredAt } = reader.view('flags', record);
      const open = retired !== true && answer === undefined && answeredAt === undefined;
      return open ? keys(about) : [];
    },
  },
} as const satisfies Record<string, IndexSpec>;

export type IndexName = keyof typeof INDEXES;

/** Something made for each index. */
export type PerIndex<T> = { readonly [N in IndexName]: T };

/** Makes something for each index. */
export function perIndex<T>(make: (name: IndexName, spec: IndexSpec) => T): PerIndex<T> {
  return {
    setupsOfGroup: make('setupsOfGroup', INDEXES.setupsOfGroup),
    setupsOfScene: make('setupsOfScene', INDEXES.setupsOfScene),
    setupsOfPlace: make('setupsOfPlace', INDEXES.setupsOfPlace),
    setupsOfDay: make('setupsOfDay', INDEXES.setupsOfDay),
    setupsInWork: make('setupsInWork', INDEXES.setupsInWork),
    picturesOfSetup: make('picturesOfSetup', INDEXES.picturesOfSetup),
    inputsOfSetup: make('inputsOfSetup', INDEXES.inputsOfSetup),
    takesOfSetup: make('takesOfSetup', INDEXES.takesOfSetup),
    checksOfSetup: make('checksOfSetup', INDEXES.checksOfSetup),
    loadsOfPlace: make('loadsOfPlace', INDEXES.loadsOfPlace),
    takesOnCard: make('takesOnCard', INDEXES.takesOnCard),
    custodyOfItem: make('custodyOfItem', INDEXES.custodyOfItem),
    kitWithLimits: make('kitWithLimits', INDEXES.kitWithLimits),
    openFlagsAbout: make('openFlagsAbout', INDEXES.openFlagsAbout),
  };
}

/** The records under a key, sorted by id. */
export interface Index {
  get(key: string): readonly string[];
}

const NONE: readonly string[] = [];

/** An index of the board as it stands, made when first asked. */
export function plainIndex(spec: IndexSpec, reader: ShootReader): Index {
  let lists: Map<string, string[]> | undefined;
  const build = (): Map<string, string[]> => {
    const made = new Map<string, string[]>();
    for (const record of reader.records(spec.table)) {
      for (const key of spec.keysOf(record, reader)) {
        const list = made.get(key);
        if (list) list.push(record);
        else made.set(key, [record]);
      }
    }
    return made;
  };
  return {
    get: (key) => {
      lists ??= build();
      return lists.get(key) ?? NONE;
    },
  };
}

/** An index that follows the board: a change costs no more than the keys it touches. */
export function liveIndex(spec: IndexSpec, reader: ShootReader): Index & { dispose(): void } {
  const lists = new Map<string, Signal<readonly string[]>>();
  const known = new Map<string, { keys: readonly string[]; stop: () => void }>();

  const list = (key: string): Signal<readonly string[]> => {
    const there = lists.get(key);
    if (there) return there;
    const made = signal(NONE);
    lists.set(key, made);
    return made;
  };
  const move = (record: string, from: readonly string[], to: readonly string[]): void => {
    for (const key of from) {
      if (to.includes(key)) continue;
      const left = list(key);
      left.value = left.peek().filter((other) => other !== record);
    }
    for (const key of to) {
      if (from.includes(key)) continue;
      const joined = list(key);
      joined.value = [...joined.peek(), record].sort();
    }
  };
  const add = (record: string): void => {
    const entry: { keys: readonly string[]; stop: () => void } = { keys: [], stop: () => {} };
    const place = (): void => {
      const now = spec.keysOf(record, reader);
      move(record, entry.keys, now);
      entry.keys = now;
    };
    known.set(record, entry);
    if (spec.by === 'id') place();
    else entry.stop = effect(place);
  };
  const drop = (record: string): void => {
    const entry = known.get(record);
    entry?.stop();
    move(record, entry?.keys ?? [], []);
    known.delete(record);
  };

  const stop = effect(() => followList(reader.records(spec.table), known, add, drop));
  return {
    get: (key) => list(key).value,
    dispose: () => {
      stop();
      for (const entry of known.values()) entry.stop();
    },
  };
}

/** Calls `add` for what is new in a list and `drop` for what has left it. */
export function followList(
  now: Iterable<string>,
  known: ReadonlyMap<string, unknown>,
  add: (item: string) => void,
  drop: (item: string) => void,
): void {
  const wanted = new Set(now);
  for (const item of [...known.keys()]) if (!wanted.has(item)) drop(item);
  for (const item of wanted) if (!known.has(item)) add(item);
}

/** An index as it would be with some records of its table changed. */
export function overIndex(
  spec: IndexSpec,
  below: Index,
  changed: readonly string[],
  before: ShootReader,
  after: ShootReader,
): Index {
  if (changed.length === 0) return below;
  const keysIn = (reader: ShootReader, record: string): readonly string[] =>
    Object.keys(reader.view(spec.table, record)).length === 0 ? [] : spec.keysOf(record, reader);
  const moves = changed.map((record) => ({
    record,
    from: keysIn(before, record),
    to: keysIn(after, record),
  }));
  return {
    get: (key) => {
      const gone = new Set(
        moves.filter(({ from, to }) => from.includes(key) && !to.includes(key)).map(({ record }) => record),
      );
      const come = moves
        .filter(({ from, to }) => to.includes(key) && !from.includes(key))
        .map(({ record }) => record);
      const list = below.get(key);
      if (gone.size === 0 && come.length === 0) return list;
      return [...list.filter((record) => !gone.has(record)), ...come].sort();
    },
  };
}
