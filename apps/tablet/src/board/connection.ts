import {
  type BoardDefinition,
  type BoardReader,
  CLOSE,
  type ClockEstimate,
  Link,
  type LinkPorts,
  type Presence,
  Replica,
  type ReplicaOptions,
  type Tables,
  type TrayItem,
} from '@plumbline/replica';
import { batch, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import type * as Y from 'yjs';
import type { Membership } from '../app/sessions.ts';
import { DeviceClock } from './clocks.ts';
import type { KeptTab, TabRow } from './copy.ts';
import type { Keeper } from './keeper.ts';
import { leftOver, type TabStart, unsent } from './tab.ts';

/** A replica and the link that keeps it in step: both are made anew when the board's epoch or the page's part changes. */
export interface Live<S extends Tables> {
  readonly replica: Replica<S>;
  readonly link: Link<S>;
}

type Kept = NonNullable<ReplicaOptions<Tables>['kept']>;

export interface ConnectionOptions<S extends Tables> {
  readonly definition: BoardDefinition<S>;
  readonly membership: Membership;
  readonly keeper: (ports: {
    document: () => Y.Doc | null;
    updates: () => readonly Uint8Array[];
    onFenced: () => void;
  }) => Keeper;
  /** The document as it was kept on this device. */
  readonly updates: readonly Uint8Array[];
  /** What to write with; `null` for a page that reads along. */
  readonly start: TabStart | null;
  readonly ports: (tab: () => string | null) => LinkPorts;
  /** What was known of the base's clock at an earlier run, ms. */
  readonly clockOffset?: number | null;
  /** Told when another page goes on under this one's name. */
  readonly onReplaced?: () => void;
}

/** How long writing down what is left may take before a page hands over without it, ms. */
const LAST_WORDS_MS = 800;

/** The page's connection to its board: what is shown, what is kept, and how the base is reached. */
export class Connection<S extends Tables> {
  readonly live: ReadonlySignal<Live<S>>;
  readonly keeper: Keeper;
  readonly membership: Membership;
  readonly #options: ConnectionOptions<S>;
  readonly #live: Signal<Live<S>>;
  readonly #clock: DeviceClock;
  /** As what this page writes; `null` while it reads along. */
  #as: { readonly tab: string; readonly fence: number } | null;
  #presence: Presence = {};
  #stop: () => void = () => {};

  constructor(options: ConnectionOptions<S>) {
    const { start, updates } = options;
    this.#options = options;
    this.#clock = new DeviceClock(options.clockOffset);
    this.#as = start && { tab: start.tab, fence: start.fence };
    this.membership = options.membership;
    this.keeper = options.keeper({
      document: () => {
        const { replica } = this.#live.peek();
        return replica.isRead.peek() ? replica.doc : null;
      },
      updates: () => this.#live.peek().replica.updates,
      onFenced: () => options.onReplaced?.(),
    });
    this.#live = signal(this.#begin(this.#keptOf(start, updates)));
    this.live = this.#live;
    this.#watch();
    if (start) this.keeper.takeOver(start.taken);
  }

  /** The name that this page writes under; `null` while it reads along. */
  get tab(): string | null {
    return this.#as?.tab ?? null;
  }

  /** How far this device's clock is from the base's; `null` where it has not been compared since the start or a sleep. */
  get clock(): ReadonlySignal<ClockEstimate | null> {
    return this.#clock.shown;
  }

  /** The base's clock as estimated here, ms since 1970. */
  now = (): number => Date.now() + this.#clock.offset;

  /** Tries at once. Does nothing where trying again is of no use. */
  wake(slept: boolean): void {
    const { link } = this.#live.peek();
    const { kind } = link.status.peek();
    if (kind === 'ended' || kind === 'outdated' || kind === 'epoch') return;
    if (slept) this.#clock.reset();
    if (slept || kind !== 'live') link.connect();
  }

  /** Opens a fresh socket, whatever the old one seems to be. */
  reconnect(): void {
    this.#live.peek().link.connect();
  }

  setPresence(presence: Presence): void {
    this.#presence = presence;
    this.#live.peek().link.setPresence(presence);
  }

  /**
   * Goes on as the page that writes.
   *
   * @param updates the document as it was kept meanwhile, of the epoch `epoch`
   */
  write(start: TabStart, epoch: string | null, updates: readonly Uint8Array[]): void {
    if (this.keeper.epoch === null && epoch !== null) this.keeper.begin(epoch);
    const shown = this.#live.peek().replica.updates;
    const fits = epoch === this.keeper.epoch;
    this.#as = { tab: start.tab, fence: start.fence };
    this.#replace(this.#keptOf(start, fits ? [...shown, ...updates] : shown));
    this.keeper.resume();
    this.keeper.takeOver(start.taken);
  }

  /** Stops writing: sends nothing more, writes down what there is, and reads along. Returns what it had. */
  async stopWriting(): Promise<TabRow | null> {
    const { replica, link } = this.#live.peek();
    link.disconnect();
    const row = this.#row(replica);
    this.#stop();
    this.#stop = () => {};
    if (row) this.keeper.saveTab(row);
    await Promise.race([this.keeper.rest(), new Promise((resolve) => setTimeout(resolve, LAST_WORDS_MS))]);
    this.#readAlong();
    return row;
  }

  /** Another page writes already: reads along, and returns what only this page knew of. */
  loseWriting(): readonly TrayItem[] {
    const { replica } = this.#live.peek();
    const left = leftOver(keptIn(replica), this.keeper.saved);
    void this.keeper.rest(false);
    this.#readAlong();
    return left;
  }

  /** Offers edits to their author that another page had and never sent. What stands on the board already is left out. */
  offer(items: readonly TrayItem[]): void {
    const { replica } = this.#live.peek();
    const known = new Set([
      ...replica.tray.peek().map((item) => item.edit.stamp),
      ...(replica.outbox.peek()?.pending ?? []).map((edit) => edit.stamp),
    ]);
    for (const item of items)
      if (!known.has(item.edit.stamp) && !stands(item, replica.shown)) replica.backToTray(item);
  }

  close(): void {
    this.#stop();
    this.#live.peek().link.disconnect();
    void this.keeper.stop();
  }

  /** What a replica starts with. Edits that were made in another epoch are not sent into this one: their author decides. */
  #keptOf(start: TabStart | null, updates: readonly Uint8Array[]): Kept {
    if (!start) return { updates, outbox: null, tray: [] };
    const { epoch } = this.keeper;
    const stale = epoch !== null && start.epoch !== null && start.epoch !== epoch;
    const { outbox, tray, late } = start.kept;
    return stale
      ? { updates, outbox: null, tray: [...tray, ...unsent(start.kept)], late }
      : { updates, outbox, tray, late };
  }

  #readAlong(): void {
    const { updates } = this.#live.peek().replica;
    this.#as = null;
    this.#replace({ updates, outbox: null, tray: [] });
  }

  #begin(kept: Kept): Live<S> {
    const { definition, membership, ports } = this.#options;
    const replica = new Replica<S>({
      definition,
      now: this.now,
      person: { id: membership.personId, role: membership.role },
      kept,
    });
    const link = new Link<S>({
      replica,
      ports: ports(() => this.tab),
      clock: this.#clock,
      epoch: () => this.keeper.epoch,
      onEpoch: (epoch) => this.keeper.begin(epoch),
    });
    return { replica, link };
  }

  #replace(kept: Kept): void {
    this.#stop();
    this.#live.peek().link.disconnect();
    this.#live.value = this.#begin(kept);
    this.#watch();
    const { link } = this.#live.peek();
    link.setPresence(this.#presence);
    link.connect();
  }

  #row(replica: Replica<S>): TabRow | null {
    if (!this.#as) return null;
    const { boardId, personId } = this.membership;
    return {
      board: boardId,
      person: personId,
      tab: this.#as.tab,
      fence: this.#as.fence,
      epoch: this.keeper.epoch,
      outbox: replica.outbox.value,
      tray: replica.tray.value,
      late: replica.late.value,
      at: Date.now(),
    };
  }

  /** Keeps what changes, and starts afresh when the board was restored from a backup. */
  #watch(): void {
    const { replica, link } = this.#live.peek();
    const stopKeeping = replica.hear((update) => this.keeper.append(update));
    const stopTab = effect(() => {
      const row = this.#row(replica);
      if (row) this.keeper.saveTab(row);
    });
    const stopLink = effect(() => {
      const status = link.status.value;
      if (status.kind === 'ended' && status.code === CLOSE.replaced) {
        queueMicrotask(() => this.#options.onReplaced?.());
        return;
      }
      if (status.kind !== 'epoch') return;
      // not inside the effect: the old link is still reporting
      queueMicrotask(() =>
        batch(() => {
          if (this.#live.peek().link !== link) return;
          const tray = replica.unanswered();
          this.keeper.begin(status.hello.epoch);
          this.#replace({ updates: [], outbox: null, tray, late: replica.late.peek() });
        }),
      );
    });
    this.#stop = () => {
      stopKeeping();
      stopTab();
      stopLink();
    };
  }
}

function keptIn<S extends Tables>(replica: Replica<S>): KeptTab {
  return { outbox: replica.outbox.peek(), tray: replica.tray.peek(), late: replica.late.peek() };
}

/** Whether every value of an edit stands on the board as it was set. */
function stands({ edit }: TrayItem, board: BoardReader): boolean {
  return edit.entries.every(
    ({ table, record, field }) => board.cell(table, record, field)?.[1] === edit.stamp,
  );
}

/** Why a link has ended, in the words that the page shows. */
export function endedSentence(code: number): string {
  if (code === CLOSE.replaced) return 'This board is open in another tab of this device, and goes on there.';
  if (code === CLOSE.otherBoard) return 'This session belongs to another board.';
  return 'Your session has ended. Ask the director for a new link to join again.';
}
