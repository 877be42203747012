import * as z from 'zod/mini';

/**
 * What says which page of a browser writes on a board: one page has the pen, the others read along. Two kinds: held by
 * the browser's own locks, or, where there are none (plain http), by asking the other pages.
 */
export interface Pen {
  /** Takes the pen where nobody has it. Otherwise this page waits in line, and `got` is told when its turn comes. */
  ask(): Promise<boolean>;
  /** Takes it from whoever has it. */
  seize(): Promise<void>;
  /** Whether this page still has it: a page that was frozen may have lost it without hearing so. */
  check(): Promise<boolean>;
  /** Puts it down, and leaves the line. */
  letGo(): void;
}

/** What a page is told of its pen. */
export interface PenEvents {
  /** It has come to this page: whoever had it is gone. */
  got(): void;
  /** Another page has it now. */
  lost(): void;
}

/** The least of the browser's lock manager that is used here. */
export interface Locks {
  request(
    name: string,
    options: { ifAvailable?: boolean; steal?: boolean; signal?: AbortSignal },
    held: (lock: object | null) => Promise<void> | undefined,
  ): Promise<unknown>;
  query(): Promise<unknown>;
}

/** A pen held by a lock of the browser: it is free at once when its page is closed or crashes. */
export class LockedPen implements Pen {
  readonly #locks: Locks;
  readonly #name: string;
  readonly #events: PenEvents;
  #release: (() => void) | null = null;
  #line: AbortController | null = null;

  constructor(locks: Locks, name: string, events: PenEvents) {
    this.#locks = locks;
    this.#name = name;
    this.#events = events;
  }

  async ask(): Promise<boolean> {
    const got = await this.#hold({ ifAvailable: true });
    if (!got) this.#queue();
    return got;
  }

  async seize(): Promise<void> {
    this.#line?.abort();
    this.#line = null;
    await this.#hold({ steal: true });
  }

  async check(): Promise<boolean> {
    // by the time the browser has answered, it has also said whether the lock was taken away
    await this.#locks.query().catch(() => null);
    return this.#release !== null;
  }

  letGo(): void {
    this.#line?.abort();
    this.#line = null;
    const release = this.#release;
    this.#release = null;
    release?.();
  }

  #queue(): void {
    const line = new AbortController();
    this.#line = line;
    void this.#hold({ signal: line.signal }).then((got) => {
      if (got) this.#events.got();
    });
  }

  /** Resolves to whether the lock was given; it is then held until it is let go or taken away. */
  #hold(options: { ifAvailable?: boolean; steal?: boolean; signal?: AbortSignal }): Promise<boolean> {
    return new Promise((resolve) => {
      let mine: (() => void) | null = null;
      this.#locks
        .request(this.#name, options, (lock) => {
          if (!lock) {
            resolve(false);
            return undefined;
          }
          return new Promise<void>((release) => {
            mine = release;
            this.#release = release;
            resolve(true);
          });
        })
        .catch(() => {
          // called off while in line, or taken away
          resolve(false);
          if (mine === null || this.#release !== mine) return;
          this.#release = null;
          this.#events.lost();
          this.#queue();
        });
    });
  }
}

/** What pages say to each other. */
const wordSchema = z.object({
  /** `first`: the speaker does not have it, but asked for it earlier. */
  word: z.enum(['who', 'mine', 'first', 'free']),
  from: z.string(),
  /** When the speaker took the pen, or asked for it, ms. */
  since: z.number(),
});

type Word = z.infer<typeof wordSchema>;

/** The least of a BroadcastChannel that is used here. */
export interface Channel {
  postMessage(message: unknown): void;
  addEventListener(type: 'message', hear: (event: { data: unknown }) => void): void;
  close(): void;
}

/** What asking needs from outside. */
export interface AskingPorts {
  readonly channel: Channel;
  /** A name of this page that no other has. */
  readonly page: string;
  readonly now: () => number;
  /** Runs `act` after a while; the function returned stops it. */
  readonly after: (milliseconds: number, act: () => void) => () => void;
}

/** How long the others have to answer. A frozen page does not, and is told when it wakes. */
export const ANSWER_MS = 250;
/** How often a page in line asks whether the pen's holder is still there: a page that crashed says nothing. */
export const LOOK_AGAIN_MS = 4_000;
/** A busy page may miss one question, but not so many in a row. */
const MISSES = 2;

