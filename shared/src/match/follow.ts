import { computed, type ReadonlySignal, signal } from '@preact/signals-core';
import type { Findings } from '../rules/index.ts';
import { setupsInStoryOrder } from '../views/setups.ts';
import { groupModel } from './group.ts';
import { rowHeads } from './heads.ts';
import { liveMarks } from './marks.ts';
import type { MatchGroupModel, MatchModel, MatchRowHead, MatchSource } from './model.ts';
import { aloneIn, type MatchOutline, outlineOf } from './outline.ts';
import { sourcesIn } from './sources.ts';

/** The match picture of a board as it changes, group by group. */
export interface LiveMatch {
  /** The names of the groups in story order, and how many setups each has. */
  readonly outline: ReadonlySignal<readonly MatchOutline[]>;
  /** The setups that are in no match group, in story order. */
  readonly alone: ReadonlySignal<readonly string[]>;
  readonly sources: ReadonlySignal<readonly MatchSource[]>;
  /** The heads of the rows; until the picture is complete, with scales for the groups that are worked out. */
  readonly rows: ReadonlySignal<readonly MatchRowHead[]>;
  /** Whether every group has been worked out. */
  readonly complete: ReadonlySignal<boolean>;
  /** The lines of one group, worked out when first read and again only when something in that group has changed. */
  group(name: string): ReadonlySignal<MatchGroupModel>;
  /**
   * Works out groups that are not yet, for as long as there is time, so that a large board opens at once.
   *
   * @param from the group to begin with; those before it come last
   */
  work(hasTime: () => boolean, from?: string | null): void;
  /** All of it as it stands now, for print: works out what is not yet. */
  whole(): MatchModel;
}

/** Follows the match picture. Nothing is worked out before it is asked for, and nothing needs to be closed. */
export function followMatch(findings: Pick<Findings, 'of' | 'board'>): LiveMatch {
  const { board } = findings;
  const { reader } = board;
  const marks = liveMarks(findings, (person) => reader.value('people', person, 'name') ?? 'somebody');
  const groups = new Map<string, ReadonlySignal<MatchGroupModel>>();
  const worked = signal<ReadonlySet<string>>(new Set());
  const group = (name: string): ReadonlySignal<MatchGroupModel> => {
    const known = groups.get(name);
    if (known) return known;
    const made = computed(() => groupModel(board, marks, name));
    groups.set(name, made);
    return made;
  };
  const inStoryOrder = computed(() => setupsInStoryOrder(reader));
  const outline = steady(() => outlineOf(inStoryOrder.value));
  const alone = steady(() => aloneIn(inStoryOrder.value));
  const sources = steady(() => sourcesIn(reader));
  const rows = steady(() =>
    rowHeads(
      reader,
      outline.value.filter(({ name }) => worked.value.has(name)).map(({ name }) => group(name).value),
    ),
  );
  const work: LiveMatch['work'] = (hasTime, from = null) => {
    const names = outline.peek().map(({ name }) => name);
    const first = Math.max(0, from === null ? 0 : names.indexOf(from));
    const done = new Set(worked.peek());
    for (const name of [...names.slice(first), ...names.slice(0, first)]) {
      if (done.has(name)) continue;
      if (!hasTime()) break;
      group(name).peek();
      done.add(name);
    }
    if (done.size > worked.peek().size) worked.value = done;
  };
  return {
    outline,
    alone,
    sources,
    rows,
    complete: computed(() => outline.value.every(({ name }) => worked.value.has(name))),
    group,
    work,
    whole: () => {
      const all = outline.value.map(({ name }) => group(name).value);
      return { groups: all, rows: rowHeads(reader, all), sources: sources.value, alone: alone.value };
    },
  };
}

/** A computed that stays the same object as long as it says the same, so that who reads it is not drawn anew. */
function steady<T>(compute: () => T): ReadonlySignal<T> {
  let last: { readonly text: string; readonly value: T } | undefined;
  return computed(() => {
    const value = compute();
    const text = JSON.stringify(value);
    if (last?.text !== text) last = { text, value };
    return last.value;
  });
}
