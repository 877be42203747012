import { type ReadonlySignal, type Signal, signal } from '@preact/signals-core';
import { decodePresence, encodePresence, PRESENCE_TIMEOUT_MS } from './presence.ts';
import { type Presence, presenceSchema } from './wire.ts';

/** Somebody's presence, by the number of their tab. */
export type PresentPeople = ReadonlyMap<number, Presence>;

/** Who is on the board as far as one tab has heard, and what it says of itself. */
export class Present {
  readonly people: ReadonlySignal<PresentPeople>;
  readonly #people: Signal<PresentPeople> = signal(new Map());
  readonly #heard = new Map<number, { readonly clock: number; readonly at: number }>();
  readonly #now: () => number;
  #own: Presence = {};
  #clock = 0;

  /** @param now this device's clock, ms */
  constructor(now: () => number) {
    this.#now = now;
    this.people = this.#people;
  }

  /** Where this tab's person is from now on. */
  set(presence: Presence): void {
    this.#own = presence;
  }

  /** This tab's own entry, encoded anew each time, since only a newer one is believed. */
  own(client: number): Uint8Array {
    return encodePresence([{ client, clock: ++this.#clock, state: this.#own }]);
  }

  /** Entries have come in; one that is older than what is known of its tab is left out. */
  hear(bytes: Uint8Array): void {
    const people = new Map(this.#people.peek());
    for (const { client, clock, state } of decodePresence(bytes) ?? []) {
      const known = this.#heard.get(client);
      if (known && known.clock > clock) continue;
      this.#heard.set(client, { clock, at: this.#now() });
      const presence = presenceSchema.safeParse(state);
      if (presence.success) people.set(client, presence.data);
      else people.delete(client);
    }
    this.#people.value = people;
  }

  /** Takes away whoever has not been heard of for long. */
  forgetSilent(): void {
    const people = new Map(this.#people.peek());
    for (const [client, { at }] of this.#heard) {
      if (this.#now() - at < PRESENCE_TIMEOUT_MS) continue;
      this.#heard.delete(client);
      people.delete(client);
    }
    if (people.size !== this.#people.peek().size) this.#people.value = people;
  }

  /** The base is away, so nobody is known to be there. */
  clear(): void {
    this.#people.value = new Map();
    this.#heard.clear();
  }
}
