import { type ReadonlySignal, type Signal, signal } from '@preact/signals';
import * as z from 'zod/mini';
import type { Channel, Pen, PenEvents } from './pen.ts';

/** What a page does on its board. */
export type Part = 'deciding' | 'writing' | 'reading';

/** What a page does when it begins to write or stops writing. `left` is what a page gives to the next, in any form. */
export interface WritingActs {
  /** Goes on as the writing page, with what the page before it gave, `null` where it gave nothing. */
  readonly write: (left: unknown) => Promise<void>;
  /** Sends nothing more, writes down what there is, and returns it for the next page. */
  readonly stop: () => Promise<unknown>;
  /** Another page writes already: returns what it cannot know of, `null` for nothing. */
  readonly lose: () => Promise<unknown>;
  /** Takes in what a page found it had when it woke. */
  readonly find: (left: unknown) => void;
}

export interface WritingPorts {
  readonly pen: (events: PenEvents) => Pen;
  readonly channel: Channel | null;
  /** A name of this page that no other has. */
  readonly page: string;
  readonly after: (milliseconds: number, act: () => void) => () => void;
}

const wordSchema = z.union([
  /** Asks the writing page to hand over. */
  z.object({ word: z.literal('want'), from: z.string() }),
  z.object({ word: z.literal('given'), to: z.string(), left: z.unknown() }),
  z.object({ word: z.literal('found'), left: z.unknown() }),
]);

type Word = z.infer<typeof wordSchema>;

/** How long a page that writes has to hand over: a frozen one never does. */
export const HAND_OVER_MS = 1_500;
/** What is found is on the device as well: of pages that never come to write only so much is remembered. */
const MOST_FOUND = 20;
/** A page that has handed over goes on if nobody takes what it gave. */
export const UNTAKEN_MS = 5_000;

/**
 * Which page of a browser writes on a board, and how one takes over from another without losing or sending twice what
 * is unanswered: a page that is asked stops first, writes down what it has, and gives it; one that is frozen loses the
 * pen, and what only it knew of is found when it wakes.
 */
export class Writing {
  readonly part: ReadonlySignal<Part>;
  readonly #part: Signal<Part> = signal('deciding');
  readonly #ports: WritingPorts;
  readonly #acts: WritingActs;
  readonly #pen: Pen;
  /** Acts follow one another: a page does not begin to write while it still writes down that it stopped. */
  #turn: Promise<void> = Promise.resolve();
  #given: ((left: unknown) => void) | null = null;
  /** What others found while this page was about to write. */
  #found: unknown[] = [];
  #untaken: () => void = () => {};
  #taking: Promise<void> | null = null;
  #closed = false;

  constructor(ports: WritingPorts, acts: WritingActs) {
    this.part = this.#part;
    this.#ports = ports;
    this.#acts = acts;
    this.#pen = ports.pen({
      got: () => void this.#next(() => this.#write(null)),
      lost: () => void this.#next(() => this.#lose()),
    });
    ports.channel?.addEventListener('message', ({ data }) => {
      const parsed = z.safeParse(wordSchema, data);
      if (parsed.success) this.#hear(parsed.data);
    });
  }

  /** Decides at the start which part this page has. */
  async begin(): Promise<Part> {
    const first = await this.#pen.ask();
    await this.#next(async () => {
      if (first) await this.#write(null);
      else if (this.#part.peek() === 'deciding') this.#part.value = 'reading';
    });
    return this.#part.peek();
  }

  /** Takes over the writing. */
  take(): Promise<void> {
    this.#taking ??= this.#take().finally(() => {
      this.#taking = null;
    });
    return this.#taking;
  }

  async #take(): Promise<void> {
    if (this.#part.peek() === 'writing') return;
    const left = await this.#askForIt();
    if (this.#closed) return;
    await this.#pen.seize();
    if (this.#closed) this.#pen.letGo();
    await this.#next(() => this.#write(left));
  }

  /** Whether this page still writes, asked after it may have been frozen. */
  async check(): Promise<boolean> {
    if (this.#part.peek() !== 'writing') return false;
    const has = await this.#pen.check();
    if (!has) await this.#next(() => this.#lose());
    return has;
  }

  /** The base let another page in under this one's name: this one has lost the pen, whatever it heard. */
  replaced(): void {
    void this.#next(() => this.#lose());
  }

  close(): void {
    this.#closed = true;
    this.#untaken();
    this.#pen.letGo();
    this.#ports.channel?.close();
  }

  #next(act: () => Promise<void>): Promise<void> {
    const turn = this.#turn.then(() => (this.#closed ? undefined : act()));
    this.#turn = turn.catch(() => {});
    return turn;
  }

  async #write(left: unknown): Promise<void> {
    this.#untaken();
    if (this.#part.peek() === 'writing') return;
    await this.#acts.write(left);
    this.#part.value = 'writing';
    for (const found of this.#found.splice(0)) this.#acts.find(found);
  }

  async #lose(): Promise<void> {
    this.#untaken();
    if (this.#part.peek() !== 'writing') return;
    this.#part.value = 'reading';
    const left = await this.#acts.lose();
    if (left !== null) this.#say({ word: 'found', left });
  }

  #askForIt(): Promise<unknown> {
    return new Promise((resolve) => {
      const stop = this.#ports.after(HAND_OVER_MS, () => this.#given?.(null));
      this.#given = (left) => {
        this.#given = null;
        stop();
        resolve(left);
      };
      if (this.#ports.channel) this.#say({ word: 'want', from: this.#ports.page });
      else this.#given(null);
    });
  }

  #hear(word: Word): void {
    switch (word.word) {
      case 'want':
        void this.#next(() => this.#handOver(word.from));
        return;
      case 'given':
        if (word.to !== this.#ports.page) return;
        if (this.#given) this.#given(word.left);
        // it came too late to go on with
        else this.#find(word.left);
        return;
      case 'found':
        this.#find(word.left);
    }
  }

  #find(left: unknown): void {
    if (this.#part.peek() === 'writing') this.#acts.find(left);
    else this.#found = [...this.#found, left].slice(-MOST_FOUND);
  }

  async #handOver(to: string): Promise<void> {
    if (this.#part.peek() !== 'writing') return;
    // a page that was frozen hears of a wish that is long fulfilled
    if (!(await this.#pen.check())) {
      await this.#lose();
      return;
    }
    this.#part.value = 'reading';
    const left = await this.#acts.stop();
    this.#say({ word: 'given', to, left });
    this.#untaken = this.#ports.after(UNTAKEN_MS, () => {
      void this.#pen.check().then((has) => {
        if (has) void this.#next(() => this.#write(left));
      });
    });
  }

  #say(word: Word): void {
    this.#ports.channel?.postMessage(word);
  }
}
