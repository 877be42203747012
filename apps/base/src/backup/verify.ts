import * as z from 'zod';
import { epochsOf } from '../accounts/sqlite.ts';
import { changesOf, FIRST_SUM, parseRow, rowSum } from '../log/rows.ts';
import { partsOf } from '../log/snapshots.ts';
import { rowSchema } from '../log/sqlite.ts';
import { bytesSchema, type Database, textColumn, textSchema } from '../sqlite/database.ts';
import { isSound, Replay, type StoredSnapshot, storedRows } from './boardReplay.ts';
import { keptTables, rowsOf } from './tables.ts';

/** Something in a data file that is not as it was written. */
export interface Flaw {
  readonly board: string | null;
  /** The log's row, where it is about one. */
  readonly row: number | null;
  readonly what: string;
}

/** What was looked at, and what was found. */
export interface Verdict {
  readonly boards: readonly {
    readonly id: string;
    readonly rows: number;
    /** The end of its chain of checksums, hex: two logs that end alike are the same. */
    readonly sum: string;
  }[];
  readonly flaws: readonly Flaw[];
}

/** So many flaws are told of one board; more say nothing new. */
const MOST_FLAWS = 100;

/** Tables that are looked at more closely than for whether they can be read. */
const LOOKED_AT: ReadonlySet<string> = new Set(['rows', 'snapshots', 'snapshot_parts']);

const snapshotSchema = z.object({ epoch: textSchema, seq: z.int(), bytes: bytesSchema, sum: bytesSchema });

/**
 * Checks a data file as it stands at this moment: the file itself, every row against the chain of checksums, every
 * snapshot against the replayed log, the history's index against the rows, and each writer's count. Nothing is changed.
 */
export function verifyDatabase(database: Database): Verdict {
  const flaws: Flaw[] = [];
  const boards: Verdict['boards'][number][] = [];
  try {
    database.reading(() => {
      flaws.push(...checkFile(database));
      for (const id of boardIds(database)) {
        const found: Flaw[] = [];
        const tell = (row: number | null, what: string): void => {
          if (found.length < MOST_FLAWS) found.push({ board: id, row, what });
        };
        try {
          boards.push({ id, ...checkBoard(database, id, tell) });
        } catch (error) {
          tell(null, `cannot be read: ${messageOf(error)}`);
        }
        flaws.push(...found);
      }
    });
  } catch (error) {
    flaws.push({ board: null, row: null, what: `The file cannot be read: ${messageOf(error)}` });
  }
  return { boards, flaws };
}

function checkFile(database: Database): Flaw[] {
  const told = [
    ...database
      .all(z.object({ integrity_check: z.string() }), 'PRAGMA integrity_check')
      .map(({ integrity_check: what }) => what)
      .filter((what) => what !== 'ok'),
    ...database
      .all(z.object({ table: z.string(), parent: z.string() }), 'PRAGMA foreign_key_check')
      .map(({ table, parent }) => `${table} names something that is not in ${parent}`),
  ];
  return told.map((what) => ({ board: null, row: null, what }));
}

/** Every board that any table names: a row of a board that is not there is a flaw, not nothing. */
function boardIds(database: Database): readonly string[] {
  return database
    .all(
      z.object({ id: textSchema }),
      `SELECT ${textColumn('id')} FROM (SELECT id FROM boards UNION SELECT DISTINCT board FROM rows) ORDER BY 1`,
    )
    .map(({ id }) => id);
}

/** Reads whatever else a board has, for no other reason than that it can be read. */
function checkRest(
  database: Database,
  board: string,
  tell: (row: number | null, what: string) => void,
): void {
  for (const table of keptTables(database)) {
    if (LOOKED_AT.has(table)) continue;
    try {
      for (const _ of rowsOf(database, table, board));
    } catch (error) {
      tell(null, `${table} cannot be read: ${messageOf(error)}`);
    }
  }
}

