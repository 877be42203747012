import type {
  Batch,
  FirstAnswer,
  HistoryEntry,
  HistoryQuery,
  Log,
  LogEnd,
  LogRow,
  Snapshot,
} from '@plumbline/base';

/** What a {@link FaultyLog} does with the next turns. */
export type Fault =
  | 'none'
  /** The disk takes nothing. */
  | 'refuse'
  /** The disk takes it, and the confirmation is lost. */
  | 'lose the answer'
  /** The disk takes its time: until {@link FaultyLog.release}. */
  | 'hold';

/** A log that fails when told to. */
export class FaultyLog implements Log {
  fault: Fault = 'none';
  /** Turns asked for so far, whatever became of them. */
  asked = 0;
  /** While true nothing can be read either. */
  isBlind = false;
  readonly #log: Log;
  #held: (() => void)[] = [];

  constructor(log: Log) {
    this.#log = log;
  }

  /** Lets the held turns through, and the following. */
  release(): void {
    this.fault = 'none';
    for (const go of this.#held.splice(0)) go();
  }

  async append(batches: readonly Batch[]): Promise<void> {
    this.asked++;
    if (this.fault === 'refuse') throw new Error('the disk is full');
    if (this.fault === 'hold') await new Promise<void>((resolve) => this.#held.push(resolve));
    await this.#log.append(batches);
    if (this.fault === 'lose the answer') throw new Error('the disk went away');
  }

  end(board: string): Promise<LogEnd> {
    return this.#log.end(board);
  }

  async read(board: string, after: number, limit: number): Promise<readonly LogRow[]> {
    if (this.isBlind) throw new Error('the disk cannot be read');
    return this.#log.read(board, after, limit);
  }

  lastAnswered(board: string): Promise<ReadonlyMap<string, number>> {
    return this.#log.lastAnswered(board);
  }

  answer(board: string, writer: string, n: number): Promise<FirstAnswer | null> {
    return this.#log.answer(board, writer, n);
  }

  history(board: string, query: HistoryQuery): Promise<readonly HistoryEntry[]> {
    return this.#log.history(board, query);
  }

  saveSnapshot(board: string, snapshot: Snapshot): Promise<void> {
    return this.#log.saveSnapshot(board, snapshot);
  }

  snapshot(board: string, epoch: string): Promise<Snapshot | null> {
    return this.#log.snapshot(board, epoch);
  }

  highestStamp(): Promise<number> {
    return this.#log.highestStamp();
  }

  async probe(): Promise<void> {
    if (this.fault === 'refuse') throw new Error('the disk is full');
    await this.#log.probe();
  }

  close(): Promise<void> {
    return this.#log.close();
  }
}
