import { type Signal, signal } from '@preact/signals-core';
import type { Finding, Unknown } from './finding.ts';
import { byOrder, type Order } from './judge.ts';

/** A finding with its place among the others. */
export interface Placed {
  readonly finding: Finding;
  readonly order: Order;
}

const NO_FINDINGS: readonly Finding[] = [];
const NO_UNKNOWNS: readonly Unknown[] = [];

/** Lists by key, each a signal from when somebody first asks for it. */
function lists<T>(empty: readonly T[], pick: (key: string) => readonly T[]) {
  const asked = new Map<string, Signal<readonly T[]>>();
  return {
    read(key: string): readonly T[] {
      let there = asked.get(key);
      if (!there) {
        there = signal(pick(key));
        asked.set(key, there);
      }
      return there.value;
    },
    changed(keys: Iterable<string>): void {
      for (const key of keys) {
        const there = asked.get(key);
        if (!there) continue;
        const now = pick(key);
        if (now.length > 0 || there.peek().length > 0) there.value = now.length > 0 ? now : empty;
      }
    },
  };
}

/** Adds to or takes from the set under a key. */
function sets<T>() {
  const all = new Map<string, Set<T>>();
  return {
    get: (key: string): ReadonlySet<T> | undefined => all.get(key),
    add(key: string, item: T): void {
      const set = all.get(key);
      if (set) set.add(item);
      else all.set(key, new Set([item]));
    },
    remove(key: string, item: T): void {
      const set = all.get(key);
      set?.delete(item);
      if (set?.size === 0) all.delete(key);
    },
  };
}

/** The findings of all scopes in order, kept up as scopes report. A report costs what it changes, whatever else stands. */
export function findingStore() {
  const sorted: Placed[] = [];
  const version = signal(0);
  const byTarget = sets<Placed>();
  const bySetup = sets<readonly Unknown[]>();

  const place = (order: Order): number => {
    let [low, high] = [0, sorted.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      const there = sorted[middle];
      if (there && byOrder(there.order, order) < 0) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const about = lists(NO_FINDINGS, (key) =>
    [...(byTarget.get(key) ?? [])].sort((a, b) => byOrder(a.order, b.order)).map(({ finding }) => finding),
  );
  const unknown = lists(NO_UNKNOWNS, (setup) => [...(bySetup.get(setup) ?? [])].flat());
  const targetKeys = ({ finding }: Placed): Set<string> =>
    new Set(finding.targets.map(({ table, record }) => `${table}/${record}`));

  return {
    /** Puts findings in the place of others. */
    replace(gone: readonly Placed[], come: readonly Placed[]): void {
      if (gone.length === 0 && come.length === 0) return;
      const touched = new Set<string>();
      for (const placed of gone) {
        sorted.splice(place(placed.order), 1);
        for (const key of targetKeys(placed)) {
          byTarget.remove(key, placed);
          touched.add(key);
        }
      }
      for (const placed of come) {
        sorted.splice(place(placed.order), 0, placed);
        for (const key of targetKeys(placed)) {
          byTarget.add(key, placed);
          touched.add(key);
        }
      }
      version.value = version.peek() + 1;
      about.changed(touched);
    },
    /** Puts what is unknown on a setup in the place of what was. */
    replaceUnknown(setup: string, gone: readonly Unknown[], come: readonly Unknown[]): void {
      if (gone.length === 0 && come.length === 0) return;
      bySetup.remove(setup, gone);
      if (come.length > 0) bySetup.add(setup, come);
      unknown.changed([setup]);
    },
    /** All of them, the gravest first. */
    all(): readonly Finding[] {
      // Read for the sake of those who must hear of a change.
      return version.value < 0 ? NO_FINDINGS : sorted.map(({ finding }) => finding);
    },
    about: about.read,
    unknownsOf: unknown.read,
  };
}
