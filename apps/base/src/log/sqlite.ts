import { setImmediate as nextTurn } from 'node:timers/promises';
import type { Stamp } from '@plumbline/replica';
import * as z from 'zod';
import { bytesSchema, type Database, textColumn, textSchema } from '../sqlite/database.ts';
import {
  type Batch,
  type FirstAnswer,
  type HistoryEntry,
  type HistoryQuery,
  type Log,
  LogConflict,
  LogCorrupt,
  type LogEnd,
  type LogRow,
  MAX_HISTORY,
  type Snapshot,
} from './port.ts';
import {
  changesOf,
  FIRST_SUM,
  historyEntry,
  isAskedFor,
  parseEdit,
  parseOutcome,
  parseRow,
  rowSum,
  rowText,
  wholeRows,
} from './rows.ts';
import { newestSnapshot, saveSnapshot } from './snapshots.ts';

/** A row as the table holds it. */
export const rowSchema = z
  .object({
    seq: z.int(),
    epoch: textSchema,
    at: z.number(),
    person: textSchema.nullable(),
    writer: textSchema,
    n: z.int(),
    stamp: z.number(),
    edit: textSchema,
    outcome: textSchema,
    bytes: bytesSchema.nullable(),
    sum: bytesSchema,
  })
  .transform(({ bytes, ...row }) => ({ ...row, update: bytes }));

/** The columns of a row, for {@link rowSchema}. */
export const ROW = [
  'seq',
  textColumn('epoch'),
  'at',
  textColumn('person'),
  textColumn('writer'),
  'n',
  'stamp',
  textColumn('edit'),
  textColumn('outcome'),
  'bytes',
  'sum',
].join(', ');
const NEW_ROW = 'board, seq, epoch, at, person, writer, n, stamp, edit, outcome, bytes, sum';
const endSchema = z.object({ seq: z.int(), stamp: z.number(), sum: bytesSchema });

/** The log in the data file. */
export class SqliteLog implements Log {
  readonly #database: Database;

  constructor(database: Database) {
    this.#database = database;
  }

