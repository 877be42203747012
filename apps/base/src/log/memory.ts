import type { Stamp } from '@plumbline/replica';
import {
  type Batch,
  type FirstAnswer,
  type HistoryEntry,
  type HistoryQuery,
  type Log,
  LogConflict,
  type LogEnd,
  type LogRow,
  type Snapshot,
} from './port.ts';
import { changesOf, historyEntry, isAskedFor, parseRow, rowText, wholeRows } from './rows.ts';

/** A log that forgets everything with its process: for tests, and for boards that are played and thrown away. */
export class MemoryLog implements Log {
  readonly #rows = new Map<string, LogRow[]>();
  readonly #snapshots = new Map<string, Snapshot[]>();

  async append(batches: readonly Batch[]): Promise<void> {
    for (const { board, rows } of batches) {
      const kept = this.#rows.get(board) ?? [];
      rows.forEach((row, index) => {
        const next = kept.length + 1 + index;
        if (row.seq !== next) throw new LogConflict(board, next, row.seq);
      });
      const repeated = rows.find((row) => kept.some((old) => old.writer === row.writer && old.n === row.n));
      if (repeated) throw new LogConflict(board, kept.length + 1, repeated.seq);
    }
    for (const { board, rows } of batches) {
      const copies = rows.map((row) => parseRow({ ...rowText(row), update: row.update?.slice() ?? null }));
      this.#rows.set(board, [...(this.#rows.get(board) ?? []), ...copies]);
    }
  }

  async end(board: string): Promise<LogEnd> {
    const last = this.#rows.get(board)?.at(-1);
    return { seq: last?.seq ?? 0, stamp: last?.stamp ?? 0 };
  }

  async read(board: string, after: number, limit: number): Promise<readonly LogRow[]> {
    return (this.#rows.get(board) ?? []).slice(after, after + limit);
  }

  async lastAnswered(board: string): Promise<ReadonlyMap<string, number>> {
    const last = new Map<string, number>();
    for (const { writer, n } of this.#rows.get(board) ?? []) last.set(writer, n);
    return last;
  }

  async answer(board: string, writer: string, n: number): Promise<FirstAnswer | null> {
    const row = this.#rows.get(board)?.find((each) => each.writer === writer && each.n === n);
    return row ? { stamp: row.edit.stamp, outcome: row.outcome } : null;
  }

  async history(board: string, query: HistoryQuery): Promise<readonly HistoryEntry[]> {
    const older = (this.#rows.get(board) ?? [])
      .filter((row) => row.seq < (query.before ?? Infinity))
      .reverse();
    return wholeRows(
      older.map((row) =>
        changesOf(row.edit, row.outcome)
          .filter((change) => isAskedFor(query, change))
          .map(({ index }) => historyEntry(row, index))
          .filter((entry) => entry !== null)
          .reverse(),
      ),
      query.limit,
    );
  }

  async saveSnapshot(board: string, snapshot: Snapshot): Promise<void> {
    const copy = { ...snapshot, bytes: snapshot.bytes.slice() };
    const known = this.#snapshots.get(board) ?? [];
    const ofEpoch = known.filter(({ epoch }) => epoch === snapshot.epoch);
    const others = known.filter(({ epoch }) => epoch !== snapshot.epoch);
    const kept = [copy, ...ofEpoch.slice(0, 1), ...ofEpoch.slice(1).slice(-1)];
    this.#snapshots.set(board, [...kept, ...others]);
  }

  async snapshot(board: string, epoch: string): Promise<Snapshot | null> {
    return this.#snapshots.get(board)?.find((each) => each.epoch === epoch) ?? null;
  }

  async highestStamp(): Promise<Stamp> {
    return Math.max(0, ...[...this.#rows.values()].map((rows) => rows.at(-1)?.stamp ?? 0));
  }

  async probe(): Promise<void> {}

  async close(): Promise<void> {}
}
