import { type Progress, type RecordedFile, recordingsIn, type SumKind } from '@plumbline/shared/reconcile';
import { type ReadonlySignal, signal } from '@preact/signals';
import type { ChosenFile, FromWorker, ToWorker } from './messages.ts';

/** Where the reading stands. */
export type Step = 'choosing' | 'reading' | 'done' | 'stopped' | 'failed';

/** A folder as it was chosen and read on this device. */
export class FolderReading {
  readonly #step = signal<Step>('choosing');
  readonly #files = signal<readonly RecordedFile[]>([]);
  readonly #progress = signal<Progress | null>(null);
  readonly #others = signal(0);
  readonly #folder = signal('');
  /** When the reading began, on the base's clock: what was recorded after is not in it. */
  readonly #begunAt = signal(0);
  readonly #sum = signal<SumKind | null>(null);
  #worker: Worker | null = null;
  #read: RecordedFile[] = [];

  readonly step: ReadonlySignal<Step> = this.#step;
  readonly files: ReadonlySignal<readonly RecordedFile[]> = this.#files;
  readonly progress: ReadonlySignal<Progress | null> = this.#progress;
  readonly others: ReadonlySignal<number> = this.#others;
  readonly folder: ReadonlySignal<string> = this.#folder;
  readonly begunAt: ReadonlySignal<number> = this.#begunAt;
  readonly sum: ReadonlySignal<SumKind | null> = this.#sum;

  /** Reads the recordings among some files, in a worker. */
  begin(chosen: readonly File[], sum: SumKind | null, now: number): void {
    this.#end();
    const found = chosen.map(
      (file): ChosenFile => ({
        file,
        path: file.webkitRelativePath || file.name,
        bytes: file.size,
        modifiedAt: file.lastModified,
      }),
    );
    const { recordings, others } = recordingsIn(found);
    this.#files.value = [];
    this.#read = [];
    this.#progress.value = null;
    this.#others.value = others;
    this.#folder.value = found[0]?.path.split('/').slice(0, -1)[0] ?? '';
    this.#begunAt.value = now;
    this.#sum.value = sum;
    if (recordings.length === 0) {
      this.#step.value = 'done';
      return;
    }
    this.#step.value = 'reading';
    const worker = new Worker(new URL('./wasmWorker.ts', import.meta.url), { type: 'module' });
    this.#worker = worker;
    worker.onmessage = ({ data }: MessageEvent<FromWorker>) => this.#hear(data);
    worker.onerror = () => this.#hear({ kind: 'failed' });
    const message: ToWorker = { kind: 'read', files: recordings, sum };
    worker.postMessage(message);
  }

  /** Stops at once; what was read so far stays. */
  stop(): void {
    if (this.#step.peek() === 'reading') this.#hear({ kind: 'stopped' });
  }

  #hear(message: FromWorker): void {
    switch (message.kind) {
      case 'file':
        this.#read.push(message.file);
        return;
      case 'went':
        this.#progress.value = message.progress;
        return;
      case 'done':
      case 'stopped':
      case 'failed':
        this.#end();
        this.#files.value = this.#read;
        this.#step.value = message.kind;
    }
  }

  #end(): void {
    this.#worker?.terminate();
    this.#worker = null;
  }
}

const readings = new Map<string, FolderReading>();

/** The reading of a board: it goes on while somebody looks at another screen. */
export function readingOf(board: string): FolderReading {
  let reading = readings.get(board);
  if (!reading) {
    reading = new FolderReading();
    readings.set(board, reading);
  }
  return reading;
}
