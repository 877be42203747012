import {
  type BoardDefinition,
  CLOSE,
  ClockOffset,
  Link,
  type LinkPorts,
  type Presence,
  Replica,
  type ReplicaOptions,
  type Tables,
} from '@plumbline/replica';
import { batch, effect, type ReadonlySignal, type Signal, signal } from '@preact/signals';
import * as Y from 'yjs';
import type { Membership } from '../app/sessions.ts';
import type { Keeper } from './keeper.ts';

/** A replica and the link that keeps it in step: both are made anew when the board's epoch or the tab changes. */
export interface Live<S extends Tables> {
  readonly replica: Replica<S>;
  readonly link: Link<S>;
}

type Kept = NonNullable<ReplicaOptions<Tables>['kept']>;

export interface ConnectionOptions<S extends Tables> {
  readonly definition: BoardDefinition<S>;
  readonly membership: Membership;
  readonly keeper: (wholeDocument: () => Uint8Array) => Keeper;
  readonly tab: string;
  readonly kept: Kept;
  readonly ports: (tab: () => string) => LinkPorts;
  /** A tab's name that nobody has used. */
  readonly freshTab: () => string;
  /** Told when this page goes on as another tab. */
  readonly onTab: (tab: string) => void;
}

/** The page's connection to its board: what is shown, what is kept, and how the base is reached. */
export class Connection<S extends Tables> {
  readonly live: ReadonlySignal<Live<S>>;
  readonly keeper: Keeper;
  readonly membership: Membership;
  readonly #options: ConnectionOptions<S>;
  readonly #live: Signal<Live<S>>;
  readonly #clock = new ClockOffset();
  #tab: string;
  #presence: Presence = {};
  #stop: () => void = () => {};

  constructor(options: ConnectionOptions<S>) {
    this.#options = options;
    this.#tab = options.tab;
    this.membership = options.membership;
    this.keeper = options.keeper(() => Y.encodeStateAsUpdate(this.#live.peek().replica.doc));
    this.#live = signal(this.#begin(options.kept));
    this.live = this.#live;
    this.#watch();
  }

  get tab(): string {
    return this.#tab;
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

  /** Another page took this tab's place: goes on here under a new name. What was unanswered goes to the tray. */
  continueHere(): void {
    const { replica } = this.#live.peek();
    this.#tab = this.#options.freshTab();
    this.#options.onTab(this.#tab);
    this.#replace({
      updates: [Y.encodeStateAsUpdate(replica.doc)],
      outbox: replica.outbox.peek(),
      tray: replica.tray.peek(),
      late: replica.late.peek(),
    });
  }

  close(): void {
    this.#stop();
    this.#live.peek().link.disconnect();
    void this.keeper.stop();
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
      ports: ports(() => this.#tab),
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

  /** Keeps what changes, and starts afresh when the board was restored from a backup. */
  #watch(): void {
    const { replica, link } = this.#live.peek();
    const keep = (update: Uint8Array): void => this.keeper.append(update);
    replica.doc.on('update', keep);
    const stopTab = effect(() => {
      const { boardId, personId } = this.membership;
      this.keeper.saveTab({
        board: boardId,
        person: personId,
        tab: this.#tab,
        epoch: this.keeper.epoch,
        outbox: replica.outbox.value,
        tray: replica.tray.value,
        late: replica.late.value,
        at: Date.now(),
      });
    });
    const stopEpoch = effect(() => {
      const status = link.status.value;
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
      replica.doc.off('update', keep);
      stopTab();
      stopEpoch();
    };
  }
}

/** Why a link has ended, in the words that the page shows. */
export function endedSentence(code: number): string {
  if (code === CLOSE.replaced) return 'This board is open in another tab of this device, and goes on there.';
  if (code === CLOSE.otherBoard) return 'This session belongs to another board.';
  return 'Your session has ended. Ask the director for a new link to join again.';
}
