import { describe, expect, it } from 'vitest';
import {
  ANSWER_MS,
  AskedPen,
  type Channel,
  LOOK_AGAIN_MS,
  LockedPen,
  type Locks,
  type Pen,
  type PenEvents,
} from '../../apps/tablet/src/board/pen.ts';
import { HAND_OVER_MS, UNTAKEN_MS, Writing } from '../../apps/tablet/src/board/writing.ts';
import { randomOf, seedOf } from '../support/random.ts';

/** A browser's pages, its locks, its channels and its timers, moved by hand. */
class Browser {
  time = 1_000;
  readonly locks = new FakeLocks();
  readonly #timers: { at: number; act: () => void }[] = [];
  readonly #channels = new Map<string, Set<FakeChannel>>();
  readonly frozen = new Set<Page>();

  after = (milliseconds: number, act: () => void): (() => void) => {
    const timer = { at: this.time + milliseconds, act };
    this.#timers.push(timer);
    return () => {
      const index = this.#timers.indexOf(timer);
      if (index >= 0) this.#timers.splice(index, 1);
    };
  };

  /** Lets time go by, timers and words in their order. */
  async pass(milliseconds: number): Promise<void> {
    const end = this.time + milliseconds;
    for (;;) {
      await words();
      const next = this.#timers.filter(({ at }) => at <= end).sort((a, b) => a.at - b.at)[0];
      if (!next) break;
      this.#timers.splice(this.#timers.indexOf(next), 1);
      this.time = Math.max(this.time, next.at);
      next.act();
    }
    this.time = end;
    await words();
  }

  channel(name: string, page: Page): Channel {
    const among = this.#channels.get(name) ?? new Set();
    this.#channels.set(name, among);
    const channel = new FakeChannel(among, () => this.frozen.has(page));
    among.add(channel);
    page.channels.push(channel);
    return channel;
  }
}

class FakeChannel implements Channel {
  readonly #among: Set<FakeChannel>;
  readonly #isFrozen: () => boolean;
  #hear: (event: { data: unknown }) => void = () => {};
  #missed: unknown[] = [];

  constructor(among: Set<FakeChannel>, isFrozen: () => boolean) {
    this.#among = among;
    this.#isFrozen = isFrozen;
  }

