import { existsSync, rmSync } from 'node:fs';
import { resolve } from 'node:path';
import { type BackupSummary, NoSuchBoard, writeBackup } from '../backup/dump.ts';
import { BackupDamaged, loadBackup } from '../backup/load.ts';
import { RestoreRefused, type RestoreSummary, restoreBackup } from '../backup/restore.ts';
import { type Flaw, type Verdict, verifyDatabase } from '../backup/verify.ts';
import { DataFolder } from '../dataFolder.ts';
import type { Settings } from '../settings.ts';
import { Database } from '../sqlite/database.ts';
import { readWalTail, tailSentence, type WalTail } from '../sqlite/walTail.ts';
import { CommandError } from './commandError.ts';
import { joinLink } from './links.ts';
import { programVersion, TABLET_FOLDER } from './places.ts';

/** What `verify` says. */
export interface VerifyReport extends Verdict {
  readonly isSound: boolean;
  /** What may be as it should and may not: only who was there knows. */
  readonly notices: readonly string[];
}

/** A flaw as people read it. */
export function flawLine({ board, row, what }: Flaw): string {
  if (board === null) return what;
  return row === null ? `board ${board} ${what}` : `board ${board}, row ${row} ${what}`;
}

/** How the write-ahead log ends; a running base has it in hand and checked it when it started. */
function tailOf(folder: DataFolder): WalTail {
  return folder.running() ? { kind: 'sound' } : readWalTail(folder.database);
}

function openedFolder(settings: Settings): DataFolder {
  const folder = new DataFolder(settings.dataFolder);
  if (!existsSync(folder.database)) throw new CommandError(`There is nothing in ${folder.path} yet.`);
  return folder;
}

/** Writes a backup and reads it back. @throws CommandError */
export function backup(
  settings: Settings,
  file: string,
  options: { readonly board?: readonly string[]; readonly force?: boolean; readonly asIs?: boolean },
): BackupSummary & { readonly flaws: readonly Flaw[] } {
  const folder = openedFolder(settings);
  if (existsSync(file) && !options.force)
    throw new CommandError(`${file} is there already; --force replaces it.`);
  const tail = tailOf(folder);
  if (tail.kind === 'damaged' && !options.asIs) {
    throw new CommandError(tailSentence(tail), ['--as-is backs up what stands before the damage']);
  }
  const database = new Database(folder.database, null);
  try {
    const about = { program: programVersion(), madeAt: Date.now() };
    const summary = writeBackup(database, resolve(file), options.board ?? [], about);
    const { flaws } = verifyFile(file);
    if (flaws.length > 0 && !options.asIs) {
      rmSync(file);
      throw new CommandError(
        'The log is not sound, so no backup was kept; --as-is keeps one all the same.',
        flaws.map(flawLine),
      );
    }
    return { ...summary, flaws };
  } catch (error) {
    if (error instanceof NoSuchBoard) throw new CommandError(error.message);
    throw error;
  } finally {
    database.close();
  }
}

/** Checks a backup file. */
export function verifyFile(file: string): Verdict {
  try {
    const { database } = loadBackup(file, ':memory:');
    const verdict = verifyDatabase(database);
    database.close();
    return verdict;
  } catch (error) {
    if (!(error instanceof BackupDamaged)) throw error;
    return { boards: [], flaws: [{ board: null, row: null, what: error.message }] };
  }
}

/** Checks a backup, or where none is named the data folder. */
export function verify(settings: Settings, file: string | undefined): VerifyReport {
  if (file !== undefined) {
    const verdict = verifyFile(file);
    return { ...verdict, isSound: verdict.flaws.length === 0, notices: [] };
  }
  const folder = openedFolder(settings);
  const tail = tailOf(folder);
  const { boards, flaws } = verifyFolder(folder);
  const all =
    tail.kind === 'damaged' ? [{ board: null, row: null, what: tailSentence(tail) }, ...flaws] : flaws;
  const notices = tail.kind === 'torn' ? [tailSentence(tail)] : [];
  return { boards, flaws: all, isSound: all.length === 0, notices };
}

function verifyFolder(folder: DataFolder): Verdict {
  try {
    const database = new Database(folder.database, null);
    try {
      return verifyDatabase(database);
    } finally {
      database.close();
    }
  } catch (error) {
    const what = `The data file cannot be opened: ${error instanceof Error ? error.message : ''}`;
    return { boards: [], flaws: [{ board: null, row: null, what }] };
  }
}

/** Puts a backup's boards back. @throws CommandError, FolderInUse */
export async function restore(
  settings: Settings,
  file: string,
  options: { readonly endSessions?: boolean },
): Promise<RestoreSummary & { readonly links: Readonly<Record<string, Readonly<Record<string, string>>>> }> {
  if (!existsSync(file)) throw new CommandError(`There is no ${file}.`);
  const folder = new DataFolder(settings.dataFolder);
  folder.lock();
  let summary: RestoreSummary;
  try {
    summary = restoreBackup(file, folder, Date.now(), { endSessions: options.endSessions ?? false });
  } catch (error) {
    if (error instanceof BackupDamaged) throw new CommandError(error.message);
    if (error instanceof RestoreRefused) throw new CommandError(error.message, error.flaws.map(flawLine));
    throw error;
  } finally {
    folder.release();
  }
  return { ...summary, links: options.endSessions ? await newLinks(settings, summary) : {} };
}

/** Nobody who had come in before comes in now, so everybody needs a link. */
async function newLinks(
  settings: Settings,
  { boards }: RestoreSummary,
): Promise<Record<string, Record<string, string>>> {
  const { pino } = await import('pino');
  const { shootKind } = await import('../shoot.ts');
  const { baseUrl, startBase } = await import('../start.ts');
  const kind = shootKind();
  const { host, port, tls, dataFolder, adminKey } = settings;
  const base = await startBase({
    kind,
    dataFolder,
    adminKey,
    tabletFolder: TABLET_FOLDER,
    version: programVersion(),
    logger: pino({ level: 'silent' }),
  });
  try {
    const url = baseUrl(host, port, tls !== undefined).replace('//127.0.0.1:', '//localhost:');
    const links: Record<string, Record<string, string>> = {};
    for (const { id } of boards) {
      const ofBoard: Record<string, string> = {};
      for (const role of kind.roles)
        ofBoard[role] = joinLink(url, await base.accounts.rotateInvite(id, role));
      links[id] = ofBoard;
    }
    return links;
  } finally {
    await base.stop();
  }
}
