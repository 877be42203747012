import { setTimeout as wait } from 'node:timers/promises';
import { JetStreamApiError } from '@nats-io/jetstream';
import type { AccountStore, BoardRecord, Epoch, Invite, Person, StoredSession } from '../../accounts/port.ts';
import { SqliteAccounts } from '../../accounts/sqlite.ts';
import { AccountWrites, type Newcomer, type NewSession } from '../../accounts/writes.ts';
import type { Database } from '../../sqlite/database.ts';
import type { Engine } from '../log/engine.ts';
import type { Names } from '../log/names.ts';
import { SharedQuestion } from '../sharedQuestion.ts';
import { AccountsCopy, type Applied, type Results } from './copy.ts';
import { AWAY, FleetAway } from './errors.ts';
import { Follower } from './follower.ts';
import { type ArgumentsOf, encodeMessage, type Method } from './message.ts';
import { type AccountsReports, SILENT_ACCOUNTS } from './reports.ts';
import { AccountsStream } from './stream.ts';

export interface ReplicatedAccountsOptions {
  readonly engine: Engine;
  readonly names: Names;
  /** How many servers keep the stream. */
  readonly replicas: number;
  /** This node's copy, in the file that belongs to this fleet; what is lost of it is fetched again. */
  readonly database: Database;
  readonly reports?: AccountsReports | undefined;
  /** Names that have never been given before. */
  readonly newId: () => string;
  /** No write and no look-up takes longer, ms. */
  readonly withinMs?: number | undefined;
}

const WITHIN_MS = 10_000;
/** How long a pause is before something is sent again, ms. */
const AGAIN_MS = 50;

const UNKNOWN =
  'The servers of the fleet did not say whether they have kept it. Look whether it is there, and try again if not.';

interface Waiting {
  readonly resolve: (results: Results) => void;
  readonly reject: (error: Error) => void;
}

/**
 * Accounts that all nodes of a fleet share. Whatever changes them stands in one stream; every node takes it in, in the
 * same order, into a copy of its own, and so comes to the same. Who changes something waits until this node has taken
 * it in; who looks something up looks into the copy, and where that has nothing, asks first whether it is up to date.
 */
export class ReplicatedAccounts implements AccountStore {
  readonly #engine: Engine;
  readonly #stream: AccountsStream;
  readonly #copy: AccountsCopy;
  readonly #reads: SqliteAccounts;
  readonly #known: AccountWrites;
  readonly #reports: AccountsReports;
  readonly #newId: () => string;
  readonly #withinMs: number;
  readonly #waiting = new Map<string, Waiting>();
  readonly #onEnded = new Set<(sessions: readonly string[]) => void>();
  readonly #onRestored = new Set<(board: string) => void>();
  readonly #follower: Follower;
  /** How the stream stands. */
  readonly #end = new SharedQuestion(() => this.#ask());

  private constructor(options: ReplicatedAccountsOptions) {
    const {
      engine,
      names,
      replicas,
      database,
      newId,
      reports = SILENT_ACCOUNTS,
      withinMs = WITHIN_MS,
    } = options;
    this.#engine = engine;
    this.#stream = new AccountsStream(engine, names, replicas);
    this.#copy = new AccountsCopy(database);
    this.#reads = new SqliteAccounts(database);
    this.#known = new AccountWrites(database);
    this.#reports = reports;
    this.#newId = newId;
    this.#withinMs = withinMs;
    this.#follower = new Follower(this.#stream, this.#copy, reports, (applied) => this.#tell(applied));
  }

  /**
   * Makes the stream where it is missing, and resolves once the copy holds all that stood in it.
   *
   * @throws FleetUnfit, AccountsFromNewer, or what the engine reports
   */
  static async open(options: ReplicatedAccountsOptions): Promise<ReplicatedAccounts> {
    const accounts = new ReplicatedAccounts(options);
    await accounts.#start();
    return accounts;
  }