  postMessage(message: unknown): void {
    for (const other of this.#among) if (other !== this) other.receive(structuredClone(message));
  }

  receive(data: unknown): void {
    if (this.#isFrozen()) this.#missed.push(data);
    else queueMicrotask(() => this.#hear({ data }));
  }

  thaw(): void {
    for (const data of this.#missed.splice(0)) this.receive(data);
  }

  addEventListener(_: 'message', hear: (event: { data: unknown }) => void): void {
    this.#hear = hear;
  }

  close(): void {
    this.#among.delete(this);
  }
}

/** Web Locks as https://www.w3.org/TR/web-locks/ has them, for one name: steal, ifAvailable, a line, an abort. */
class FakeLocks implements Locks {
  #holder: { reject: (error: Error) => void } | null = null;
  readonly #line: (() => void)[] = [];

  request(
    _: string,
    options: { ifAvailable?: boolean; steal?: boolean; signal?: AbortSignal },
    held: (lock: object | null) => Promise<void> | undefined,
  ): Promise<unknown> {
    return new Promise((resolve, reject) => {
      const give = (): void => {
        const holder = { reject };
        this.#holder = holder;
        void held({})?.then(() => {
          if (this.#holder !== holder) return;
          this.#holder = null;
          resolve(undefined);
          this.#line.shift()?.();
        });
      };
      if (options.steal) {
        this.#holder?.reject(new Error('AbortError'));
        give();
      } else if (!this.#holder) give();
      else if (options.ifAvailable) {
        held(null);
        resolve(undefined);
      } else {
        this.#line.push(give);
        options.signal?.addEventListener('abort', () => {
          const place = this.#line.indexOf(give);
          // once it was given, an abort means nothing
          if (place < 0) return;
          this.#line.splice(place, 1);
          reject(new Error('AbortError'));
        });
      }
    });
  }

  query(): Promise<unknown> {
    return Promise.resolve({});
  }
}

/** A page with an outbox that it shares with nobody while it writes. */
class Page {
  readonly name: string;
  readonly channels: FakeChannel[] = [];
  readonly writing: Writing;
  readonly log: string[] = [];
  readonly #browser: Browser;
  /** Edits that only this page knows of. */
  unsaved: string[] = [];

  constructor(browser: Browser, name: string, kind: 'locks' | 'asking') {
    this.name = name;
    this.#browser = browser;
    const pen = (events: PenEvents): Pen =>
      kind === 'locks'
        ? new LockedPen(browser.locks, 'b', events)
        : new AskedPen(
            {
              channel: browser.channel('pen', this),
              page: name,
              now: () => browser.time,
              after: browser.after,
            },
            events,
          );
    this.writing = new Writing(
      { pen, channel: browser.channel('writing', this), page: name, after: browser.after },
      {
        write: async (left) => {
          this.log.push(`write ${JSON.stringify(left)}`);
        },
        stop: async () => {
          this.log.push('stop');
          return [`unanswered of ${name}`];
        },
        lose: async () => {
          this.log.push('lose');
          return this.unsaved.length > 0 ? this.unsaved : null;
        },
        find: (left) => this.log.push(`find ${JSON.stringify(left)}`),
      },
    );
  }

  get part(): string {
    return this.writing.part.value;
  }

  freeze(): void {
    this.#browser.frozen.add(this);
  }

  thaw(): void {
    this.#browser.frozen.delete(this);
    for (const channel of this.channels) channel.thaw();
  }
}

async function words(): Promise<void> {
  for (let i = 0; i < 20; i++) await new Promise((resolve) => setImmediate(resolve));
}

async function open(browser: Browser, name: string, kind: 'locks' | 'asking'): Promise<Page> {
  const page = new Page(browser, name, kind);
  void page.writing.begin();
  await browser.pass(ANSWER_MS + 50);
  return page;
}

for (const kind of ['locks', 'asking'] as const) {
  describe(`one page writes, decided by ${kind}`, () => {
    it('the first page writes, the next reads along', async () => {
      const browser = new Browser();
      const first = await open(browser, 'p1', kind);
      const second = await open(browser, 'p2', kind);
      expect([first.part, second.part]).toEqual(['writing', 'reading']);
      await browser.pass(60_000);
      expect([first.part, second.part]).toEqual(['writing', 'reading']);
    });

    it('of pages opened at one moment exactly one writes', async () => {
      const browser = new Browser();
      const pages = ['p3', 'p1', 'p2'].map((name) => new Page(browser, name, kind));
      for (const page of pages) void page.writing.begin();
      await browser.pass(ANSWER_MS + 50);
      expect(pages.map(({ part }) => part).sort()).toEqual(['reading', 'reading', 'writing']);
    });

    it('one touch takes over: the other stops first, and what it had unanswered is given', async () => {
      const browser = new Browser();
      const first = await open(browser, 'p1', kind);
      const second = await open(browser, 'p2', kind);
      void second.writing.take();
      await browser.pass(ANSWER_MS + 100);
      expect([first.part, second.part]).toEqual(['reading', 'writing']);
      expect(first.log).toEqual(['write null', 'stop']);
      expect(second.log).toEqual(['write ["unanswered of p1"]']);
      void first.writing.take();
      await browser.pass(ANSWER_MS + 100);
      expect([first.part, second.part]).toEqual(['writing', 'reading']);
      expect(first.log.at(-1)).toBe('write ["unanswered of p2"]');
      await browser.pass(60_000);
      expect([first.part, second.part]).toEqual(['writing', 'reading']);
    });

    it('a frozen page is taken over from, and what only it knew of is found when it wakes', async () => {
      const browser = new Browser();
      const first = await open(browser, 'p1', kind);
      const second = await open(browser, 'p2', kind);
      first.unsaved = ['an edit'];
      first.freeze();
      void second.writing.take();
      await browser.pass(HAND_OVER_MS + 50);
      expect(second.part).toBe('writing');
      first.thaw();
      const stillWrites = first.writing.check();
      await browser.pass(ANSWER_MS + 50);
      expect(await stillWrites).toBe(false);
      expect([first.part, second.part]).toEqual(['reading', 'writing']);
      expect(first.log).toEqual(['write null', 'lose']);
      expect(second.log).toEqual(['write null', 'find ["an edit"]']);
    });

    it('when the writing page is closed, one that reads along goes on', async () => {
      const browser = new Browser();
      const first = await open(browser, 'p1', kind);
      const second = await open(browser, 'p2', kind);
      const third = await open(browser, 'p3', kind);
      first.writing.close();
      await browser.pass(LOOK_AGAIN_MS * 3);
      expect([second.part, third.part].sort()).toEqual(['reading', 'writing']);
    });

    it('a page that has handed over goes on where nobody took what it gave', async () => {
      const browser = new Browser();
      const first = await open(browser, 'p1', kind);
      const stranger = browser.channel('writing', new Page(browser, 'x', kind));
      stranger.postMessage({ word: 'want', from: 'gone' });
      await browser.pass(ANSWER_MS + 100);
      expect(first.part).toBe('reading');
      await browser.pass(UNTAKEN_MS + ANSWER_MS + 100);
      expect(first.part).toBe('writing');
      expect(first.log.at(-1)).toBe('write ["unanswered of p1"]');
    });

    it('with any order of opening, closing, freezing and taking over there are never two that write for long', async () => {
      const seed = seedOf(41);
      const random = randomOf(seed).next;
      for (let run = 0; run < 25; run++) {
        const browser = new Browser();
        const pages: Page[] = [];
        const frozen = new Set<Page>();
        for (let step = 0; step < 25; step++) {
          const page = pages[Math.floor(random() * pages.length)];
          const what = random();
          if (!page || what < 0.2) pages.push(await open(browser, `p${step}`, kind));
          else if (what < 0.35) {
            page.writing.close();
            frozen.delete(page);
            pages.splice(pages.indexOf(page), 1);
          } else if (what < 0.5) {
            page.freeze();
            frozen.add(page);
          } else if (what < 0.7) {
            page.thaw();
            frozen.delete(page);
            void page.writing.check();
          } else if (!frozen.has(page)) void page.writing.take();
          await browser.pass(random() * 3_000);
        }
        for (const page of pages) {
          page.thaw();
          void page.writing.check();
        }
        await browser.pass(60_000);
        const writing = pages.filter(({ part }) => part === 'writing').length;
        expect(
          writing,
          `seed ${seed}, run ${run}: ${pages.map(({ name, part }) => `${name} ${part}`).join(', ')}`,
        ).toBe(pages.length === 0 ? 0 : 1);
      }
    });
  });
}

it('a page that crashed, where pages ask each other, is missed by those who read along', async () => {
  const browser = new Browser();
  const first = await open(browser, 'p1', 'asking');
  const second = await open(browser, 'p2', 'asking');
  first.freeze();
  await browser.pass(LOOK_AGAIN_MS * 3);
  expect(second.part).toBe('writing');
});
