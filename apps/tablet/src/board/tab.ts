import type { TrayItem } from '@plumbline/replica';
import { type KeptTab, readTab, type TabRow } from './copy.ts';

/** What a page starts with: the name of its tab, and what was left unanswered under that name or others. */
export interface TabStart {
  readonly tab: string;
  readonly kept: KeptTab;
  /** The epoch that the kept edits were made in. */
  readonly epoch: string | null;
  /** Tabs whose work has been taken over, to be forgotten. */
  readonly taken: readonly string[];
}

const NOTHING: KeptTab = { outbox: null, tray: [], late: [] };

/**
 * Decides which tab a page is. A page that was reloaded goes on as the one it was. A new page goes on as the newest
 * of this person that is no longer open, so that its unanswered edits are still sent in its name; what other closed
 * pages left behind, also under an earlier session, goes to the tray, where its author decides.
 *
 * @param person whose session this is
 * @param own the name this page had before it was reloaded, `null` for a new page
 * @param rows what tabs left on the device, newest first
 * @param open names of tabs that are open elsewhere now
 * @param fresh a name nobody has used
 */
export function chooseTab(
  person: string,
  own: string | null,
  rows: readonly TabRow[],
  open: ReadonlySet<string>,
  fresh: string,
): TabStart {
  const closed = rows.filter((row) => !open.has(row.tab));
  const mine = own !== null && !open.has(own) ? own : null;
  const persons = closed.filter((row) => row.person === person);
  const ownRow = mine === null ? persons[0] : persons.find((row) => row.tab === mine);
  const others = closed.filter((row) => row !== ownRow).map((row) => ({ row, kept: readTab(row) }));
  const kept = ownRow ? readTab(ownRow) : NOTHING;
  return {
    tab: ownRow?.tab ?? (mine !== null && !closed.some((row) => row.tab === mine) ? mine : fresh),
    kept: {
      outbox: kept.outbox,
      tray: [...kept.tray, ...others.flatMap((other) => [...other.kept.tray, ...unsent(other.kept)])],
      late: [...kept.late, ...others.flatMap((other) => other.kept.late)],
    },
    epoch: ownRow?.epoch ?? null,
    taken: others.map(({ row }) => row.tab),
  };
}

/** Unanswered edits as tray items. */
export function unsent({ outbox }: Pick<KeptTab, 'outbox'>): TrayItem[] {
  return (outbox?.pending ?? []).map((edit) => ({ edit, code: 'unsent', reasons: [] }));
}

const CHANNEL = 'plumbline.tabs';
const LISTEN_MS = 120;

/**
 * Tells other pages of this device which tab this one is, and asks which they are. Pages that are frozen do not
 * answer; should one wake up, the base tells it that it was replaced.
 */
export class TabCall {
  readonly #channel: BroadcastChannel | null;
  #own: string | null = null;

  constructor() {
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(CHANNEL);
    this.#channel?.addEventListener('message', ({ data }: MessageEvent<unknown>) => {
      if (data === 'who' && this.#own !== null) this.#channel?.postMessage({ tab: this.#own });
    });
  }

  /** The names of the tabs that are open elsewhere. */
  othersOpen(): Promise<ReadonlySet<string>> {
    const channel = this.#channel;
    if (!channel) return Promise.resolve(new Set());
    return new Promise((resolve) => {
      const names = new Set<string>();
      const hear = ({ data }: MessageEvent<unknown>): void => {
        if (data && typeof data === 'object' && 'tab' in data && typeof data.tab === 'string')
          names.add(data.tab);
      };
      channel.addEventListener('message', hear);
      channel.postMessage('who');
      setTimeout(() => {
        channel.removeEventListener('message', hear);
        resolve(names);
      }, LISTEN_MS);
    });
  }

  /** Answers as this tab from now on. */
  answerAs(tab: string): void {
    this.#own = tab;
  }
}
