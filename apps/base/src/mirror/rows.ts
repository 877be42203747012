import { setImmediate as nextTurn } from 'node:timers/promises';
import * as z from 'zod';
import { FIRST_SUM, parseRow, type RowText, rowSum } from '../log/rows.ts';
import { addChanges, ROW, rowSchema } from '../log/sqlite.ts';
import { bytesSchema, type Database } from '../sqlite/database.ts';

/** A row of a log as text, with what it is checked by. */
export interface SummedRow {
  readonly epoch: string;
  readonly text: RowText;
  readonly sum: Uint8Array;
}

/** Where a log ends. */
export interface SummedEnd {
  /** 0 for a log without rows. */
  readonly seq: number;
  readonly sum: Uint8Array;
  /** When the last row was written, ms on the clock of the base that wrote it. */
  readonly at: number | null;
  /** The last stamp that the base which wrote it gave. */
  readonly stamp: number;
}

/** A row of this base's own log that is not what was written. */
export class OwnLogDamaged extends Error {
  override readonly name = 'OwnLogDamaged';
  constructor(board: string, seq: number) {
    super(`board ${board}, row ${seq} does not match its checksum`);
  }
}

const PAGE = 25;
const sumSchema = z.object({ sum: bytesSchema });
const endSchema = z.object({ seq: z.int(), sum: bytesSchema, at: z.number(), stamp: z.number() });

/** The checksum of a row; what precedes the first for row 0, `null` for a row that there is not. */
export function sumAt(database: Database, board: string, seq: number): Uint8Array | null {
  if (seq === 0) return FIRST_SUM;
  return (
    database.one(sumSchema, 'SELECT sum FROM rows WHERE board = ? AND seq = ?', [board, seq])?.sum ?? null
  );
}

/** Where a board's log ends. */
export function endOf(database: Database, board: string): SummedEnd {
  const end = database.one(
    endSchema,
    'SELECT seq, sum, at, stamp FROM rows WHERE board = ? ORDER BY seq DESC LIMIT 1',
    [board],
  );
  return end ?? { seq: 0, sum: FIRST_SUM, at: null, stamp: 0 };
}

/**
 * Rows after one, checked against the chain: as many as there are until one of the limits is passed, and at least one.
 *
 * @throws OwnLogDamaged
 */
export function rowsAfter(
  database: Database,
  board: string,
  after: number,
  most: { readonly rows: number; readonly bytes: number },
): readonly SummedRow[] {
  const taken: SummedRow[] = [];
  let sum = sumAt(database, board, after);
  if (!sum) return taken;
  for (let bytes = 0; ; ) {
    const page = database.all(
      rowSchema,
      `SELECT ${ROW} FROM rows WHERE board = ? AND seq > ? ORDER BY seq LIMIT ?`,
      [board, after + taken.length, Math.min(PAGE, most.rows - taken.length)],
    );
    for (const { epoch, sum: stored, ...text } of page) {
      sum = rowSum(sum, board, epoch, text);
      if (text.seq !== after + taken.length + 1 || Buffer.compare(sum, stored) !== 0)
        throw new OwnLogDamaged(board, after + taken.length + 1);
      taken.push({ epoch, text, sum });
      bytes += text.edit.length + text.outcome.length + (text.update?.length ?? 0);
      if (bytes >= most.bytes) return taken;
    }
    if (page.length === 0 || taken.length >= most.rows) return taken;
  }
}

/** The same, a page in each turn of the event loop: whoever edits meanwhile is not kept waiting. @throws OwnLogDamaged */
export async function rowsGradually(
  database: Database,
  board: string,
  after: number,
  most: { readonly rows: number; readonly bytes: number },
): Promise<readonly SummedRow[]> {
  const taken: SummedRow[] = [];
  for (let bytes = 0; ; ) {
    const rows = Math.min(PAGE, most.rows - taken.length);
    const page = rowsAfter(database, board, after + taken.length, { rows, bytes: most.bytes - bytes });
    taken.push(...page);
    for (const { text } of page) bytes += text.edit.length + text.outcome.length + (text.update?.length ?? 0);
    if (page.length < PAGE || bytes >= most.bytes || taken.length >= most.rows) return taken;
    await nextTurn();
  }
}

const NEW_ROW = 'board, seq, epoch, at, person, writer, n, stamp, edit, outcome, bytes, sum';

/** Puts rows behind the others, text and checksums as they are. In a transaction of the caller's. */
export function putRows(database: Database, board: string, rows: readonly SummedRow[]): void {
  for (const { epoch, text, sum } of rows) {
    const { seq, at, person, writer, n, stamp, edit, outcome, update } = text;
    database.run(`INSERT INTO rows (${NEW_ROW}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`, [
      board,
      seq,
      epoch,
      at,
      person,
      writer,
      n,
      stamp,
      edit,
      outcome,
      update,
      sum,
    ]);
    addChanges(database, board, parseRow(text));
  }
}
