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

/**
 * Who is on one board, and where. Every socket speaks for itself alone: under the first client number that it names
 * and nobody else holds, and in the name of the person it belongs to. Stock clients repeat what they hear of others;
 * that is passed over. News is gathered for a moment and passed on together, which bounds the rate whatever is sent.
 */
export class PresenceRoom {
  readonly #tellers = new Map<PresenceTeller, Told | null>();
  readonly #owners = new Map<number, PresenceTeller>();
  readonly #news = new Set<PresenceTeller>();
  readonly #soon: (act: () => void) => void;
  #flushing = false;

  /** @param soon runs something after the gathering time */
  constructor(soon: (act: () => void) => void) {
    this.#soon = soon;
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
    const all = [...this.#tellers.values()].filter((told): told is Told => told?.state != null);
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
    this.#say([{ ...told, state: null }]);
  }

  #flushSoon(): void {
    if (this.#flushing) return;
    this.#flushing = true;
    this.#soon(() => {
      this.#flushing = false;
      const entries = [...this.#news].flatMap((teller) => this.#tellers.get(teller) ?? []);
      this.#news.clear();
      if (entries.length > 0) this.#say(entries);
    });
  }

  #say(entries: readonly PresenceEntry[]): void {
    const frame = awarenessFrame(encodePresence(entries));
    for (const teller of this.#tellers.keys()) teller.presence(frame);
  }
}
