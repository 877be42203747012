import {
  cellSchema,
  editSchema,
  isJson,
  isRefusalCode,
  type Json,
  type LateNotice,
  type Outbox,
  type RefusalCode,
  type TrayItem,
} from '@plumbline/replica';
import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import * as z from 'zod/mini';

/**
 * What this device keeps of boards: the document in pieces and the updates since, by board and epoch, and for each tab
 * its unanswered edits and its tray.
 */
interface KeptBoards extends DBSchema {
  updates: {
    key: number;
    value: {
      board: string;
      epoch: string;
      bytes: Uint8Array;
      /** A piece of the document as it was folded, not an update since. */
      folded?: true;
    };
    indexes: { copy: [string, string] };
  };
  copies: { key: [string, string]; value: CopyRow };
  tabs: { key: [string, string]; value: TabRow };
}

interface CopyRow {
  board: string;
  epoch: string;
  /** The document as earlier versions folded it; it comes before all rows. */
  snapshot: Uint8Array | null;
  /** Another epoch has taken its place: kept for a while, no longer shown. */
  aside: boolean;
  /** When it was begun, ms. */
  at: number;
}

/** What a tab keeps. Judged by {@link readTab} when it comes back. */
export interface TabRow {
  board: string;
  tab: string;
  person: string;
  epoch: string | null;
  outbox: unknown;
  tray: unknown;
  late: unknown;
  /** When it was written, ms. */
  at: number;
  /**
   * Raised by one each time a page begins to write: a page that was frozen meanwhile and wakes with an older number
   * writes no more. Rows of earlier versions have none.
   */
  fence?: number | undefined;
}

export type KeptDatabase = IDBPDatabase<KeptBoards>;

/** Opens the database of this device. */
export function openKept(onLost: () => void): Promise<KeptDatabase> {
  return openDB<KeptBoards>('plumbline', 1, {
    upgrade(db) {
      db.createObjectStore('updates', { autoIncrement: true }).createIndex('copy', ['board', 'epoch']);
      db.createObjectStore('copies', { keyPath: ['board', 'epoch'] });
      db.createObjectStore('tabs', { keyPath: ['board', 'tab'] });
    },
    // another tab wants to change the database's form: step aside, the next use opens it again
    blocking(_current, _blocked, event) {
      if (event.target instanceof IDBDatabase) event.target.close();
      onLost();
    },
    terminated: onLost,
  });
}

/** The copy of a board that is shown: its epoch and the document in pieces. */
export interface KeptCopy {
  readonly epoch: string;
  readonly updates: readonly Uint8Array[];
  /** How many rows of updates there are since it was folded. */
  readonly rows: number;
}

/** The board's present copy on this device, if there is one. */
export async function loadCopy(db: KeptDatabase, board: string): Promise<KeptCopy | null> {
  const tx = db.transaction(['copies', 'updates']);
  const copies = await tx.objectStore('copies').getAll(IDBKeyRange.bound([board, ''], [board, '\uffff']));
  const copy = copies.find((row) => !row.aside);
  if (!copy) return null;
  const rows = await tx.objectStore('updates').index('copy').getAll([board, copy.epoch]);
  const updates = [...(copy.snapshot ? [copy.snapshot] : []), ...rows.map((row) => row.bytes)];
  return { epoch: copy.epoch, updates, rows: rows.filter((row) => row.folded !== true).length };
}

/** Begins a copy of an epoch and sets every other copy of the board aside; of those, only the newest is kept. */
export async function beginCopy(db: KeptDatabase, board: string, epoch: string, at: number): Promise<void> {
  const tx = db.transaction(['copies', 'updates'], 'readwrite');
  const copies = tx.objectStore('copies');
  const others = (await copies.getAll(IDBKeyRange.bound([board, ''], [board, '\uffff'])))
    .filter((row) => row.epoch !== epoch)
    .sort((a, b) => b.at - a.at);
  for (const [index, row] of others.entries()) {
    if (index === 0) await copies.put({ ...row, aside: true });
    else {
      await copies.delete([board, row.epoch]);
      for (const key of await tx.objectStore('updates').index('copy').getAllKeys([board, row.epoch])) {
        await tx.objectStore('updates').delete(key);
      }
    }
  }
  const known = await copies.get([board, epoch]);
  await copies.put(known ? { ...known, aside: false } : { board, epoch, snapshot: null, aside: false, at });
  await tx.done;
}

