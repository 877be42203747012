import * as z from 'zod';
import type { Person } from '../../accounts/port.ts';
import { AccountWrites } from '../../accounts/writes.ts';
import type { Database } from '../../sqlite/database.ts';
import { AccountsFromNewer } from './errors.ts';
import { type AccountMessage, decodeMessage } from './message.ts';
import { setAside, takeBack } from './restored.ts';

/** What methods that tell something told. */
export interface Results {
  readonly removeInvite?: boolean;
  readonly join?: Person;
  readonly leave?: { readonly person: Person; readonly sessions: readonly string[] } | null;
  readonly writer?: string | null;
}

/** What one entry of the stream did to the accounts. */
export interface Applied {
  /** The writer's own id of it; `null` for an entry that is no write of accounts. */
  readonly id: string | null;
  readonly outcome:
    | { readonly kind: 'done'; readonly results: Results }
    | { readonly kind: 'refused'; readonly error: Error };
  /** Sessions that it ended. */
  readonly ended: readonly string[];
  /** The board that is in a new epoch since. */
  readonly restored: string | null;
}

interface Change {
  readonly results?: Results;
  readonly ended?: readonly string[];
  readonly restored?: string;
}

/** So many of the last writes are remembered by their ids, far more than the engine can hold in flight. */
const REMEMBERED = 20_000;

const placeSchema = z.object({ at: z.int() });

/** This node's own copy of the fleet's accounts, and how far into the stream it is. */
export class AccountsCopy {
  readonly #database: Database;
  readonly #writes: AccountWrites;
  #at: number;

  constructor(database: Database) {
    this.#database = database;
    this.#writes = new AccountWrites(database);
    database.transaction(() => {
      database.run(
        'CREATE TABLE IF NOT EXISTS fleet_accounts (id INTEGER PRIMARY KEY CHECK (id = 1), at INTEGER NOT NULL)',
      );
      database.run(
        `CREATE TABLE IF NOT EXISTS fleet_accounts_done (id TEXT PRIMARY KEY, at INTEGER NOT NULL)`,
      );
      database.run('CREATE INDEX IF NOT EXISTS fleet_accounts_done_at ON fleet_accounts_done (at)');
      database.run(`CREATE TABLE IF NOT EXISTS fleet_accounts_restoring (
        id TEXT NOT NULL, number INTEGER NOT NULL, tbl TEXT NOT NULL, row TEXT NOT NULL, PRIMARY KEY (id, number))`);
      database.run('INSERT OR IGNORE INTO fleet_accounts VALUES (1, 0)');
    });
    this.#at = database.one(placeSchema, 'SELECT at FROM fleet_accounts')?.at ?? 0;
  }

  /** The last entry of the stream that is in it; 0 for none. */
  get at(): number {
    return this.#at;
  }

  /**
   * Takes in the next entry of the stream, and how far that is, in one transaction. What the accounts refuse, every node
   * refuses alike; what goes wrong with this node's disk is thrown, and the entry is not taken in.
   *
   * @throws AccountsFromNewer, or what the disk reports
   */
  apply(at: number, data: Uint8Array): Applied {
    if (at <= this.#at) throw new RangeError(`entry ${at} was taken in before`);
    const message = decodeMessage(data);
    const applied = this.#run(at, message);
    this.#at = at;
    return applied;
  }

  #run(at: number, message: AccountMessage | null): Applied {
    const id = message?.id ?? null;
    try {
      return this.#database.transaction(() => {
        this.#note(at, id);
        const isNew = message !== null && this.#isFirst(message.id, at);
        const { results = {}, ended = [], restored = null } = isNew ? this.#change(message) : {};
        return { id, outcome: { kind: 'done', results }, ended, restored };
      });
    } catch (error) {
      if (!isRefusal(error)) throw error;
      this.#database.transaction(() => {
        this.#note(at, id);
        if (id !== null) this.#isFirst(id, at);
      });
      return { id, outcome: { kind: 'refused', error }, ended: [], restored: null };
    }
  }

  #note(at: number, id: string | null): void {
    this.#database.run('UPDATE fleet_accounts SET at = ?', [at]);
    if (id !== null) this.#database.run('DELETE FROM fleet_accounts_done WHERE at < ?', [at - REMEMBERED]);
  }

  /** Remembers a write; false for one that stands in the stream a second time. */
  #isFirst(id: string, at: number): boolean {
    return this.#database.run('INSERT OR IGNORE INTO fleet_accounts_done VALUES (?, ?)', [id, at]) > 0;
  }

  #change(message: AccountMessage): Change {
    const writes = this.#writes;
    switch (message.method) {
      case 'addBoard':
        writes.addBoard(...message.args);
        return {};
      case 'putInvite':
        writes.putInvite(...message.args);
        return {};
      case 'removeInvite':
        return { results: { removeInvite: writes.removeInvite(...message.args) } };
      case 'addInvite':
        writes.addInvite(...message.args);
        return {};
      case 'join':
        return { results: { join: writes.join(...message.args) } };
      case 'leave': {
        const leave = writes.leave(...message.args);
        return { results: { leave }, ended: leave?.sessions ?? [] };
      }
      case 'renewSession':
        writes.renewSession(...message.args);
        return {};
      case 'endSession':
        writes.endSession(...message.args);
        return { ended: [message.args[0]] };
      case 'writer':
        return { results: { writer: writes.writer(...message.args) } };
      case 'restoring':
        setAside(this.#database, message.args[0]);
        return {};
      case 'restored':
        return { ended: takeBack(this.#database, message.args[0]), restored: message.args[0].board };
    }
  }
}

/**
 * Whether the accounts themselves say no, as they do on every node. What SQLite reports beyond its constraints is this
 * node's disk, and the entry must not be passed over.
 */
function isRefusal(error: unknown): error is Error {
  if (!(error instanceof Error) || error instanceof AccountsFromNewer) return false;
  const code = 'code' in error ? String(error.code) : '';
  return !code.startsWith('SQLITE_') || code.startsWith('SQLITE_CONSTRAINT');
}
