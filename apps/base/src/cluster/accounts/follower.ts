import { setTimeout as wait } from 'node:timers/promises';
import type { ConsumerMessages } from '@nats-io/jetstream';
import { FleetUnfit } from '../log/errors.ts';
import type { AccountsCopy, Applied } from './copy.ts';
import { AccountsFromNewer, AWAY, FleetAway } from './errors.ts';
import type { AccountsReports } from './reports.ts';
import type { AccountsStream, Entry } from './stream.ts';

/** How long an entry may be under way before it is fetched, ms. */
const DELIVERY_MS = 250;
/** How long a pause is before something is fetched again, ms. */
const AGAIN_MS = 50;
const FOLLOW_AGAIN_MS = 250;
/** How often it is asked whether anything was missed, ms. */
const LOOK_MS = 5000;
/** So many entries are waited for at a time when a node starts. */
const STRETCH = 1000;

/** Keeps this node's copy of the accounts as far as the stream is: what is not delivered is fetched. */
export class Follower {
  readonly #stream: AccountsStream;
  readonly #copy: AccountsCopy;
  readonly #reports: AccountsReports;
  readonly #applied: (applied: Applied) => void;
  readonly #moved = new Set<() => void>();
  #messages: ConsumerMessages | null = null;
  #following: Promise<void> = Promise.resolve();
  #fetching: Promise<void> | null = null;
  #looking: NodeJS.Timeout | undefined;
  #misread: AccountsFromNewer | null = null;
  #isClosed = false;

  /** @param applied hears of every entry that was taken in, in order */
  constructor(
    stream: AccountsStream,
    copy: AccountsCopy,
    reports: AccountsReports,
    applied: (applied: Applied) => void,
  ) {
    this.#stream = stream;
    this.#copy = copy;
    this.#reports = reports;
    this.#applied = applied;
  }

  /** Why this node does not know who may come in; `null`: it does. */
  get trouble(): string | null {
    return this.#misread?.message ?? null;
  }

  /**
   * Follows from here on, and resolves once the copy holds all that stood in the stream.
   *
   * @param withinMs how long each stretch of it may take
   * @throws FleetUnfit, FleetAway, or what the engine reports
   */
  async start(withinMs: number): Promise<void> {
    const last = await this.#stream.last();
    if (last < this.#copy.at) {
      throw new FleetUnfit(
        `The servers hold ${last} entries of accounts and this node has met ${this.#copy.at}: they are not those of ` +
          'before, or have lost something. Start with an empty data folder only if nothing in this one is wanted.',
      );
    }
    this.#following = this.#follow();
    this.#looking = setInterval(() => void this.#look(withinMs), LOOK_MS);
    this.#looking.unref();
    try {
      // However many there are: it goes on as long as they come.
      while (this.#copy.at < last) await this.reach(Math.min(last, this.#copy.at + STRETCH), withinMs);
    } catch (error) {
      await this.close();
      throw error;
    }
  }

  async close(): Promise<void> {
    this.#isClosed = true;
    clearInterval(this.#looking);
    this.#messages?.stop();
    await this.#following;
  }

  /** @throws FleetAway where this node cannot know any more who may come in */
  check(): void {
    if (this.#misread) throw new FleetAway(this.#misread.message, { cause: this.#misread });
    if (this.#isClosed) throw new FleetAway('This node is stopping.');
  }

  /** Waits until an entry is taken in, and fetches what is not delivered. @throws FleetAway */
  async reach(at: number, withinMs: number): Promise<void> {
    const until = performance.now() + withinMs;
    while (this.#copy.at < at) {
      this.check();
      const before = this.#copy.at;
      const left = until - performance.now();
      if (left < 1) throw new FleetAway(AWAY);
      await this.#moves(Math.min(DELIVERY_MS, left));
      if (this.#copy.at === before) await this.#fetch();
    }
  }

  /** Resolves when something is taken in, or after so many ms. */
  #moves(withinMs: number): Promise<void> {
    return new Promise((resolve) => {
      const done = (): void => {
        clearTimeout(timer);
        this.#moved.delete(done);
        resolve();
      };
      const timer = setTimeout(done, withinMs);
      this.#moved.add(done);
    });
  }

  /** Fetches the next entry. */
  #fetch(): Promise<void> {
    this.#fetching ??= this.#fetchOne().finally(() => {
      this.#fetching = null;
    });
    return this.#fetching;
  }

  async #fetchOne(): Promise<void> {
    try {
      const entry = await this.#stream.entry(this.#copy.at + 1);
      if (entry?.at === this.#copy.at + 1) {
        this.#take(entry);
        this.#reports.healed(1);
      }
    } catch (error) {
      this.#reports.trouble(error);
      await wait(AGAIN_MS);
    }
  }

  /** Notices what was missed though nobody waits for it. */
  async #look(withinMs: number): Promise<void> {
    const before = this.#copy.at;
    try {
      const last = await this.#stream.last();
      if (last > before && this.#copy.at === before) await this.reach(last, withinMs);
    } catch (error) {
      this.#reports.trouble(error);
    }
  }

  async #follow(): Promise<void> {
    while (!this.#isClosed && !this.#misread) {
      try {
        for await (const entry of this.#stream.follow(this.#copy.at, (messages) => this.#hears(messages))) {
          if (this.#isClosed) break;
          this.#take(entry);
          // One that is missing is fetched by following again from there.
          if (entry.at > this.#copy.at) break;
        }
      } catch (error) {
        if (!this.#isClosed) this.#reports.trouble(error);
      }
      if (!this.#isClosed) await wait(FOLLOW_AGAIN_MS);
    }
  }

  #hears(messages: ConsumerMessages): void {
    this.#messages = messages;
    if (this.#isClosed) messages.stop();
  }

  /** Takes the next entry in; one that is not the next is left. */
  #take({ at, data }: Entry): void {
    if (at !== this.#copy.at + 1) return;
    let applied: Applied;
    try {
      applied = this.#copy.apply(at, data);
    } catch (error) {
      if (error instanceof AccountsFromNewer) this.#misread = error;
      throw error;
    }
    if (applied.id === null) this.#reports.foreign(at);
    this.#applied(applied);
    for (const moved of [...this.#moved]) moved();
  }
}
