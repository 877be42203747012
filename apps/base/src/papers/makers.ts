import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { type MadeFile, NoSuchPaper, type PaperAsk, type StandingBoard, TooManyPapers } from './request.ts';
import type { WorkerAnswer, WorkerTask } from './worker.ts';

/** Papers that wait, the one being made included; more are turned away. */
const MOST_WAITING = 12;
/** A paper takes a second or two; one that takes so long will not come, ms. */
const MOST_MS = 60_000;
/** The thread ends when nobody has asked for so long, ms: its fonts take room. */
const IDLE_MS = 60_000;

/** The thread runs compiled code, whether the base does or is read as source. */
const WORKER = fileURLToPath(new URL('../../dist/papers/worker.js', import.meta.url));

interface Waiting {
  readonly task: WorkerTask;
  readonly resolve: (file: MadeFile) => void;
  readonly reject: (error: Error) => void;
}

/**
 * Makes papers in a thread of their own, one after the other, so that nothing of it holds the base up. The thread is
 * started when somebody first asks.
 */
export class PaperMakers {
  readonly #queue: Waiting[] = [];
  #worker: Worker | null = null;
  #current: Waiting | null = null;
  #timer: NodeJS.Timeout | null = null;
  #count = 0;

  /** @throws NoSuchPaper, TooManyPapers, or Error where making it failed */
  make(ask: PaperAsk, board: StandingBoard): Promise<MadeFile> {
    if (this.#queue.length + (this.#current ? 1 : 0) >= MOST_WAITING)
      return Promise.reject(new TooManyPapers());
    return new Promise((resolve, reject) => {
      this.#queue.push({ task: { id: ++this.#count, ask, board }, resolve, reject });
      this.#next();
    });
  }

  /** Whether one more would be turned away: asked before a board is read for it. */
  get isFull(): boolean {
    return this.#queue.length + (this.#current ? 1 : 0) >= MOST_WAITING;
  }

  #next(): void {
    if (this.#current) return;
    const waiting = this.#queue.shift();
    if (!waiting) {
      this.#after(IDLE_MS, () => this.#end());
      return;
    }
    this.#current = waiting;
    const worker = this.#running();
    // The process may not end while somebody waits for a paper.
    worker.ref();
    this.#after(MOST_MS, () => this.#failed(new Error('A paper took too long.')));
    worker.postMessage(waiting.task);
  }

  #running(): Worker {
    if (this.#worker) return this.#worker;
    const worker = new Worker(WORKER, {
      // Not how this process reads its modules: the thread's are compiled.
      execArgv: [],
      resourceLimits: { maxOldGenerationSizeMb: 512 },
    });
    worker.on('message', (answer: WorkerAnswer) => this.#answered(answer));
    worker.on('error', (error) => this.#failed(error instanceof Error ? error : new Error(String(error))));
    this.#worker = worker;
    return worker;
  }

  #answered(answer: WorkerAnswer): void {
    const current = this.#current;
    if (!current || current.task.id !== answer.id) return;
    this.#current = null;
    this.#worker?.unref();
    switch (answer.kind) {
      case 'made':
        current.resolve(answer.file);
        break;
      case 'none':
        current.reject(new NoSuchPaper(answer.sentence));
        break;
      case 'failed':
        current.reject(new Error(answer.reason));
        break;
    }
    this.#next();
  }

  #failed(error: Error): void {
    const current = this.#current;
    this.#current = null;
    this.#end();
    current?.reject(error);
    this.#next();
  }

  #end(): void {
    void this.#worker?.terminate();
    this.#worker = null;
  }

  #after(milliseconds: number, act: () => void): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = setTimeout(act, milliseconds);
    this.#timer.unref();
  }
}
