import { batch, computed, effect, type ReadonlySignal } from '@preact/signals-core';
import type { ShootReader, ShootTableName } from '../tables/index.ts';
import { liveBoard, type RuleBoard } from './board.ts';
import { instancesOf } from './evaluate.ts';
import type { Finding, Unknown } from './finding.ts';
import { followList } from './indexes.ts';
import { type Instance, type Judged, judge, type OnRun, type Outcome } from './judge.ts';
import { present } from './present.ts';
import { remediesFor } from './remedies/mend.ts';
import { setupOfScope } from './scopes.ts';
import { findingStore, type Placed } from './store.ts';

/** The findings of a board as it changes. */
export interface Findings {
  /** The board as the rules read it: what reads it inside a computation runs again when what it read changes. */
  readonly board: RuleBoard;
  /** All of them: the gravest first, then in story and shooting order. */
  readonly all: ReadonlySignal<readonly Finding[]>;
  /** Those that lie on a record. Read inside a computation, they make it run again when they change. */
  of(table: ShootTableName, record: string): readonly Finding[];
  /** What cannot be judged yet on a setup, and which fields it takes. */
  unknownsOf(setup: string): readonly Unknown[];
  /** Stops following the board. */
  dispose(): void;
}

interface Running {
  readonly instance: Instance;
  stop: () => void;
  placed: readonly (Placed & { readonly judged: Judged })[];
  unknowns: readonly Unknown[];
}

/**
 * Follows a board and judges it as it changes: each camera of each setup, each setup's channels and so on is judged
 * on its own, and again only when something that it read has changed.
 *
 * @param reader the board's signals; with a reader that has none the findings stay as they are
 * @param onRun hears each run of a rule
 */
export function createFindings(reader: ShootReader, onRun?: OnRun): Findings {
  const board = liveBoard(reader);
  const store = findingStore();
  const running = new Map<string, Running>();

  const placedOf = (judged: Judged): Running['placed'][number] => {
    const remedies = computed(() => remediesFor(board, judged));
    return { judged, order: judged.order, finding: present(board, judged, () => remedies.value) };
  };

  const report = (entry: Running, outcome: Outcome): void => {
    const before = new Map(entry.placed.map((placed) => [placed.judged.id, placed]));
    const placed = outcome.judged.map((judged) => {
      const there = before.get(judged.id);
      return there && sameJudged(there.judged, judged) ? there : placedOf(judged);
    });
    const kept = new Set(placed);
    const gone = entry.placed.filter((one) => !kept.has(one));
    const stood = new Set(entry.placed);
    const come = placed.filter((one) => !stood.has(one));
    const { unknowns } = entry;
    entry.placed = placed;
    entry.unknowns = outcome.unknowns;
    batch(() => {
      store.replace(gone, come);
      const setup = setupOfScope(entry.instance.kind, entry.instance.id);
      if (setup !== null && !sameUnknowns(unknowns, outcome.unknowns)) {
        store.replaceUnknown(setup, unknowns, outcome.unknowns);
      } else {
        entry.unknowns = unknowns;
      }
    });
  };

  const instances = new Map<string, Instance>();
  const start = (key: string): void => {
    const instance = instances.get(key);
    if (!instance) return;
    const entry: Running = { instance, stop: () => {}, placed: [], unknowns: [] };
    running.set(key, entry);
    entry.stop = effect(() => report(entry, judge(board, instance, onRun)));
  };
  const stop = (key: string): void => {
    const entry = running.get(key);
    if (!entry) return;
    entry.stop();
    report(entry, { judged: [], unknowns: [] });
    running.delete(key);
    instances.delete(key);
  };

  const stopFollowing = effect(() => {
    const now = instancesOf(board);
    const keys = now.map((instance) => {
      const key = `${instance.kind}/${instance.id}`;
      if (!instances.has(key)) instances.set(key, instance);
      return key;
    });
    followList(keys, running, start, stop);
  });

  return {
    board,
    all: computed(() => store.all()),
    of: (table, record) => store.about(`${table}/${record}`),
    unknownsOf: (setup) => store.unknownsOf(setup),
    dispose: () => {
      stopFollowing();
      for (const entry of running.values()) entry.stop();
      board.dispose();
    },
  };
}

/** Whether a rule came to the same again, so that those who show it need not draw it anew. */
function sameJudged(a: Judged, b: Judged): boolean {
  return JSON.stringify([a.draft, a.accepted, a.order]) === JSON.stringify([b.draft, b.accepted, b.order]);
}

function sameUnknowns(a: readonly Unknown[], b: readonly Unknown[]): boolean {
  return a.length === b.length && JSON.stringify(a) === JSON.stringify(b);
}
