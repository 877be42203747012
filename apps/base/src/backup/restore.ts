import { copyFileSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { newClientNumber, newId } from '../accounts/tokens.ts';
import type { DataFolder } from '../dataFolder.ts';
import { putSnapshot } from '../log/snapshots.ts';
import { Database } from '../sqlite/database.ts';
import { ACCOUNT_TABLES, OtherPeople, putAccountsBack } from './accountsBack.ts';
import { documentAtEnd } from './boardReplay.ts';
import { loadBackup } from './load.ts';
import { contentsOf, openingUpdate } from './replay.ts';
import { columnsOf, insertRow, keptTables, rowsOf } from './tables.ts';
import { type Flaw, verifyDatabase } from './verify.ts';

/** What a restore did. */
export interface RestoreSummary {
  readonly madeAt: number;
  readonly boards: readonly {
    readonly id: string;
    readonly title: string;
    readonly rows: number;
    /** The epoch that the board is in from now on. */
    readonly epoch: string;
    /** Whether it took the place of one that was here. */
    readonly replaced: boolean;
  }[];
  /** The folder that the data file was set aside in; `null` where there was none. */
  readonly setAside: string | null;
}

/** A backup that is not put back, and why. Nothing was changed. */
export class RestoreRefused extends Error {
  override readonly name = 'RestoreRefused';
  readonly flaws: readonly Flaw[];
  constructor(message: string, flaws: readonly Flaw[] = []) {
    super(message);
    this.flaws = flaws;
  }
}

/** Put back by {@link putAccountsBack}. */
const ACCOUNTS: ReadonlySet<string> = new Set(ACCOUNT_TABLES);

/**
 * Puts a backup's boards into a data folder, each in a new epoch: tablets that were further on see another epoch, set
 * their copy aside and offer what they had not sent, instead of bringing the past back.
 *
 * A board that is not here comes with its people, sessions and invites, so that tablets find it by themselves. A board
 * that is here keeps those of here: somebody who was sent away since stays away.
 *
 * The folder must be locked by the caller. All boards are put back, or none.
 *
 * @throws BackupDamaged, RestoreRefused
 */
export function restoreBackup(
  file: string,
  folder: DataFolder,
  now: number,
  options: { readonly endSessions: boolean },
): RestoreSummary {
  const staging = join(folder.path, 'restoring.db');
  const clear = (): void => {
    for (const end of ['', '-wal', '-shm']) rmSync(staging + end, { force: true });
  };
  clear();
  try {
    const { header, database: staged } = loadBackup(file, staging);
    try {
      const { flaws } = verifyDatabase(staged);
      if (flaws.length > 0) throw new RestoreRefused('The backup holds a log that is not sound.', flaws);
      const setAside = copyAside(folder, now);
      const database = new Database(folder.database);
      try {
        const boards = database.transaction(() => {
          database.run('PRAGMA defer_foreign_keys = ON');
          return header.boards.map((id) => putBack(staged, database, id, now, options.endSessions));
        });
        return { madeAt: header.madeAt, boards, setAside };
      } finally {
        database.close();
      }
    } finally {
      staged.close();
    }
  } finally {
    clear();
  }
}

/** Keeps the data file as it is now, since what it holds beyond the backup is about to go. */
function copyAside(folder: DataFolder, now: number): string | null {
  if (!existsSync(folder.database)) return null;
  const aside = join(folder.path, `replaced-${new Date(now).toISOString().replace(/[:.]/g, '-')}`);
  mkdirSync(aside, { mode: 0o700 });
  for (const end of ['', '-wal']) {
    const path = folder.database + end;
    if (existsSync(path)) copyFileSync(path, join(aside, `plumbline.db${end}`));
  }
  return aside;
}

function putBack(
  staged: Database,
  database: Database,
  board: string,
  now: number,
  endSessions: boolean,
): RestoreSummary['boards'][number] {
  const { doc, rows } = documentAtEnd(staged, board);
  const epoch = { id: newId('e'), client: newClientNumber(), fromSeq: rows };
  const { replaced } = accountsBack(staged, database, board, { epoch, at: now, endSessions });
  for (const table of keptTables(database)) {
    if (ACCOUNTS.has(table)) continue;
    database.run(`DELETE FROM ${table} WHERE board = ?`, [board]);
    for (const row of rowsOf(staged, table, board)) insertRow(database, table, row);
  }
  copyChanges(staged, database, board);
  putSnapshot(database, board, {
    epoch: epoch.id,
    seq: rows,
    bytes: openingUpdate(contentsOf(doc), epoch.client),
  });
  return { id: board, title: titleOf(database, board), rows, epoch: epoch.id, replaced };
}

function accountsBack(
  staged: Database,
  database: Database,
  board: string,
  about: Parameters<typeof putAccountsBack>[3],
): { readonly replaced: boolean } {
  try {
    return putAccountsBack((table) => rowsOf(staged, table, board), database, board, about);
  } catch (error) {
    if (error instanceof OtherPeople) throw new RestoreRefused(error.message);
    throw error;
  }
}

function copyChanges(staged: Database, database: Database, board: string): void {
  database.run('DELETE FROM changes WHERE board = ?', [board]);
  const columns = columnsOf(staged, 'changes');
  const row = z.record(z.string(), z.union([z.string(), z.number()]));
  for (let offset = 0; ; offset += 1000) {
    const page = staged.all(
      row,
      `SELECT * FROM changes WHERE board = ? ORDER BY ${columns.join(', ')} LIMIT 1000 OFFSET ?`,
      [board, offset],
    );
    for (const each of page) insertRow(database, 'changes', each);
    if (page.length < 1000) return;
  }
}

const titleSchema = z.object({ title: z.string() });

function titleOf(database: Database, board: string): string {
  return database.one(titleSchema, 'SELECT title FROM boards WHERE id = ?', [board])?.title ?? '';
}
