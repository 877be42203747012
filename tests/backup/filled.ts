import { join } from 'node:path';
import {
  Database,
  type DataFolder,
  DataFolder as Folder,
  type RestoreRefused,
  restoreBackup,
  writeBackup,
} from '@plumbline/base';
import { onTestFinished } from 'vitest';
import {
  createBoard,
  joinAs,
  type Member,
  type NewBoard,
  startTestBase,
  temporaryFolder,
} from '../support/base.ts';
import { openTablet, type TestTablet } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';

export type ToyTablet = TestTablet<typeof toyKind.definition.tables>;

/** A folder that goes away with the test. */
export function folderOfTest(): string {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  return folder.path;
}

/** A data folder that held a base for a while; it has stopped. */
export interface FilledFolder {
  readonly path: string;
  readonly board: NewBoard;
  readonly keeper: Member;
  readonly clerk: Member;
}

/** Fills a folder with a board of some rows, and a snapshot between them. */
export async function filledFolder(edits = 30): Promise<FilledFolder> {
  const path = folderOfTest();
  const base = await startTestBase({ dataFolder: path });
  const board = await createBoard(base, 'Filled');
  const keeper = await joinAs(base, board, 'keeper', 'Ana');
  const clerk = await joinAs(base, board, 'clerk', 'Ben');
  const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'k' });
  for (let i = 1; i <= edits; i++) tablet.set('shelves', `s${i % 7}`, 'name', `name ${i}`);
  await tablet.settled();
  tablet.close();
  const again = await base.restart();
  const more = await openTablet(again, clerk, toyKind.definition, { tab: 'c' });
  for (let i = 1; i <= edits; i++) more.set('shelves', `s${i % 7}`, 'width', i);
  await more.settled();
  more.close();
  await again.stop();
  return { path, board, keeper, clerk };
}

/** Backs a folder up as the command does; returns the file. */
export function backedUp(path: string, boards: readonly string[] = []): string {
  const file = join(folderOfTest(), 'a.backup');
  const database = new Database(new Folder(path).database, null);
  try {
    writeBackup(database, file, boards, { program: '0.0.0', madeAt: 1_900_000_000_000 });
  } finally {
    database.close();
  }
  return file;
}

/** Restores a file into a folder as the command does. @throws RestoreRefused */
export function restored(file: string, path: string, endSessions = false): ReturnType<typeof restoreBackup> {
  const folder: DataFolder = new Folder(path);
  folder.lock();
  try {
    return restoreBackup(file, folder, Date.now(), { endSessions });
  } finally {
    folder.release();
  }
}

export type { RestoreRefused };