  async append(batches: readonly Batch[]): Promise<void> {
    this.#database.transaction(() => {
      for (const batch of batches) this.#appendBatch(batch);
    });
  }

  #appendBatch({ board, epoch, rows }: Batch): void {
    const end = this.#end(board);
    let { seq, sum } = end ?? { seq: 0, sum: FIRST_SUM };
    for (const row of rows) {
      seq++;
      if (row.seq !== seq) throw new LogConflict(board, seq, row.seq);
      const text = rowText(row);
      sum = rowSum(sum, board, epoch, text);
      this.#database.run(`INSERT INTO rows (${NEW_ROW}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, [
        board,
        seq,
        epoch,
        text.at,
        text.person,
        text.writer,
        text.n,
        text.stamp,
        text.edit,
        text.outcome,
        text.update,
        sum,
      ]);
      addChanges(this.#database, board, row);
    }
  }

  async end(board: string): Promise<LogEnd> {
    const end = this.#end(board);
    return { seq: end?.seq ?? 0, stamp: end?.stamp ?? 0 };
  }

  async read(board: string, after: number, limit: number): Promise<readonly LogRow[]> {
    const rows = this.#database.all(
      z.looseObject({ seq: z.unknown() }),
      `SELECT ${ROW} FROM rows WHERE board = ? AND seq > ? ORDER BY seq LIMIT ?`,
      [board, after, limit],
    );
    const before = this.#database.one(
      z.object({ sum: bytesSchema }),
      'SELECT sum FROM rows WHERE board = ? AND seq = ?',
      [board, after],
    );
    let sum: Uint8Array = before?.sum ?? FIRST_SUM;
    return rows.map((raw, index) => {
      const parsed = rowSchema.safeParse(raw);
      if (!parsed.success) throw new LogCorrupt(board, after + 1 + index, 'does not have the form of a row');
      const row = parsed.data;
      if (row.seq !== after + 1 + index) throw new LogCorrupt(board, after + 1 + index, 'is missing');
      sum = rowSum(sum, board, row.epoch, row);
      if (Buffer.compare(sum, row.sum) !== 0)
        throw new LogCorrupt(board, row.seq, 'does not match its checksum');
      return parseRow(row);
    });
  }

  async lastAnswered(board: string): Promise<ReadonlyMap<string, number>> {
    const rows = this.#database.all(
      z.object({ writer: textSchema, last: z.int() }),
      // From writer to writer by the index: reading every row of a long shoot would hold everybody up.
      `WITH RECURSIVE names (name) AS (
         SELECT min(writer) FROM rows WHERE board = ?1
         UNION ALL
         SELECT (SELECT min(writer) FROM rows WHERE board = ?1 AND writer > name) FROM names WHERE name IS NOT NULL
       )
       SELECT CAST(name AS BLOB) AS writer, (SELECT max(n) FROM rows WHERE board = ?1 AND writer = name) AS last
       FROM names WHERE name IS NOT NULL`,
      [board],
    );
    return new Map(rows.map(({ writer, last }) => [writer, last]));
  }

  async answer(board: string, writer: string, n: number): Promise<FirstAnswer | null> {
    const row = this.#database.one(
      z.object({ edit: textSchema, outcome: textSchema }),
      `SELECT ${textColumn('edit')}, ${textColumn('outcome')} FROM rows WHERE board = ? AND writer = ? AND n = ?`,
      [board, writer, n],
    );
    return row && { stamp: parseEdit(row.edit).stamp, outcome: parseOutcome(row.outcome) };
  }

  async history(board: string, query: HistoryQuery): Promise<readonly HistoryEntry[]> {
    return wholeRows(
      query.table === undefined ? this.#byRow(board, query) : this.#byCell(board, query),
      query.limit,
    );
  }

  /** Without a table the rows are walked backwards, page by page, and others have their turn in between. */
  async *#byRow(board: string, query: HistoryQuery): AsyncIterable<HistoryEntry[]> {
    let before = query.before ?? Number.MAX_SAFE_INTEGER;
    for (;;) {
      const rows = this.#database.all(
        rowSchema,
        `SELECT ${ROW} FROM rows WHERE board = ? AND seq < ? ORDER BY seq DESC LIMIT 100`,
        [board, before],
      );
      for (const row of rows.map(parseRow)) {
        const asked = changesOf(row.edit, row.outcome).filter((change) => isAskedFor(query, change));
        yield tell(row, asked.map(({ index }) => index).reverse());
      }
      const last = rows.at(-1);
      if (!last) return;
      before = last.seq;
      await nextTurn();
    }
  }

  /** With a table the index says which rows to read. */
  *#byCell(board: string, query: HistoryQuery): Iterable<HistoryEntry[]> {
    const found = this.#database.all(
      z.object({ seq: z.int(), place: z.int() }),
      `SELECT seq, place FROM changes WHERE board = ?1 AND tbl = ?2 AND (?3 IS NULL OR record = ?3)
       AND (?4 IS NULL OR field = ?4) AND seq < ?5 ORDER BY seq DESC, place DESC LIMIT ?6`,
      [
        board,
        query.table ?? null,
        query.record ?? null,
        query.field ?? null,
        query.before ?? Number.MAX_SAFE_INTEGER,
        MAX_HISTORY + 1,
      ],
    );
    const placesOf = new Map<number, number[]>();
    for (const { seq, place } of found) placesOf.set(seq, [...(placesOf.get(seq) ?? []), place]);
    for (const [seq, places] of placesOf) {
      const row = this.#database.one(rowSchema, `SELECT ${ROW} FROM rows WHERE board = ? AND seq = ?`, [
        board,
        seq,
      ]);
      if (row) yield tell(parseRow(row), places);
    }
  }

  saveSnapshot(board: string, snapshot: Snapshot): Promise<void> {
    return saveSnapshot(this.#database, board, snapshot);
  }

  snapshot(board: string, epoch: string): Promise<Snapshot | null> {
    return newestSnapshot(this.#database, board, epoch);
  }

  async highestStamp(): Promise<Stamp> {
    const { highest } = z.object({ highest: z.number() }).parse(
      this.#database.one(
        z.object({ highest: z.number() }),
        `SELECT coalesce(max((SELECT stamp FROM rows WHERE board = boards.id ORDER BY seq DESC LIMIT 1)), 0) AS highest
         FROM (SELECT DISTINCT board AS id FROM rows) AS boards`,
      ),
    );
    return highest;
  }

  async probe(): Promise<void> {
    // As much as a turn may need, so that a disk without room is noticed though this row itself would still fit.
    this.#database.transaction(() => {
      this.#database.run('UPDATE probe SET count = zeroblob(16384)');
      this.#database.run('UPDATE probe SET count = 0');
    });
  }

  async close(): Promise<void> {}

  #end(board: string): z.infer<typeof endSchema> | null {
    return this.#database.one(
      endSchema,
      'SELECT seq, stamp, sum FROM rows WHERE board = ? ORDER BY seq DESC LIMIT 1',
      [board],
    );
  }
}

function tell(row: LogRow, places: readonly number[]): HistoryEntry[] {
  return places.map((place) => historyEntry(row, place)).filter((entry) => entry !== null);
}

/** Notes which cells a row set, for the history. */
export function addChanges(
  database: Database,
  board: string,
  { seq, edit, outcome }: Pick<LogRow, 'seq' | 'edit' | 'outcome'>,
): void {
  for (const { table, record, field, index } of changesOf(edit, outcome)) {
    database.run('INSERT INTO changes VALUES (?, ?, ?, ?, ?, ?)', [board, table, record, field, seq, index]);
  }
}
