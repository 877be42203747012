import { computed, type ReadonlySignal } from '@preact/signals-core';
import type { Findings } from '../rules/index.ts';
import { groupModel } from './group.ts';
import { rowHeads } from './heads.ts';
import { liveMarks } from './marks.ts';
import type { MatchGroupModel, MatchModel, MatchRowHead } from './model.ts';
import { aloneIn, type MatchOutline, outlineOf } from './outline.ts';

/** The match picture of a board as it changes, group by group. */
export interface LiveMatch {
  /** The names of the groups in story order, and how many setups each has. */
  readonly outline: ReadonlySignal<readonly MatchOutline[]>;
  /** The setups that are in no match group, in story order. */
  readonly alone: ReadonlySignal<readonly string[]>;
  readonly rows: ReadonlySignal<readonly MatchRowHead[]>;
  /** The lines of one group, worked out when first read and again only when something in that group has changed. */
  group(name: string): ReadonlySignal<MatchGroupModel>;
  /** All of it as it stands now: for print. Follows the board like everything else. */
  whole(): MatchModel;
}

/** Follows the match picture. Nothing is worked out before it is read, and nothing needs to be closed. */
export function followMatch(findings: Pick<Findings, 'of' | 'board'>): LiveMatch {
  const { board } = findings;
  const { reader } = board;
  const marks = liveMarks(findings, (person) => reader.value('people', person, 'name') ?? 'somebody');
  const groups = new Map<string, ReadonlySignal<MatchGroupModel>>();
  const group = (name: string): ReadonlySignal<MatchGroupModel> => {
    const known = groups.get(name);
    if (known) return known;
    const made = computed(() => groupModel(board, marks, name));
    groups.set(name, made);
    return made;
  };
  const outline = steady(() => outlineOf(reader));
  const alone = steady(() => aloneIn(reader));
  const rows = steady(() =>
    rowHeads(
      reader,
      outline.value.map(({ name }) => group(name).value),
    ),
  );
  return {
    outline,
    alone,
    rows,
    group,
    whole: () => ({
      groups: outline.value.map(({ name }) => group(name).value),
      rows: rows.value,
      alone: alone.value,
    }),
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
