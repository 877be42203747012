import * as z from 'zod';
import { bytesSchema, type Database } from '../sqlite/database.ts';
import type { AccountStore, BoardRecord, Epoch, Invite, Person, StoredSession } from './port.ts';
import { AccountWrites, type Newcomer, type NewSession, personSchema } from './writes.ts';

const boardSchema = z
  .object({ id: z.string(), title: z.string(), created_at: z.number() })
  .transform(({ created_at: createdAt, ...board }) => ({ ...board, createdAt }));

const epochSchema = z
  .object({ id: z.string(), client: z.int(), from_seq: z.int() })
  .transform(({ from_seq: fromSeq, ...epoch }) => ({ ...epoch, fromSeq }));

/** A board's epochs, the present one last. */
export function epochsOf(database: Database, board: string): readonly Epoch[] {
  return database.all(epochSchema, 'SELECT * FROM epochs WHERE board = ? ORDER BY number', [board]);
}

const inviteSchema = z
  .object({
    hash: bytesSchema,
    board: z.string(),
    role: z.string(),
    person: z.string().nullable(),
    expires_at: z.number(),
    once: z.int(),
  })
  .transform(({ expires_at: expiresAt, once, ...invite }) => ({ ...invite, expiresAt, once: once === 1 }));

const sessionSchema = z
  .object({
    id: z.string(),
    board: z.string(),
    person: z.string(),
    role: z.string(),
    name: z.string(),
    expires_at: z.number(),
    ended_at: z.number().nullable(),
  })
  .transform(({ expires_at: expiresAt, ended_at: endedAt, ...session }) => ({
    ...session,
    expiresAt,
    endedAt,
  }));

/** Accounts in the data file. */
export class SqliteAccounts implements AccountStore {
  readonly #database: Database;
  readonly #writes: AccountWrites;

  constructor(database: Database) {
    this.#database = database;
    this.#writes = new AccountWrites(database);
  }

  async addBoard(board: BoardRecord, epoch: Epoch): Promise<void> {
    this.#database.transaction(() => this.#writes.addBoard(board, epoch));
  }

  async board(id: string): Promise<BoardRecord | null> {
    return this.#database.one(boardSchema, 'SELECT * FROM boards WHERE id = ?', [id]);
  }

  async boards(): Promise<readonly BoardRecord[]> {
    return this.#database.all(boardSchema, 'SELECT * FROM boards ORDER BY created_at, id');
  }

  async epochs(board: string): Promise<readonly Epoch[]> {
    return epochsOf(this.#database, board);
  }

  async putInvite(invite: Invite): Promise<void> {
    this.#database.transaction(() => this.#writes.putInvite(invite));
  }

  async removeInvite(board: string, role: string): Promise<boolean> {
    return this.#database.transaction(() => this.#writes.removeInvite(board, role));
  }

  async addInvite(invite: Invite): Promise<void> {
    this.#database.transaction(() => this.#writes.addInvite(invite));
  }

  async invite(hash: Uint8Array): Promise<Invite | null> {
    return this.#database.one(inviteSchema, 'SELECT * FROM invites WHERE hash = ?', [hash]);
  }

  async join(invite: Invite, newcomer: Newcomer, session: NewSession): Promise<Person> {
    return this.#database.transaction(() => this.#writes.join(invite, newcomer, session));
  }

  async people(board: string): Promise<readonly Person[]> {
    return this.#database.all(personSchema, 'SELECT * FROM people WHERE board = ? ORDER BY number', [board]);
  }

  async leave(
    board: string,
    person: string,
    at: number,
  ): Promise<{ readonly person: Person; readonly sessions: readonly string[] } | null> {
    return this.#database.transaction(() => this.#writes.leave(board, person, at));
  }

  async session(hash: Uint8Array): Promise<StoredSession | null> {
    return this.#database.one(
      sessionSchema,
      `SELECT sessions.id, sessions.board, sessions.person, role, name, expires_at, ended_at FROM sessions
       JOIN people ON people.board = sessions.board AND people.id = sessions.person WHERE hash = ?`,
      [hash],
    );
  }

  async renewSession(id: string, expiresAt: number): Promise<void> {
    this.#database.transaction(() => this.#writes.renewSession(id, expiresAt));
  }

  async endSession(id: string, at: number): Promise<void> {
    this.#database.transaction(() => this.#writes.endSession(id, at));
  }

  async writer(session: StoredSession, tab: string, most: number): Promise<string | null> {
    const known = this.#writes.knownWriter(session.id, tab);
    if (known !== null) return known;
    return this.#database.transaction(() => this.#writes.writer(session, tab, most));
  }
}