function checkBoard(
  database: Database,
  board: string,
  tell: (row: number | null, what: string) => void,
): { rows: number; sum: string } {
  checkRest(database, board, tell);
  const snapshots = readSnapshots(database, board, tell);
  const replay = new Replay(epochsOf(database, board), snapshots, tell);
  const lastOf = new Map<string, number>();
  let seq = 0;
  let sum: Uint8Array = FIRST_SUM;
  let changes = 0;
  for (const raw of storedRows(database, board)) {
    const parsed = rowSchema.safeParse(raw);
    const here = Number(raw.seq);
    if (here !== seq + 1)
      tell(seq + 1, here > seq + 2 ? `and those up to ${here - 1} are missing` : 'is missing');
    seq = here;
    if (!parsed.success) {
      tell(here, 'does not have the form of a row');
      sum = bytesSchema.safeParse(raw.sum).data ?? sum;
      replay.lose();
      continue;
    }
    const row = parsed.data;
    const computed = rowSum(sum, board, row.epoch, row);
    const isWritten = Buffer.compare(computed, row.sum) === 0;
    if (!isWritten) tell(here, 'does not match its checksum');
    sum = row.sum;
    const last = lastOf.get(row.writer) ?? 0;
    if (row.n !== last + 1) tell(here, `is edit ${row.n} of ${row.writer}, whose last was ${last}`);
    lastOf.set(row.writer, row.n);
    try {
      changes += checkChanges(database, board, parseRow(row), tell);
    } catch (error) {
      if (isWritten) tell(here, `cannot be read: ${messageOf(error)}`);
    }
    replay.row(here, row.epoch, row.update, isWritten);
  }
  replay.end(seq);
  const kept = database.one(
    z.object({ count: z.int() }),
    'SELECT count(*) AS count FROM changes WHERE board = ?',
    [board],
  );
  if ((kept?.count ?? 0) > changes) tell(null, 'has cells in its history that no row set');
  return { rows: seq, sum: Buffer.from(sum).toString('hex') };
}

const rawSchema = z.record(z.string(), z.unknown());

function readSnapshots(
  database: Database,
  board: string,
  tell: (row: number | null, what: string) => void,
): readonly StoredSnapshot[] {
  const sound: StoredSnapshot[] = [];
  for (const raw of database.all(
    rawSchema,
    `SELECT ${textColumn('epoch')}, seq, bytes, sum FROM snapshots WHERE board = ? ORDER BY seq`,
    [board],
  )) {
    const parsed = snapshotSchema.safeParse(raw);
    const whole = parsed.success ? withParts(database, board, parsed.data) : null;
    if (whole && isSound(whole)) sound.push(whole);
    else tell(Number(raw.seq), 'has a snapshot that does not match its checksum');
  }
  return sound;
}

function withParts(database: Database, board: string, snapshot: StoredSnapshot): StoredSnapshot {
  // Only a folder that knows parts has a snapshot without bytes of its own.
  if (snapshot.bytes.length > 0) return snapshot;
  const parts = [...partsOf(database, board, snapshot.epoch, snapshot.seq)];
  return { ...snapshot, bytes: new Uint8Array(Buffer.concat(parts)) };
}

/** Looks up each cell that a row set; returns how many there are. */
function checkChanges(
  database: Database,
  board: string,
  { seq, edit, outcome }: ReturnType<typeof parseRow>,
  tell: (row: number | null, what: string) => void,
): number {
  const wanted = changesOf(edit, outcome);
  const missing = wanted.filter(
    ({ table, record, field, index }) =>
      !database.one(
        z.unknown(),
        'SELECT 1 FROM changes WHERE board = ? AND tbl = ? AND record = ? AND field = ? AND seq = ? AND place = ?',
        [board, table, record, field, seq, index],
      ),
  );
  if (missing.length > 0) tell(seq, `is not found by ${missing.length} of the ${wanted.length} cells it set`);
  return wanted.length;
}

function messageOf(error: unknown): string {
  if (error instanceof z.ZodError) return error.issues.map(({ message }) => message).join('; ');
  return error instanceof Error ? error.message : String(error);
}