/** Adds updates to a copy, a row for each. Returns the rows' keys, which grow. */
export async function appendUpdates(
  db: KeptDatabase,
  board: string,
  epoch: string,
  updates: readonly Uint8Array[],
): Promise<number[]> {
  const tx = db.transaction('updates', 'readwrite');
  const added = updates.map((bytes) => tx.store.add({ board, epoch, bytes }));
  const [keys] = await Promise.all([Promise.all(added), tx.done]);
  return keys;
}

/** Another page has gone on under this tab's name since this one wrote last. */
export class Fenced extends Error {
  override readonly name = 'Fenced';
}

/** Writes what a tab keeps. @throws Fenced where a page that began to write later has written already */
export async function saveTab(db: KeptDatabase, row: TabRow): Promise<void> {
  const tx = db.transaction('tabs', 'readwrite');
  const known = await tx.store.get([row.board, row.tab]);
  const overtaken = (known?.fence ?? 0) > (row.fence ?? 0);
  if (!overtaken) await tx.store.put(row);
  await tx.done;
  if (overtaken) throw new Fenced();
}

/** What tabs have left on the device for this board, newest first. */
export async function tabsOf(db: KeptDatabase, board: string): Promise<TabRow[]> {
  const rows = await db.getAll('tabs', IDBKeyRange.bound([board, ''], [board, '\uffff']));
  return rows.sort((a, b) => b.at - a.at);
}

/** Forgets a tab whose work another has taken over. */
export async function dropTab(db: KeptDatabase, board: string, tab: string): Promise<void> {
  await db.delete('tabs', [board, tab]);
}

const addressShape = { table: z.string(), record: z.string(), field: z.string() };

const outboxSchema = z.object({ writer: z.string(), next: z.int(), pending: z.array(editSchema) });

const trayCode = z.custom<RefusalCode | 'unsent'>(
  (value) => typeof value === 'string' && (value === 'unsent' || isRefusalCode(value)),
);

const trayItemSchema = z.object({
  edit: editSchema,
  code: trayCode,
  reasons: z.array(z.object({ ...addressShape, reason: z.string() })),
});

const lateSchema = z.object({
  ...addressShape,
  mine: z.custom<Json>((value) => isJson(value)),
  stands: cellSchema,
});

/** A tab's unanswered edits and what waits for its person. */
export interface KeptTab {
  readonly outbox: Outbox | null;
  readonly tray: readonly TrayItem[];
  readonly late: readonly LateNotice[];
}

const tabRowSchema = z.object({
  board: z.string(),
  tab: z.string(),
  person: z.string(),
  epoch: z.nullable(z.string()),
  outbox: z.unknown(),
  tray: z.unknown(),
  late: z.unknown(),
  at: z.number(),
  fence: z.optional(z.number()),
});

/** Reads a row that another page gave; `null` for what is none. */
export function readTabRow(given: unknown): TabRow | null {
  const parsed = z.safeParse(tabRowSchema, given);
  return parsed.success ? parsed.data : null;
}

/** A row of a tab, read by schema. What an older version of this page wrote in another form is passed over. */
export function readTab(row: TabRow): KeptTab {
  const outbox = z.safeParse(z.nullable(outboxSchema), row.outbox);
  return {
    outbox: outbox.success ? outbox.data : null,
    tray: readEach(trayItemSchema, row.tray),
    late: readEach(lateSchema, row.late),
  };
}

function readEach<T>(schema: z.ZodMiniType<T>, rows: unknown): T[] {
  if (!Array.isArray(rows)) return [];
  return rows.flatMap((row: unknown) => {
    const parsed = z.safeParse(schema, row);
    return parsed.success ? [parsed.data] : [];
  });
}
