import type { TrayItem } from '@plumbline/replica';
import { type KeptTab, readTab, type TabRow } from './copy.ts';

/** What a page goes on with: the name of its tab, and what was left unanswered under that name or others. */
export interface TabStart {
  readonly tab: string;
  readonly kept: KeptTab;
  /** The epoch that the kept edits were made in. */
  readonly epoch: string | null;
  /** Tabs whose work has been taken over, to be forgotten. */
  readonly taken: readonly string[];
  /** The number that tells this page's rows from those of a page before it. */
  readonly fence: number;
}

const NOTHING: KeptTab = { outbox: null, tray: [], late: [] };

/**
 * Decides as which tab a page goes on once it has the pen, so that no other page writes: as the newest of this person,
 * whose unanswered edits are then still sent in its name. What others left behind, also under an earlier session, goes
 * to the tray, where its author decides.
 *
 * @param person whose session this is
 * @param rows what tabs left on the device, newest first
 * @param fresh a name nobody has used
 */
export function chooseTab(person: string, rows: readonly TabRow[], fresh: string): TabStart {
  const own = rows.find((row) => row.person === person);
  const others = rows.filter((row) => row !== own).map((row) => ({ row, kept: readTab(row) }));
  const kept = own ? readTab(own) : NOTHING;
  return {
    tab: own?.tab ?? fresh,
    kept: {
      outbox: kept.outbox,
      tray: [...kept.tray, ...others.flatMap((other) => [...other.kept.tray, ...unsent(other.kept)])],
      late: [...kept.late, ...others.flatMap((other) => other.kept.late)],
    },
    epoch: own?.epoch ?? null,
    taken: others.map(({ row }) => row.tab),
    fence: Math.max(0, ...rows.map((row) => row.fence ?? 0)) + 1,
  };
}

/** Unanswered edits as tray items. */
export function unsent({ outbox }: Pick<KeptTab, 'outbox'>): TrayItem[] {
  return (outbox?.pending ?? []).map((edit) => ({ edit, code: 'unsent', reasons: [] }));
}

/** What the next page goes on with: the row that the page before it gave stands for the one it wrote down. */
export function withGiven(rows: readonly TabRow[], given: TabRow | null): readonly TabRow[] {
  return given === null ? rows : [given, ...rows.filter((row) => row.tab !== given.tab)];
}

/**
 * What only this page knows of: edits made after the last state that is on the device for certain, and, with none
 * there, all of them. The page that writes now has the rest.
 */
export function leftOver(now: KeptTab, saved: TabRow | null): readonly TrayItem[] {
  const known = saved ? readTab(saved) : NOTHING;
  const stamps = new Set([
    ...(known.outbox?.pending ?? []).map((edit) => edit.stamp),
    ...known.tray.map((item) => item.edit.stamp),
  ]);
  return [...now.tray, ...unsent(now)].filter((item) => !stamps.has(item.edit.stamp));
}
