import type { Database } from '../sqlite/database.ts';
import { readAnswer } from './answers.ts';
import { type About, type Head, hexOf, KNOWN_ROWS, MOST, packBatch } from './batch.ts';
import type { PhotosOut } from './photosOut.ts';
import type { Outlet } from './post.ts';
import { MIRROR_REFUSALS, type MirrorRefusal, MirrorRefused } from './refusals.ts';
import { endOf, OwnLogDamaged, rowsAfter, rowsGradually, sumAt } from './rows.ts';

/** How a mirror is kept up, ms. */
export interface SenderPace {
  /** What was edited meanwhile goes together. */
  readonly gatherMs: number;
  /** A board on which nothing happens is known to be current by a word as often as this. */
  readonly heartbeatMs: number;
  /** The longest that the first new try waits; the next twice as long, and so on up to the last. */
  readonly firstPauseMs: number;
  readonly longestPauseMs: number;
  /** Where it was refused, somebody may have put that right: asked again this often. */
  readonly refusedPauseMs: number;
}

export const SENDER_PACE: SenderPace = {
  gatherMs: 1000,
  heartbeatMs: 10_000,
  firstPauseMs: 1000,
  longestPauseMs: 60_000,
  refusedPauseMs: 10 * 60_000,
};

/** How it stands with the copy elsewhere. */
export type SenderState =
  | { readonly kind: 'starting' }
  /** The other base has everything up to `SenderStanding.seq`, and more is under way or not needed. */
  | { readonly kind: 'following' }
  | { readonly kind: 'cut'; readonly since: number; readonly words: string }
  | { readonly kind: 'refused'; readonly why: MirrorRefusal; readonly words: string };

export interface SenderStanding {
  readonly state: SenderState;
  /** The last row that the other base said it has; `null` before it said so. */
  readonly seq: number | null;
  /** When it last answered, ms; `null` where it has not. */
  readonly heardAt: number | null;
}

export interface SenderPorts {
  readonly database: Database;
  readonly outlet: Outlet;
  readonly photos: PhotosOut;
  readonly about: (board: string) => Promise<About>;
  readonly now: () => number;
  readonly random: () => number;
  readonly pace: SenderPace;
  readonly reports: {
    stored(rows: number): void;
    changed(board: string, state: SenderState): void;
  };
}

/**
 * Brings one board's log to another base, outwards only: each request carries a bounded batch and the answer says what
 * the other base has on disk, so whatever happens to the network, the next request knows where to go on.
 */
export class Sender {
  readonly board: string;
  readonly #ports: SenderPorts;
  #state: SenderState = { kind: 'starting' };
  #seq: number | null = null;
  #heardAt: number | null = null;
  /** What the other base was last told about the board, as text. */
  #told: string | null = null;
  #attempts = 0;
  #isStopped = false;
  #hasNews = true;
  #wake: () => void = () => {};

  constructor(board: string, ports: SenderPorts) {
    this.board = board;
    this.#ports = ports;
  }

