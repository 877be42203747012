import { randomUUID } from 'node:crypto';
import type { ClusterSettings } from '../settings.ts';
import { Database } from '../sqlite/database.ts';
import { ReplicatedAccounts } from './accounts/replicated.ts';
import type { AccountsReports } from './accounts/reports.ts';
import { connectTo } from './connect.ts';
import type { Engine } from './log/engine.ts';
import { JetStreamLog } from './log/jetStreamLog.ts';
import type { ClusterLogReports, EngineReports } from './log/reports.ts';
import type { NodeId } from './port.ts';

/** What whoever takes part in a fleet, or looks at one, has of it. */
export interface ClusterParts {
  readonly engine: Engine;
  /** A copy of what the engine keeps. */
  readonly database: Database;
  readonly log: JetStreamLog;
  readonly accounts: ReplicatedAccounts;
  close(): Promise<void>;
}

/** What the parts tell of themselves. */
export interface PartsReports {
  readonly engine: EngineReports;
  readonly log: ClusterLogReports;
  readonly accounts: AccountsReports;
}

/**
 * Opens a fleet's log and accounts on a copy of one's own.
 *
 * @param name that the servers list the connection by
 * @param path of the file for the copy
 * @throws FleetUnfit, AccountsFromNewer, or what the connection reports
 */
export async function openParts(
  settings: ClusterSettings,
  node: NodeId,
  name: string,
  path: string,
  reports: Partial<PartsReports> = {},
): Promise<ClusterParts> {
  const { prefix, replicas, shards } = settings;
  // What its last commits lacked after a cut of the power is fetched again.
  const database = new Database(path, undefined, 'NORMAL');
  const opened: (() => Promise<void> | void)[] = [() => database.close()];
  const close = async (): Promise<void> => {
    for (const end of opened.splice(0).reverse()) await end();
  };
  try {
    const engine = await connectTo(settings, name, reports.engine);
    opened.push(() => engine.close());
    const log = await JetStreamLog.open({
      engine,
      database,
      node,
      prefix,
      replicas,
      shards,
      newId: randomUUID,
      random: Math.random,
      ...(reports.log && { reports: reports.log }),
    });
    opened.push(() => log.close());
    const accounts = await ReplicatedAccounts.open({
      engine,
      names: log.names,
      replicas,
      database,
      newId: randomUUID,
      reports: reports.accounts,
    });
    opened.push(() => accounts.close());
    return { engine, database, log, accounts, close };
  } catch (error) {
    await close();
    throw error;
  }
}
