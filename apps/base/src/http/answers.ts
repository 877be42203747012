import type { BoardReader } from '@plumbline/replica';
import type { Board } from '../board/board.ts';
import type { Core } from '../board/core.ts';
import { doInSteps, type InSteps } from '../pause.ts';

interface Known {
  readonly seq: number;
  /** Set while it is being worked out. */
  running: Promise<Uint8Array> | null;
  /** Kept as long as memory allows: the answer for a long shoot is of many megabytes. */
  done: WeakRef<Uint8Array> | null;
}

/**
 * Answers about whole boards. Each is worked out once for the state that is asked about, in steps, the others' turns in
 * between; meanwhile the board goes on, and the answer speaks of it as it stood. One at a time for each board.
 */
export class Answers {
  readonly #work: (board: BoardReader) => InSteps<Uint8Array>;
  readonly #known = new WeakMap<Core, Known>();

  constructor(work: (board: BoardReader) => InSteps<Uint8Array>) {
    this.#work = work;
  }

  /** The answer for a board as it stands now, or as it stands when its turn has come. @throws NotStored */
  async of(board: Board): Promise<Uint8Array> {
    for (;;) {
      const answer = await board.read((core) => this.#answer(core));
      if (answer) return answer;
    }
  }

  /** `null` where another had to be waited for. */
  async #answer(core: Core): Promise<Uint8Array | null> {
    const known = this.#known.get(core);
    if (known?.seq === core.seq) {
      const there = known.running ?? known.done?.deref();
      if (there) return there;
    } else if (known?.running) {
      await known.running.catch(() => {});
      return null;
    }
    const next: Known = { seq: core.seq, running: null, done: null };
    this.#known.set(core, next);
    const pinned = core.state.pin();
    next.running = doInSteps(this.#work(pinned)).finally(() => {
      pinned.release();
      next.running = null;
    });
    const answer = await next.running;
    next.done = new WeakRef(answer);
    return answer;
  }
}

/** JSON text as bytes, gathered in steps. */
export class JsonText {
  readonly #parts: Buffer[] = [];
  #text = '';

  add(text: string): void {
    this.#text += text;
    if (this.#text.length > 64 * 1024) this.#flush();
  }

  bytes(): Uint8Array {
    this.#flush();
    return Buffer.concat(this.#parts);
  }

  #flush(): void {
    this.#parts.push(Buffer.from(this.#text));
    this.#text = '';
  }
}
