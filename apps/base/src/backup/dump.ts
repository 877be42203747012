import { closeSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs';
import { dirname } from 'node:path';
import * as z from 'zod';
import type { Database } from '../sqlite/database.ts';
import { BACKUP_FORMAT, BACKUP_VERSION, type BackupHeader, encodeRow } from './format.ts';
import { LineWriter } from './stream.ts';
import { keptTables, rowsOf } from './tables.ts';

/** What a backup was made of. */
export interface BackupSummary {
  readonly file: string;
  /** Stands for the whole of it. */
  readonly sum: string;
  readonly boards: readonly {
    readonly id: string;
    readonly title: string;
    /** The last row that it holds. */
    readonly rows: number;
  }[];
}

/** A board that was asked for is not there. */
export class NoSuchBoard extends Error {
  override readonly name = 'NoSuchBoard';
  constructor(id: string) {
    super(`There is no board ${id} here.`);
  }
}

/**
 * Writes boards as they stand at this moment into a file. A base may go on writing meanwhile: it is neither asked nor
 * kept waiting. The file appears under its name only when all of it is on disk.
 *
 * @param wanted ids of boards; empty for all
 * @throws NoSuchBoard
 */
export function writeBackup(
  database: Database,
  file: string,
  wanted: readonly string[],
  about: { readonly program: string; readonly madeAt: number },
): BackupSummary {
  const part = `${file}.part`;
  rmSync(part, { force: true });
  const writer = new LineWriter(part);
  let summary: BackupSummary;
  try {
    summary = database.reading(() => dump(database, writer, file, wanted, about));
    writer.end();
  } catch (error) {
    writer.abandon();
    rmSync(part, { force: true });
    throw error;
  }
  renameSync(part, file);
  const folder = openSync(dirname(file), 'r');
  fsyncSync(folder);
  closeSync(folder);
  return summary;
}

function dump(
  database: Database,
  writer: LineWriter,
  file: string,
  wanted: readonly string[],
  about: { readonly program: string; readonly madeAt: number },
): BackupSummary {
  const all = database.all(
    z.object({ id: z.string(), title: z.string() }),
    'SELECT id, title FROM boards ORDER BY created_at, id',
  );
  for (const id of wanted) if (!all.some((board) => board.id === id)) throw new NoSuchBoard(id);
  const boards = wanted.length > 0 ? all.filter(({ id }) => wanted.includes(id)) : all;
  const header: BackupHeader = {
    format: BACKUP_FORMAT,
    version: BACKUP_VERSION,
    data: database.version,
    ...about,
    boards: boards.map(({ id }) => id),
  };
  writer.write(header);
  const told = boards.map(({ id, title }) => {
    let rows = 0;
    for (const table of keptTables(database)) {
      for (const row of rowsOf(database, table, id)) {
        if (table === 'rows') rows = Number(row.seq);
        writer.write({ table, row: encodeRow(row) });
      }
    }
    return { id, title, rows };
  });
  writer.write({ lines: writer.lines + 1 });
  return { file, sum: writer.sum, boards: told };
}
