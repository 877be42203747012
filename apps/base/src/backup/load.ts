import * as z from 'zod';
import { parseRow } from '../log/rows.ts';
import { addChanges, rowSchema } from '../log/sqlite.ts';
import { Database } from '../sqlite/database.ts';
import { MIGRATIONS } from '../sqlite/migrations.ts';
import { storedRows } from './boardReplay.ts';
import { type BackupHeader, decodeRow, endSchema, headerSchema, lineSchema } from './format.ts';
import { LineDamaged, readLines } from './stream.ts';
import { boardColumn, insertRow, keptTables } from './tables.ts';

/** A file that is no backup, or not what was written. */
export class BackupDamaged extends Error {
  override readonly name = 'BackupDamaged';
}

/** A backup unpacked into a data file of its own, brought up to this program's version. */
export interface LoadedBackup {
  readonly header: BackupHeader;
  readonly database: Database;
}

/**
 * Unpacks a backup. Whoever gets the data file closes it.
 *
 * @param path where the data file is made; `:memory:` for one that is only looked at
 * @throws BackupDamaged with the line and, where it can be made out, the row that is wrong
 */
export function loadBackup(file: string, path: string): LoadedBackup {
  const lines = readLines(file);
  let database: Database | null = null;
  try {
    const header = readHeader(lines.next().value?.value);
    database = new Database(path, header.data);
    fill(database, header, lines);
    database.migrate();
    fillChanges(database);
    return { header, database };
  } catch (error) {
    database?.close();
    if (error instanceof LineDamaged) throw new BackupDamaged(sentence(error));
    throw error;
  }
}

function readHeader(value: unknown): BackupHeader {
  const header = headerSchema.safeParse(value);
  if (!header.success) throw new BackupDamaged('This is not a backup of this program.');
  if (header.data.data > MIGRATIONS.length) {
    throw new BackupDamaged(
      `The backup holds data of version ${header.data.data}; this program knows up to ${MIGRATIONS.length}.`,
    );
  }
  return header.data;
}

function fill(database: Database, header: BackupHeader, lines: ReturnType<typeof readLines>): void {
  const tables = new Set(keptTables(database));
  const boards = new Set(header.boards);
  let number = 1;
  let isEnded = false;
  database.transaction(() => {
    database.run('PRAGMA defer_foreign_keys = ON');
    for (const { value } of lines) {
      number++;
      if (isEnded) throw new BackupDamaged(`line ${number} stands behind the end`);
      const end = endSchema.safeParse(value);
      if (end.success) {
        if (end.data.lines !== number) throw new BackupDamaged(`line ${number}: lines are missing`);
        isEnded = true;
        continue;
      }
      const line = lineSchema.safeParse(value);
      if (!line.success || !tables.has(line.data.table)) throw new BackupDamaged(`line ${number} is no row`);
      const { table } = line.data;
      const row = decodeRow(line.data.row);
      const board = row[boardColumn(table)];
      if (typeof board !== 'string' || !boards.has(board))
        throw new BackupDamaged(`line ${number} is about another board`);
      try {
        insertRow(database, table, row);
      } catch (error) {
        throw new BackupDamaged(`line ${number}: ${error instanceof Error ? error.message : 'no row'}`);
      }
    }
    if (!isEnded) throw new BackupDamaged(`The backup is cut short behind line ${number}.`);
  });
}

function fillChanges(database: Database): void {
  const boards = database.all(z.object({ id: z.string() }), 'SELECT id FROM boards');
  database.transaction(() => {
    for (const { id } of boards) {
      for (const raw of storedRows(database, id)) addChanges(database, id, parseRow(rowSchema.parse(raw)));
    }
  });
}

const aboutSchema = z.object({
  table: z.string(),
  row: z.object({ board: z.string().optional(), seq: z.number().optional() }),
});

function sentence(error: LineDamaged): string {
  const about = aboutSchema.safeParse(error.about);
  if (!about.success) return `The backup is damaged: ${error.message}.`;
  const { table, row } = about.data;
  const where = [table, row.board, row.seq === undefined ? undefined : `row ${row.seq}`].filter(Boolean);
  return `The backup is damaged: ${error.message} (${where.join(', ')}).`;
}
