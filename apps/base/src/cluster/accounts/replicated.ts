import { setTimeout as wait } from 'node:timers/promises';
import { type ConsumerMessages, JetStreamApiError } from '@nats-io/jetstream';
import type { AccountStore, BoardRecord, Epoch, Invite, Person, StoredSession } from '../../accounts/port.ts';
import { SqliteAccounts } from '../../accounts/sqlite.ts';
import { AccountWrites, type Newcomer, type NewSession } from '../../accounts/writes.ts';
import type { Database } from '../../sqlite/database.ts';
import type { Engine } from '../log/engine.ts';
import { FleetUnfit } from '../log/errors.ts';
import type { Names } from '../log/names.ts';
import { AccountsCopy, type Applied, type Results } from './copy.ts';
import { AccountsFromNewer, FleetAway } from './errors.ts';
import { type ArgumentsOf, encodeMessage, type Method } from './message.ts';
import { AccountsStream, type Entry } from './stream.ts';

/** What the accounts of a fleet tell of themselves to whoever runs the node. */
export interface AccountsReports {
  /** So many entries had not been delivered and were fetched. */
  healed(entries: number): void;
  /** An entry is none of ours, whoever wrote it, and was passed over. */
  foreign(at: number): void;
  /** Something failed that will be tried again. */
  trouble(error: unknown): void;
}

const SILENT: AccountsReports = { healed() {}, foreign() {}, trouble() {} };

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
/** How long an entry may be under way before it is fetched, ms. */
const DELIVERY_MS = 250;
/** How long a pause is before something is tried again, ms. */
const AGAIN_MS = 50;
const FOLLOW_AGAIN_MS = 250;
/** How often it is asked whether anything was missed, ms. */
const LOOK_MS = 5000;