  get standing(): SenderStanding {
    return { state: this.#state, seq: this.#seq, heardAt: this.#heardAt };
  }

  /** Runs until {@link stop}. */
  async run(): Promise<void> {
    while (!this.#isStopped) {
      let rest: number;
      try {
        rest = await this.#step();
        this.#attempts = 0;
      } catch (error) {
        if (this.#isStopped) return;
        rest = this.#failed(error);
      }
      if (rest > 0) await this.#sleep(rest);
    }
  }

  /** Rows were stored. Only notes it: whoever stored them waits for nothing. */
  appended(): void {
    if (this.#hasNews) return;
    this.#hasNews = true;
    if (this.#state.kind === 'following') this.#wake();
  }

  stop(): void {
    this.#isStopped = true;
    this.#ports.outlet.close();
    this.#wake();
  }

  /** One request. Returns how long to rest until the next, ms. */
  async #step(): Promise<number> {
    const { database, pace, now, photos } = this.#ports;
    const isBehind = this.#seq === null || endOf(database, this.board).seq > this.#seq;
    const isDue = this.#heardAt === null || now() - this.#heardAt >= pace.heartbeatMs;
    if (isBehind || isDue) {
      const isMore = await this.#sendRows();
      return isMore ? 0 : this.#hasNews ? pace.gatherMs : 1;
    }
    if (this.#hasNews) this.#hasNews = false;
    // Pictures go when all rows have gone, piece by piece: an edit made meanwhile goes before the next piece.
    if (await photos.step()) return this.#hasNews ? 0 : 1;
    return Math.max(1, pace.heartbeatMs - (now() - (this.#heardAt ?? 0)));
  }

  /** Returns whether there is more to be sent at once. */
  async #sendRows(): Promise<boolean> {
    const { database, outlet, now, reports } = this.#ports;
    this.#hasNews = false;
    const after = this.#seq ?? 0;
    const rows = this.#seq === null ? [] : await rowsGradually(database, this.board, after, MOST);
    const end = endOf(database, this.board);
    const before = sumAt(database, this.board, after);
    if (!before) throw new MirrorRefused('history');
    const known = rowsAfter(database, this.board, Math.max(0, after - KNOWN_ROWS), {
      rows: Math.min(after, KNOWN_ROWS),
      bytes: Number.POSITIVE_INFINITY,
    });
    const about = await this.#ports.about(this.board);
    const text = JSON.stringify(about);
    const head: Head = {
      v: 1,
      board: this.board,
      epoch: about.epochs.at(-1)?.id ?? '',
      after,
      before: hexOf(before),
      rows: rows.length,
      sum: hexOf(rows.at(-1)?.sum ?? before),
      end: end.seq,
      time: now(),
      ...(this.#told === text ? {} : { about }),
    };
    const answer = readAnswer(
      await outlet.send('POST', '/api/mirror/rows', await packBatch(head, rows, known)),
    );
    if (this.#isStopped) return false;
    // What the other base has must be what is here, to the last bit.
    const here = sumAt(database, this.board, answer.seq);
    if (!here || hexOf(here) !== answer.sum) throw new MirrorRefused('history');
    this.#told = answer.about ? null : text;
    const gained = answer.seq - after;
    if (this.#seq !== null && gained > 0) reports.stored(gained);
    this.#seq = answer.seq;
    this.#heardAt = now();
    this.#become({ kind: 'following' });
    return answer.about || answer.seq < end.seq;
  }

  /** Returns how long to wait before the next try, ms. */
  #failed(error: unknown): number {
    const { pace, random, now } = this.#ports;
    const refused =
      error instanceof MirrorRefused ? error.why : error instanceof OwnLogDamaged ? 'ownLog' : null;
    this.#told = null;
    if (refused !== null && refused !== 'damaged') {
      this.#become({ kind: 'refused', why: refused, words: MIRROR_REFUSALS[refused] });
      return pace.refusedPauseMs;
    }
    // What is under way may have arrived all the same: the next word asks how far the other base has come.
    const longest = Math.min(pace.longestPauseMs, pace.firstPauseMs * 2 ** this.#attempts++);
    const words = refused ? MIRROR_REFUSALS[refused] : wordsOf(error);
    this.#become({ kind: 'cut', since: this.#state.kind === 'cut' ? this.#state.since : now(), words });
    return Math.max(1, random() * longest);
  }

  #become(state: SenderState): void {
    const was = this.#state;
    this.#state = state;
    if (was.kind !== state.kind) this.#ports.reports.changed(this.board, state);
  }

  #sleep(milliseconds: number): Promise<void> {
    return new Promise((resolve) => {
      const end = (): void => {
        clearTimeout(timer);
        this.#wake = () => {};
        resolve();
      };
      const timer = setTimeout(end, milliseconds);
      timer.unref();
      const isGathering = milliseconds === this.#ports.pace.gatherMs;
      this.#wake = () => {
        if (this.#isStopped) end();
        else if (!isGathering) {
          // What comes in the next moment goes along.
          clearTimeout(timer);
          const soon = setTimeout(end, this.#ports.pace.gatherMs);
          soon.unref();
          this.#wake = () => {
            if (!this.#isStopped) return;
            clearTimeout(soon);
            end();
          };
        }
      };
    });
  }
}

/** What is wrong with the way there, in words; never more than the system says of it. */
function wordsOf(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  const known: Readonly<Record<string, string>> = {
    ECONNREFUSED: 'Nobody answers at that address.',
    ECONNRESET: 'The connection was cut.',
    ENOTFOUND: 'That address is not known here. Is there a network?',
    EAI_AGAIN: 'Names cannot be looked up. Is there a network?',
    ETIMEDOUT: 'The other base does not answer.',
    ENETUNREACH: 'There is no network.',
  };
  return (
    known[code] ??
    (code.includes('CERT') || code.includes('SIGNED')
      ? 'The other base shows a certificate that is not trusted here.'
      : 'The other base cannot be reached.')
  );
}
