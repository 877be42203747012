import type { PresenceEntry } from '@plumbline/replica';
import type { OtherSockets } from '../../sync/hub.ts';
import type { Bus } from '../port.ts';
import { decode, encode, presenceSchema, SUBJECTS, tabSchema } from './messages.ts';

/** What is told of the sockets of other nodes. */
export interface HearsOfOthers {
  heard(board: string, node: string, entries: readonly PresenceEntry[], isAll: boolean): void;
  /** Another node asks who is where here. */
  sayAll(board: string): void;
  tabOpened(session: string, tab: string, at: number): void;
}

/** Who is where, between nodes: over the bus and nowhere kept, since it is of no use a moment later. */
export class SocketsElsewhere implements OtherSockets {
  readonly #bus: Bus;
  readonly #now: () => number;
  readonly #hears: () => HearsOfOthers;
  readonly #stop: () => void;

  /** @param now the board's clock, ms since 1970 */
  constructor(bus: Bus, now: () => number, hears: () => HearsOfOthers) {
    this.#bus = bus;
    this.#now = now;
    this.#hears = hears;
    this.#stop = bus.subscribe(SUBJECTS.tab, ({ bytes }) => {
      const news = decode(tabSchema, bytes);
      if (news && news.node !== bus.node) hears().tabOpened(news.session, news.tab, news.at);
    });
  }

  enter(board: string): () => void {
    const bus = this.#bus;
    const stop = bus.subscribe(SUBJECTS.presence(board), ({ bytes }) => {
      const news = decode(presenceSchema, bytes);
      if (!news || news.node === bus.node) return;
      this.#hears().heard(board, news.node, news.entries, news.isAll);
      if (news.asks) this.#hears().sayAll(board);
    });
    bus.publish(SUBJECTS.presence(board), encode({ node: bus.node, asks: true, isAll: true, entries: [] }));
    return stop;
  }

  said(board: string, entries: readonly PresenceEntry[], isAll: boolean): void {
    const { node } = this.#bus;
    this.#bus.publish(SUBJECTS.presence(board), encode({ node, isAll, entries: [...entries] }));
  }

  opened(session: string, tab: string): void {
    const { node } = this.#bus;
    this.#bus.publish(SUBJECTS.tab, encode({ node, session, tab, at: this.#now() }));
  }

  stop(): void {
    this.#stop();
  }
}
