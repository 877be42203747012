import { splitId } from '@plumbline/replica';
import { effect, type Signal, signal } from '@preact/signals-core';
import type { ShootReader, ShootTableName } from '../tables/index.ts';

/** Which records belong together under a key, read from their ids or from their fields. */
export type IndexSpec =
  | { readonly table: ShootTableName; readonly by: 'id'; readonly keyOf: (record: string) => string | null }
  | {
      readonly table: ShootTableName;
      readonly by: 'fields';
      readonly keyOf: (record: string, reader: ShootReader) => string | null;
    };

const ofSetup = (record: string): string => splitId(record)[0] ?? '';

/** The relations that rules walk along. None of them needs the whole board to follow a change. */
export const INDEXES = {
  /** Setups in use by match group. */
  setupsOfGroup: {
    table: 'setups',
    by: 'fields',
    keyOf: (record, reader) => {
      const { matchGroup, state, retired } = reader.view('setups', record);
      return retired === true || state === 'dropped' ? null : (matchGroup ?? null);
    },
  },
  picturesOfSetup: { table: 'picture', by: 'id', keyOf: ofSetup },
  inputsOfSetup: { table: 'inputs', by: 'id', keyOf: ofSetup },
  takesOfSetup: { table: 'takes', by: 'id', keyOf: ofSetup },
  /** Flags that nobody has answered, by what they are about: `table/record`. */
  openFlagsAbout: {
    table: 'flags',
    by: 'fields',
    keyOf: (record, reader) => {
      const { about, retired, answer, answeredAt } = reader.view('flags', record);
      const open = retired !== true && answer === undefined && answeredAt === undefined;
      return open ? (about ?? null) : null;
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
    picturesOfSetup: make('picturesOfSetup', INDEXES.picturesOfSetup),
    inputsOfSetup: make('inputsOfSetup', INDEXES.inputsOfSetup),
    takesOfSetup: make('takesOfSetup', INDEXES.takesOfSetup),
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
      const key = spec.keyOf(record, reader);
      if (key === null) continue;
      const list = made.get(key);
      if (list) list.push(record);
      else made.set(key, [record]);
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
  const known = new Map<string, { key: string | null; stop: () => void }>();

  const list = (key: string): Signal<readonly string[]> => {
    const there = lists.get(key);
    if (there) return there;
    const made = signal(NONE);
    lists.set(key, made);
    return made;
  };
  const move = (record: string, from: string | null, to: string | null): void => {
    if (from === to) return;
    if (from !== null) {
      const left = list(from);
      left.value = left.peek().filter((other) => other !== record);
    }
    if (to !== null) {
      const joined = list(to);
      joined.value = [...joined.peek(), record].sort();
    }
  };
  const add = (record: string): void => {
    const entry: { key: string | null; stop: () => void } = { key: null, stop: () => {} };
    const place = (): void => {
      const key = spec.keyOf(record, reader);
      move(record, entry.key, key);
      entry.key = key;
    };
    known.set(record, entry);
    if (spec.by === 'id') place();
    else entry.stop = effect(place);
  };
  const drop = (record: string): void => {
    const entry = known.get(record);
    entry?.stop();
    move(record, entry?.key ?? null, null);
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
  const keyIn = (reader: ShootReader, record: string): string | null =>
    Object.keys(reader.view(spec.table, record)).length === 0 ? null : spec.keyOf(record, reader);
  const moves = changed.map((record) => ({
    record,
    from: keyIn(before, record),
    to: keyIn(after, record),
  }));
  return {
    get: (key) => {
      const gone = new Set(
        moves.filter(({ from, to }) => from === key && to !== key).map(({ record }) => record),
      );
      const come = moves.filter(({ from, to }) => to === key && from !== key).map(({ record }) => record);
      const list = below.get(key);
      if (gone.size === 0 && come.length === 0) return list;
      return [...list.filter((record) => !gone.has(record)), ...come].sort();
    },
  };
}
