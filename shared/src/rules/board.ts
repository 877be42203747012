import type { Json } from '@plumbline/replica';
import { computed, type ReadonlySignal } from '@preact/signals-core';
import type { ShootReader } from '../tables/index.ts';
import { groupReference, storyOrder } from './groups.ts';
import { INDEXES, type IndexName, liveIndex, overIndex, perIndex, plainIndex } from './indexes.ts';
import { memoReader, overReader } from './readers.ts';

/** What rules are given to look at: typed reads, and the relations between records. */
export interface RuleBoard {
  readonly reader: ShootReader;
  /** The records under a key of an index, sorted by id. */
  list(index: IndexName, key: string): readonly string[];
  /** The setup that a match group's others are matched to; `null` for a group without setups in use. */
  referenceOf(group: string): string | null;
  /** The setups of a scene that are in use, in story order. */
  sceneOrder(scene: string): readonly string[];
}

/** Remembers an answer for each key. */
function remembered<T>(answer: (key: string) => T): (key: string) => T {
  const known = new Map<string, T>();
  return (key) => {
    const there = known.get(key);
    if (there !== undefined || known.has(key)) return there as T;
    const made = answer(key);
    known.set(key, made);
    return made;
  };
}

/**
 * The board as it stands now. Not to be used again after a change.
 *
 * @param shorter a shorter way to some lists than through all records of their table; `null` where it knows none
 */
export function plainBoard(
  source: ShootReader,
  shorter: (index: IndexName, key: string) => readonly string[] | null = () => null,
): RuleBoard {
  const reader = memoReader(source);
  const indexes = perIndex((_, spec) => plainIndex(spec, reader));
  const board: RuleBoard = {
    reader,
    list: (index, key) => shorter(index, key) ?? indexes[index].get(key),
    referenceOf: remembered((group) => groupReference(board, group)),
    sceneOrder: remembered((scene) => storyOrder(board, scene)),
  };
  return board;
}

/** A board that follows its reader: what reads it inside a computation runs again when what it read changes. */
export function liveBoard(reader: ShootReader): RuleBoard & { dispose(): void } {
  const indexes = perIndex((_, spec) => liveIndex(spec, reader));
  const references = remembered(
    (group): ReadonlySignal<string | null> => computed(() => groupReference(board, group)),
  );
  const orders = remembered((scene): ReadonlySignal<readonly string[]> => {
    // The same list as long as the order is the same, so that a word changed in a setup wakes nobody.
    let last: readonly string[] = [];
    return computed(() => {
      const now = storyOrder(board, scene);
      if (now.length !== last.length || now.some((id, index) => id !== last[index])) last = now;
      return last;
    });
  });
  const board: RuleBoard = {
    reader,
    list: (index, key) => indexes[index].get(key),
    referenceOf: (group) => references(group).value,
    sceneOrder: (scene) => orders(scene).value,
  };
  return {
    ...board,
    dispose: () => {
      for (const index of Object.values(indexes)) index.dispose();
    },
  };
}

/** How the board would stand with some values changed. */
export function boardWith(
  below: RuleBoard,
  changes: readonly {
    readonly table: string;
    readonly record: string;
    readonly field: string;
    readonly value: Json;
  }[],
): RuleBoard {
  const reader = overReader(below.reader, changes);
  const indexes = perIndex((name, spec) => {
    const changed = changes.filter(({ table }) => table === spec.table).map(({ record }) => record);
    const index = { get: (key: string) => below.list(name, key) };
    return overIndex(spec, index, [...new Set(changed)], below.reader, reader);
  });
  const setupsChange = changes.some(({ table }) => table === INDEXES.setupsOfGroup.table);
  const board: RuleBoard = {
    reader,
    list: (index, key) => indexes[index].get(key),
    referenceOf: (group) => (setupsChange ? groupReference(board, group) : below.referenceOf(group)),
    sceneOrder: (scene) => (setupsChange ? storyOrder(board, scene) : below.sceneOrder(scene)),
  };
  return board;
}