  async #start(): Promise<void> {
    await this.#stream.open();
    await this.#follower.start(this.#withinMs);
  }

  /** The last entry of the stream that this node has taken in. */
  get at(): number {
    return this.#copy.at;
  }

  /** Why this node does not know who may come in; `null`: it does. */
  get trouble(): string | null {
    return this.#follower.trouble;
  }

  onEnded(hear: (sessions: readonly string[]) => void): void {
    this.#onEnded.add(hear);
  }

  /** Hears which board is in a new epoch since it was put back from a backup. */
  onRestored(hear: (board: string) => void): void {
    this.#onRestored.add(hear);
  }

  async close(): Promise<void> {
    await this.#follower.close();
    for (const { reject } of this.#waiting.values()) reject(new FleetAway(UNKNOWN));
    this.#waiting.clear();
  }

  async addBoard(board: BoardRecord, epoch: Epoch): Promise<void> {
    await this.#write('addBoard', [board, epoch]);
  }

  async board(id: string): Promise<BoardRecord | null> {
    return this.#find(() => this.#reads.board(id));
  }

  async boards(): Promise<readonly BoardRecord[]> {
    await this.#currentIfPossible();
    return this.#reads.boards();
  }

  async epochs(board: string): Promise<readonly Epoch[]> {
    await this.#currentIfPossible();
    return this.#reads.epochs(board);
  }

  async putInvite(invite: Invite): Promise<void> {
    await this.#write('putInvite', [invite]);
  }

  async removeInvite(board: string, role: string): Promise<boolean> {
    const { removeInvite = false } = await this.#write('removeInvite', [board, role]);
    return removeInvite;
  }

  async addInvite(invite: Invite): Promise<void> {
    await this.#write('addInvite', [invite]);
  }

  async invite(hash: Uint8Array): Promise<Invite | null> {
    return this.#find(() => this.#reads.invite(hash));
  }

  async join(invite: Invite, newcomer: Newcomer, session: NewSession): Promise<Person> {
    const { join } = await this.#write('join', [invite, newcomer, session]);
    if (!join) throw new Error('The accounts took somebody in and do not say whom.');
    return join;
  }

  people(board: string): Promise<readonly Person[]> {
    return this.#reads.people(board);
  }

  async leave(
    board: string,
    person: string,
    at: number,
  ): Promise<{ readonly person: Person; readonly sessions: readonly string[] } | null> {
    const { leave = null } = await this.#write('leave', [board, person, at]);
    return leave;
  }

  async session(hash: Uint8Array): Promise<StoredSession | null> {
    return this.#find(() => this.#reads.session(hash));
  }

  /** Where the engine is away the session goes on as it was: it is good for long after it would have been put off. */
  async renewSession(id: string, expiresAt: number): Promise<void> {
    try {
      await this.#write('renewSession', [id, expiresAt]);
    } catch (error) {
      if (!(error instanceof FleetAway)) throw error;
      this.#reports.trouble(error);
    }
  }

  async endSession(id: string, at: number): Promise<void> {
    await this.#write('endSession', [id, at]);
  }

  async writer({ id, board, person }: StoredSession, tab: string, most: number): Promise<string | null> {
    const known = this.#known.knownWriter(id, tab);
    if (known !== null) return known;
    const { writer = null } = await this.#write('writer', [{ id, board, person }, tab, most]);
    return writer;
  }

  /** Sets rows of a board aside that is put back from a backup; all of them under one id. */
  async setAside(id: string, table: string, rows: ArgumentsOf<'restoring'>[0]['rows']): Promise<void> {
    await this.#write('restoring', [{ id, table, rows }]);
  }

  /** Puts back what was set aside, and begins the board's new epoch. @throws OtherPeople */
  async takeBack(about: ArgumentsOf<'restored'>[0]): Promise<void> {
    await this.#write('restored', [about]);
  }

  /**
   * Writes and waits until it is taken in here. Where the engine's confirmation does not come, the same is sent again
   * under the same id, which the engine keeps once, and the copies heed once.
   */
  async #write<M extends Method>(method: M, args: ArgumentsOf<M>): Promise<Results> {
    this.#follower.check();
    const id = this.#newId();
    const heard = new Promise<Results>((resolve, reject) => this.#waiting.set(id, { resolve, reject }));
    heard.catch(() => {});
    try {
      return await Promise.race([heard, this.#send(id, encodeMessage(id, method, args))]);
    } finally {
      this.#waiting.delete(id);
    }
  }

  /** Sends an entry until it is taken in here, which nobody needs to be told. @throws FleetAway where that takes too long */
  async #send(id: string, data: Uint8Array): Promise<never> {
    const until = performance.now() + this.#withinMs;
    let isSent = false;
    for (;;) {
      const left = until - performance.now();
      if (left < 1 || !(await this.#engine.connected(left))) throw new FleetAway(isSent ? UNKNOWN : AWAY);
      this.#follower.check();
      try {
        const at = await this.#stream.append(id, data, Math.min(left, this.#withinMs / 4));
        isSent = true;
        await this.#follower.reach(at, until - performance.now());
      } catch (error) {
        // The engine itself said no.
        if (error instanceof JetStreamApiError && !isSent) throw new FleetAway(AWAY, { cause: error });
        // Without a leader nobody listens.
        if (!(error instanceof Error && error.name === 'JetStreamNotEnabled')) isSent = true;
      }
      await wait(AGAIN_MS);
      if (!this.#waiting.has(id)) return new Promise<never>(() => {});
    }
  }

  /** Looks something up; where it is not there, once more when the copy is up to date. @throws FleetAway */
  async #find<T>(look: () => Promise<T | null>): Promise<T | null> {
    const found = await look();
    if (found !== null) return found;
    await this.#current();
    return look();
  }

  /** Resolves once the copy holds all that stood in the stream when this was called. @throws FleetAway */
  async #current(): Promise<void> {
    this.#follower.check();
    await this.#end.answered();
  }

  async #ask(): Promise<void> {
    if (!this.#engine.isConnected) throw new FleetAway(AWAY);
    try {
      await this.#follower.reach(await this.#stream.last(), this.#withinMs);
    } catch (error) {
      throw error instanceof FleetAway ? error : new FleetAway(AWAY, { cause: error });
    }
  }

  /** As far as the engine answers; where it does not, what is known here has to do. */
  async #currentIfPossible(): Promise<void> {
    try {
      await this.#current();
    } catch (error) {
      if (!(error instanceof FleetAway)) throw error;
      this.#reports.trouble(error);
    }
  }

  /** Tells whoever waits for it, and whoever it concerns, what an entry did. */
  #tell({ id, outcome, ended, restored }: Applied): void {
    if (ended.length > 0) for (const hear of this.#onEnded) hear(ended);
    if (restored !== null) for (const hear of this.#onRestored) hear(restored);
    if (id === null) return;
    const waiting = this.#waiting.get(id);
    this.#waiting.delete(id);
    if (outcome.kind === 'done') waiting?.resolve(outcome.results);
    else waiting?.reject(outcome.error);
  }
}
