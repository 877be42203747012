import {
  awarenessFrame,
  encodePresence,
  type Presence,
  type PresenceEntry,
  presenceSchema,
} from '@plumbline/replica';

/** Who tells where they are: one per socket. */
export interface PresenceTeller {
  readonly person: string;
  /** Hears of the others, and of itself. */
  presence(frame: Uint8Array): void;
}

interface Told {
  readonly client: number;
  readonly clock: number;
  /** `null`: still connected, and nowhere to be seen. */
  readonly state: Presence | null;
}

/** Somebody on another node. */
interface Other extends Told {
  readonly node: string;
}

/**
 * Who is on one board, and where. Every socket speaks for itself alone: under the first client number that it names
 * and nobody else holds, and in the name of the person it belongs to. Stock clients repeat what they hear of others;
 * that is passed over. News is gathered for a moment and passed on together, which bounds the rate whatever is sent.
 */
export class PresenceRoom {
  readonly #tellers = new Map<PresenceTeller, Told | null>();
  readonly #owners = new Map<number, PresenceTeller>();
  readonly #news = new Set<PresenceTeller>();
  /** Those on other nodes, by client. */
  readonly #others = new Map<number, Other>();
  readonly #soon: (act: () => void) => void;
  readonly #outward: (entries: readonly PresenceEntry[]) => void;
  #flushing = false;

  /**
   * @param soon runs something after the gathering time
   * @param outward tells other nodes what those here say
   */
  constructor(
    soon: (act: () => void) => void,
    outward: (entries: readonly PresenceEntry[]) => void = () => {},
  ) {
    this.#soon = soon;
    this.#outward = outward;
  }

  /** What those here have said. */
  get own(): readonly PresenceEntry[] {
    return [...this.#tellers.values()].filter((told): told is Told => told?.state != null);
  }

  get isEmpty(): boolean {
    return this.#tellers.size === 0;
  }

  /** Somebody comes in and hears who is here. */
  join(teller: PresenceTeller): void {
    this.#tellers.set(teller, null);
    this.sayAll(teller);
  }

  /** Tells one everybody's presence. */
  sayAll(teller: PresenceTeller): void {
    const all = [...this.own, ...this.#others.values()];
    if (all.length > 0) teller.presence(awarenessFrame(encodePresence(all)));
  }

  /** Takes what a socket says: of itself, by schema; all else is dropped. */
  tell(teller: PresenceTeller, entries: readonly PresenceEntry[]): void {
    const before = this.#tellers.get(teller);
    if (before === undefined) return;
    for (const { client, clock, state } of entries) {
      const owner = this.#owners.get(client);
      if (owner ? owner !== teller : before !== null) continue;
      if (before && clock <= before.clock) continue;
      const presence = state === null ? null : presenceSchema.safeParse(state);
      if (presence ? !presence.success : before === null) continue;
      const said = presence?.data ? { ...presence.data, person: teller.person } : null;
      this.#owners.set(client, teller);
      this.#tellers.set(teller, { client, clock, state: said });
      this.#news.add(teller);
      this.#flushSoon();
      return;
    }
  }

  /** Somebody goes; the others are told at once. */
  leave(teller: PresenceTeller): void {
    const told = this.#tellers.get(teller);
    this.#tellers.delete(teller);
    this.#news.delete(teller);
    if (!told) return;
    this.#owners.delete(told.client);
    if (told.state === null) return;
    // With the clock they last said: so they may come back under the next.
    const gone = [{ ...told, state: null }];
    this.#say(gone);
    this.#outward(gone);
  }

  /** Takes what another node says of its sockets. @param isAll whether it has no others */
  hear(node: string, entries: readonly PresenceEntry[], isAll: boolean): void {
    const news: PresenceEntry[] = [];
    for (const { client, clock, state } of entries) {
      const known = this.#others.get(client);
      if (this.#owners.has(client) || (known && known.node !== node && clock <= known.clock)) continue;
      if (state === null) {
        if (known?.node === node && this.#others.delete(client)) news.push({ client, clock, state });
        continue;
      }
      const presence = presenceSchema.safeParse(state);
      if (!presence.success) continue;
      this.#others.set(client, { client, clock, state: presence.data, node });
      if (known?.clock !== clock) news.push({ client, clock, state: presence.data });
    }
    const named = new Set(entries.map(({ client }) => client));
    if (isAll) news.push(...this.#forget((other) => other.node === node && !named.has(other.client)));
    if (news.length > 0) this.#say(news);
  }

  /** Whoever was on a node that is dead is not to be seen any more. */
  gone(node: string): void {
    const gone = this.#forget((other) => other.node === node);
    if (gone.length > 0) this.#say(gone);
  }

  #forget(isGone: (other: Other) => boolean): PresenceEntry[] {
    const gone = [...this.#others.values()].filter(isGone);
    for (const { client } of gone) this.#others.delete(client);
    return gone.map(({ client, clock }) => ({ client, clock, state: null }));
  }

  #flushSoon(): void {
    if (this.#flushing) return;
    this.#flushing = true;
    this.#soon(() => {
      this.#flushing = false;
      const entries = [...this.#news].flatMap((teller) => this.#tellers.get(teller) ?? []);
      this.#news.clear();
      if (entries.length === 0) return;
      this.#say(entries);
      this.#outward(entries);
    });
  }

  #say(entries: readonly PresenceEntry[]): void {
    const frame = awarenessFrame(encodePresence(entries));
    for (const teller of this.#tellers.keys()) teller.presence(frame);
  }
}