const AWAY = 'The servers of the fleet do not answer. Nothing was changed; try again in a moment.';
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
  readonly #moved = new Set<() => void>();
  readonly #onEnded = new Set<(sessions: readonly string[]) => void>();
  readonly #onRestored = new Set<(board: string) => void>();
  #messages: ConsumerMessages | null = null;
  #following: Promise<void> = Promise.resolve();
  #asking: Promise<void> = Promise.resolve();
  #nextAsk: Promise<void> | null = null;
  #fetching: Promise<void> | null = null;
  #looking: NodeJS.Timeout | undefined;
  #misread: AccountsFromNewer | null = null;
  #isClosed = false;

  private constructor(options: ReplicatedAccountsOptions) {
    const { engine, names, replicas, database, newId, reports = SILENT, withinMs = WITHIN_MS } = options;
    this.#engine = engine;
    this.#stream = new AccountsStream(engine, names, replicas);
    this.#copy = new AccountsCopy(database);
    this.#reads = new SqliteAccounts(database);
    this.#known = new AccountWrites(database);
    this.#reports = reports;
    this.#newId = newId;
    this.#withinMs = withinMs;
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
    const last = await this.#stream.last();
    if (last < this.#copy.at) {
      throw new FleetUnfit(
        `The servers hold ${last} entries of accounts and this node has met ${this.#copy.at}: they are not those of ` +
          'before, or have lost something. Start with an empty data folder only if nothing in this one is wanted.',
      );
    }
    this.#following = this.#follow();
    this.#looking = setInterval(() => void this.#look(), LOOK_MS);
    this.#looking.unref();
    try {
      // However many there are: it goes on as long as they come.
      while (this.#copy.at < last) await this.#reach(Math.min(last, this.#copy.at + 1000), this.#withinMs);
    } catch (error) {
      await this.close();
      throw error;
    }
  }

  /** The last entry of the stream that this node has taken in. */
  get at(): number {
    return this.#copy.at;
  }

  /** Why this node does not know who may come in; `null`: it does. */
  get trouble(): string | null {
    return this.#misread?.message ?? null;
  }

  onEnded(hear: (sessions: readonly string[]) => void): void {
    this.#onEnded.add(hear);
  }

  /** Hears which board is in a new epoch since it was put back from a backup. */
  onRestored(hear: (board: string) => void): void {
    this.#onRestored.add(hear);
  }

  async close(): Promise<void> {
    this.#isClosed = true;
    clearInterval(this.#looking);
    this.#messages?.stop();
    await this.#following;
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
    this.#mayRead();
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
      this.#mayRead();
      try {
        const at = await this.#stream.append(id, data, Math.min(left, this.#withinMs / 4));
        isSent = true;
        await this.#reach(at, until - performance.now());
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
  #current(): Promise<void> {
    this.#mayRead();
    // What is being asked already may have been answered before what the caller wants to see.
    this.#nextAsk ??= this.#asking
      .catch(() => {})
      .then(() => {
        this.#nextAsk = null;
        this.#asking = this.#ask();
        return this.#asking;
      });
    return this.#nextAsk;
  }

  async #ask(): Promise<void> {
    if (!this.#engine.isConnected) throw new FleetAway(AWAY);
    try {
      await this.#reach(await this.#stream.last(), this.#withinMs);
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

  /** Waits until an entry is taken in, and fetches what is not delivered. @throws FleetAway */
  async #reach(at: number, withinMs: number): Promise<void> {
    const until = performance.now() + withinMs;
    while (this.#copy.at < at) {
      this.#mayRead();
      const before = this.#copy.at;
      const left = until - performance.now();
      if (left < 1) throw new FleetAway(AWAY);
      await this.#moves(Math.min(DELIVERY_MS, left));
      if (this.#copy.at === before) await this.#fetch();
    }
  }

  /** Resolves when something is taken in, or after so many ms. */
  #moves(withinMs: number): Promise<void> {
    return new Promise((resolve) => {
      const done = (): void => {
        clearTimeout(timer);
        this.#moved.delete(done);
        resolve();
      };
      const timer = setTimeout(done, withinMs);
      this.#moved.add(done);
    });
  }

  /** Fetches the next entry. */
  #fetch(): Promise<void> {
    this.#fetching ??= this.#fetchOne().finally(() => {
      this.#fetching = null;
    });
    return this.#fetching;
  }

  async #fetchOne(): Promise<void> {
    try {
      const entry = await this.#stream.entry(this.#copy.at + 1);
      if (entry?.at === this.#copy.at + 1) {
        this.#take(entry);
        this.#reports.healed(1);
      }
    } catch (error) {
      this.#reports.trouble(error);
      await wait(AGAIN_MS);
    }
  }

  /** Notices what was missed though nobody waits for it. */
  async #look(): Promise<void> {
    const before = this.#copy.at;
    try {
      const last = await this.#stream.last();
      if (last > before && this.#copy.at === before) await this.#reach(last, this.#withinMs);
    } catch (error) {
      this.#reports.trouble(error);
    }
  }

  async #follow(): Promise<void> {
    while (!this.#isClosed && !this.#misread) {
      try {
        for await (const entry of this.#stream.follow(this.#copy.at, (messages) => this.#hears(messages))) {
          if (this.#isClosed) break;
          this.#take(entry);
          // One that is missing is fetched by following again from there.
          if (entry.at > this.#copy.at) break;
        }
      } catch (error) {
        if (!this.#isClosed) this.#reports.trouble(error);
      }
      if (!this.#isClosed) await wait(FOLLOW_AGAIN_MS);
    }
  }

  #hears(messages: ConsumerMessages): void {
    this.#messages = messages;
    if (this.#isClosed) messages.stop();
  }

  /** Takes the next entry in; one that is not the next is left. */
  #take({ at, data }: Entry): void {
    if (at !== this.#copy.at + 1) return;
    let applied: Applied;
    try {
      applied = this.#copy.apply(at, data);
    } catch (error) {
      if (error instanceof AccountsFromNewer) this.#misread = error;
      throw error;
    }
    const { id, outcome, ended, restored } = applied;
    if (id === null) this.#reports.foreign(at);
    if (ended.length > 0) for (const hear of this.#onEnded) hear(ended);
    if (restored !== null) for (const hear of this.#onRestored) hear(restored);
    const waiting = id === null ? undefined : this.#waiting.get(id);
    if (id !== null) this.#waiting.delete(id);
    if (outcome.kind === 'done') waiting?.resolve(outcome.results);
    else waiting?.reject(outcome.error);
    for (const moved of [...this.#moved]) moved();
  }

  /** @throws FleetAway where this node cannot know any more who may come in */
  #mayRead(): void {
    if (this.#misread) throw new FleetAway(this.#misread.message, { cause: this.#misread });
    if (this.#isClosed) throw new FleetAway('This node is stopping.');
  }
}