/** A pen for browsers that have no locks here: whoever has it says so when asked. */
export class AskedPen implements Pen {
  readonly #ports: AskingPorts;
  readonly #events: PenEvents;
  #state: 'none' | 'asking' | 'held' | 'line' = 'none';
  #since = 0;
  /** The latest time that anybody said to have taken it. */
  #latest = 0;
  #answered = false;
  #misses = 0;
  #stopTimer: () => void = () => {};

  constructor(ports: AskingPorts, events: PenEvents) {
    this.#ports = ports;
    this.#events = events;
    ports.channel.addEventListener('message', ({ data }) => {
      const parsed = z.safeParse(wordSchema, data);
      if (parsed.success) this.#hear(parsed.data);
    });
  }

  async ask(): Promise<boolean> {
    this.#state = 'asking';
    this.#since = this.#ports.now();
    const taken = await this.#question();
    if (this.#state !== 'asking') return false;
    if (taken) {
      this.#getInLine();
      return false;
    }
    this.#hold();
    return true;
  }

  seize(): Promise<void> {
    this.#hold();
    return Promise.resolve();
  }

  async check(): Promise<boolean> {
    if (this.#state !== 'held') return false;
    await this.#question();
    return this.#state === 'held';
  }

  letGo(): void {
    this.#stopTimer();
    if (this.#state === 'held') this.#say('free');
    this.#state = 'none';
  }

  #hold(): void {
    this.#stopTimer();
    this.#state = 'held';
    // later than anybody's, also where the device's clock was set back
    this.#since = Math.max(this.#ports.now(), this.#latest + 1);
    // whoever still thinks to have it hears of it now, or when it wakes
    this.#say('mine');
  }

  /** Whether anybody has the pen, or asked for it before this page did. */
  #question(): Promise<boolean> {
    this.#answered = false;
    this.#say('who');
    return new Promise((resolve) => {
      this.#ports.after(ANSWER_MS, () => resolve(this.#answered));
    });
  }

  #getInLine(): void {
    this.#state = 'line';
    this.#misses = 0;
    this.#look(LOOK_AGAIN_MS);
  }

  #look(milliseconds: number): void {
    this.#stopTimer();
    this.#stopTimer = this.#ports.after(milliseconds, () => {
      this.#since = this.#ports.now();
      void this.#question().then((taken) => {
        if (this.#state !== 'line') return;
        this.#misses = taken ? 0 : this.#misses + 1;
        if (this.#misses < MISSES) {
          this.#look(taken ? LOOK_AGAIN_MS : ANSWER_MS);
          return;
        }
        this.#hold();
        this.#events.got();
      });
    });
  }

  #hear({ word, from, since }: Word): void {
    if (from === this.#ports.page) return;
    switch (word) {
      case 'who':
        if (this.#state === 'held') this.#say('mine');
        // of two that ask at once the earlier one comes first
        else if (this.#state === 'asking' && this.#before(since, from)) this.#say('first');
        return;
      case 'first':
        if (!this.#before(since, from)) this.#answered = true;
        return;
      case 'mine':
        this.#answered = true;
        this.#latest = Math.max(this.#latest, since);
        // the one who took it last has it
        if (this.#state === 'held' && this.#before(since, from)) {
          this.#getInLine();
          this.#events.lost();
        }
        return;
      case 'free':
        if (this.#state === 'line') {
          this.#misses = MISSES - 1;
          this.#look(0);
        }
    }
  }

  /** Whether this page's time is before another's; names decide between equal times. */
  #before(since: number, from: string): boolean {
    return this.#since < since || (this.#since === since && this.#ports.page < from);
  }

  #say(word: Word['word']): void {
    this.#ports.channel.postMessage({ word, from: this.#ports.page, since: this.#since });
  }
}

/** A pen where pages cannot talk to each other at all: everybody has one, and the base tells tabs apart. */
export class LonePen implements Pen {
  ask(): Promise<boolean> {
    return Promise.resolve(true);
  }
  seize(): Promise<void> {
    return Promise.resolve();
  }
  check(): Promise<boolean> {
    return Promise.resolve(true);
  }
  letGo(): void {}
}
