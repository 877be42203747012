import type { Logger } from 'pino';
import * as z from 'zod';
import type { AccountStore } from './accounts/port.ts';
import { SqliteAccounts } from './accounts/sqlite.ts';
import { rowsOf } from './backup/tables.ts';
import type { OpenCluster } from './cluster/open.ts';
import type { DataFolder } from './dataFolder.ts';
import type { Log } from './log/port.ts';
import { SqliteLog } from './log/sqlite.ts';
import type { Metrics } from './metrics.ts';
import type { ClusterSettings } from './settings.ts';
import { type Database, textColumn, textSchema } from './sqlite/database.ts';
import { readWalTail, tailSentence } from './sqlite/walTail.ts';

const ACCOUNT_TABLES = ['boards', 'epochs', 'people', 'invites', 'sessions', 'writers'] as const;

/** Where a base keeps its boards and accounts: in its own data file, or with the other nodes of a fleet. */
export interface Keeping {
  /** The data file; in a fleet this node's copy. */
  readonly database: Database;
  readonly log: Log;
  readonly accounts: AccountStore;
  readonly cluster: OpenCluster | null;
  close(): Promise<void>;
}

/** Opens it; the folder is locked by whoever calls. @throws LogDamaged, FleetUnfit, or what the engine reports */
export async function openKeeping(
  folder: DataFolder,
  options: {
    readonly cluster: ClusterSettings | undefined;
    readonly metrics: Metrics;
    readonly logger: Logger;
    readonly openDatabase: (path: string) => Database;
    readonly wrapLog: (log: Log) => Log;
  },
): Promise<Keeping> {
  const { cluster: settings, metrics, logger, wrapLog } = options;
  if (settings) {
    // Loaded only where a fleet is asked for: a base by itself needs nothing of it.
    const { openCluster } = await import('./cluster/open.ts');
    const cluster = await openCluster(settings, folder, metrics, logger);
    const { log, accounts, database, close } = cluster;
    return { database, log, accounts, cluster, close };
  }
  const database = openDatabase(folder, logger, options.openDatabase);
  const log = wrapLog(new SqliteLog(database));
  return {
    database,
    log,
    accounts: new SqliteAccounts(database),
    cluster: null,
    close: async () => {
      await log.close();
      database.close();
    },
  };
}

/** @throws LogDamaged where something that tablets were told is stored cannot be read any more */
function openDatabase(folder: DataFolder, logger: Logger, open: (path: string) => Database): Database {
  const tail = readWalTail(folder.database);
  if (tail.kind === 'damaged') {
    throw new LogDamaged(tailSentence(tail));
  }
  if (tail.kind === 'torn') logger.warn({ frames: tail.frames }, tailSentence(tail));
  const database = open(folder.database);
  checkAccounts(database);
  return database;
}

/** Reads every account once in a form that can fail, since text that is none would end the process when it is used. */
function checkAccounts(database: Database): void {
  const ids = database.all(z.object({ id: textSchema }), `SELECT ${textColumn('id')} FROM boards`);
  try {
    for (const { id } of ids)
      for (const table of ACCOUNT_TABLES) for (const _ of rowsOf(database, table, id));
  } catch (error) {
    database.close();
    throw new LogDamaged(`The accounts cannot be read: ${error instanceof Error ? error.message : ''}`);
  }
}

/** The log is damaged where it had been confirmed, so a base that started would silently lack edits. */
export class LogDamaged extends Error {
  override readonly name = 'LogDamaged';
}
