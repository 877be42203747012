import { randomUUID } from 'node:crypto';
import type { AccountStore } from '../../../apps/base/src/accounts/port.ts';
import { ReplicatedAccounts } from '../../../apps/base/src/cluster/accounts/replicated.ts';
import type { AccountsReports } from '../../../apps/base/src/cluster/accounts/reports.ts';
import { Engine } from '../../../apps/base/src/cluster/log/engine.ts';
import { Names } from '../../../apps/base/src/cluster/log/names.ts';
import { Database } from '../../../apps/base/src/sqlite/database.ts';

/** What a node of a fleet has of its accounts. */
export interface AccountsNode {
  readonly accounts: ReplicatedAccounts;
  readonly database: Database;
  readonly engine: Engine;
  readonly troubles: unknown[];
  healed(): number;
  close(): Promise<void>;
}

/** Opens the accounts of a fleet on a node of its own. */
export async function openAccounts(
  servers: readonly string[],
  options: {
    readonly prefix: string;
    readonly replicas: number;
    readonly database?: Database;
    readonly withinMs?: number;
  },
): Promise<AccountsNode> {
  const { prefix, replicas, database = new Database(':memory:'), withinMs } = options;
  const engine = await Engine.open({ servers, name: 'test', callMs: 3000 });
  const troubles: unknown[] = [];
  let healed = 0;
  const reports: AccountsReports = {
    healed: (entries) => {
      healed += entries;
    },
    foreign: (at) => troubles.push(`foreign ${at}`),
    trouble: (error) => troubles.push(error),
  };
  try {
    const accounts = await ReplicatedAccounts.open({
      engine,
      names: new Names(prefix),
      replicas,
      database,
      newId: randomUUID,
      reports,
      withinMs,
    });
    const close = async (): Promise<void> => {
      await accounts.close();
      await engine.close();
    };
    return { accounts, database, engine, troubles, healed: () => healed, close };
  } catch (error) {
    await engine.close();
    throw error;
  }
}

/** Everything a copy knows, to be compared. */
export async function everything(database: Database): Promise<unknown> {
  const { rowsOf } = await import('../../../apps/base/src/backup/tables.ts');
  const { z } = await import('zod');
  const boards = database.all(z.object({ id: z.string() }), 'SELECT id FROM boards ORDER BY id');
  return boards.map(({ id }) =>
    ['boards', 'epochs', 'people', 'invites', 'sessions', 'writers'].map((table) => [
      table,
      [...rowsOf(database, table, id)]
        .map((row) =>
          JSON.stringify(
            Object.entries(row).map(([name, value]) => [
              name,
              value instanceof Uint8Array ? Buffer.from(value).toString('hex') : value,
            ]),
          ),
        )
        .sort(),
    ]),
  );
}

/** A board as it is first kept. */
export async function addBoard(accounts: AccountStore, id: string): Promise<void> {
  await accounts.addBoard({ id, title: id, createdAt: 1 }, { id: `e${id}`, client: 7, fromSeq: 0 });
}
