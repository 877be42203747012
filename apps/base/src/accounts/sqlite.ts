import { writerId } from '@plumbline/replica';
import * as z from 'zod';
import { bytesSchema, type Database } from '../sqlite/database.ts';
import type { AccountStore, BoardRecord, Epoch, Invite, Person, StoredSession } from './port.ts';

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

const personSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    role: z.string(),
    joined_at: z.number(),
    left_at: z.number().nullable(),
  })
  .transform(({ joined_at: joinedAt, left_at: leftAt, ...person }) => ({ ...person, joinedAt, leftAt }));

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

const idSchema = z.object({ id: z.string() });
const countSchema = z.object({ count: z.int() });

/** Visitors of a board that is kept elsewhere are counted from here, beside the people who belong to it. */
export const VISITORS = 1_000_000;

/** Accounts in the data file. */
export class SqliteAccounts implements AccountStore {
  readonly #database: Database;

  constructor(database: Database) {
    this.#database = database;
  }

  async addBoard({ id, title, createdAt }: BoardRecord, epoch: Epoch): Promise<void> {
    this.#database.transaction(() => {
      this.#database.run('INSERT INTO boards VALUES (?, ?, ?)', [id, title, createdAt]);
      this.#database.run('INSERT INTO epochs VALUES (?, 1, ?, ?, ?)', [
        id,
        epoch.id,
        epoch.client,
        epoch.fromSeq,
      ]);
    });
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
    this.#database.transaction(() => {
      this.#removeInvite(invite.board, invite.role);
      this.#insertInvite(invite);
    });
  }

  async removeInvite(board: string, role: string): Promise<boolean> {
    return this.#database.transaction(() => this.#removeInvite(board, role) > 0);
  }

  async addInvite(invite: Invite): Promise<void> {
    this.#database.transaction(() => this.#insertInvite(invite));
  }

  async invite(hash: Uint8Array): Promise<Invite | null> {
    return this.#database.one(inviteSchema, 'SELECT * FROM invites WHERE hash = ?', [hash]);
  }

  async join(
    invite: Invite,
    newcomer: { readonly name: string; readonly joinedAt: number; readonly isVisitor?: boolean },
    session: { readonly id: string; readonly hash: Uint8Array; readonly expiresAt: number },
  ): Promise<Person> {
    return this.#database.transaction(() => {
      if (invite.once) this.#database.run('DELETE FROM invites WHERE hash = ?', [invite.hash]);
      const person = invite.person ?? this.#addPerson(invite, newcomer);
      this.#database.run('INSERT INTO sessions VALUES (?, ?, ?, ?, ?, NULL)', [
        session.id,
        session.hash,
        invite.board,
        person,
        session.expiresAt,
      ]);
      return this.#person(invite.board, person);
    });
  }

  async people(board: string): Promise<readonly Person[]> {
    return this.#database.all(personSchema, 'SELECT * FROM people WHERE board = ? ORDER BY number', [board]);
  }

  async leave(
    board: string,
    person: string,
    at: number,
  ): Promise<{ readonly person: Person; readonly sessions: readonly string[] } | null> {
    return this.#database.transaction(() => {
      const known = this.#database.all(idSchema, 'SELECT id FROM people WHERE board = ? AND id = ?', [
        board,
        person,
      ]);
      if (known.length === 0) return null;
      const where = 'WHERE board = ? AND person = ? AND ended_at IS NULL';
      const sessions = this.#database.all(idSchema, `SELECT id FROM sessions ${where}`, [board, person]);
      this.#database.run(`UPDATE sessions SET ended_at = ? ${where}`, [at, board, person]);
      this.#database.run('DELETE FROM invites WHERE board = ? AND person = ?', [board, person]);
      this.#database.run('UPDATE people SET left_at = coalesce(left_at, ?) WHERE board = ? AND id = ?', [
        at,
        board,
        person,
      ]);
      return { person: this.#person(board, person), sessions: sessions.map(({ id }) => id) };
    });
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
    this.#database.transaction(() =>
      this.#database.run('UPDATE sessions SET expires_at = ? WHERE id = ? AND ended_at IS NULL', [
        expiresAt,
        id,
      ]),
    );
  }

  async endSession(id: string, at: number): Promise<void> {
    this.#database.transaction(() =>
      this.#database.run('UPDATE sessions SET ended_at = ? WHERE id = ? AND ended_at IS NULL', [at, id]),
    );
  }

  async writer(
    { id: session, board, person }: StoredSession,
    tab: string,
    most: number,
  ): Promise<string | null> {
    const find = (): string | undefined =>
      this.#database.one(idSchema, 'SELECT id FROM writers WHERE session = ? AND tab = ?', [session, tab])
        ?.id;
    const known = find();
    if (known !== undefined) return known;
    return this.#database.transaction(() => {
      if (this.#count('SELECT count(*) AS count FROM writers WHERE session = ?', [session]) >= most)
        return null;
      const tabs = this.#count('SELECT count(*) AS count FROM writers WHERE board = ? AND person = ?', [
        board,
        person,
      ]);
      const id = writerId(person, tabs + 1);
      this.#database.run('INSERT INTO writers VALUES (?, ?, ?, ?, ?)', [board, id, person, session, tab]);
      return id;
    });
  }

  #count(sql: string, values: readonly string[]): number {
    return this.#database.one(countSchema, sql, values)?.count ?? 0;
  }

  #addPerson(
    { board, role }: Invite,
    {
      name,
      joinedAt,
      isVisitor = false,
    }: { readonly name: string; readonly joinedAt: number; readonly isVisitor?: boolean },
  ): string {
    const own = `SELECT coalesce(max(number), 0) AS count FROM people WHERE board = ? AND number < ${VISITORS}`;
    // A board that was itself taken into use from a mirror brings visitors of before along.
    const visitors = `SELECT coalesce(max(CAST(substr(id, 2) AS INTEGER)), 0) + ${VISITORS} AS count FROM people
      WHERE board = ? AND id GLOB 'v[0-9]*'`;
    const number = this.#count(isVisitor ? visitors : own, [board]) + 1;
    const id = isVisitor ? `v${number - VISITORS}` : `p${number}`;
    this.#database.run('INSERT INTO people VALUES (?, ?, ?, ?, ?, ?, NULL)', [
      board,
      id,
      number,
      name,
      role,
      joinedAt,
    ]);
    return id;
  }

  #person(board: string, id: string): Person {
    const person = this.#database.one(personSchema, 'SELECT * FROM people WHERE board = ? AND id = ?', [
      board,
      id,
    ]);
    if (!person) throw new Error(`There is no ${id} on ${board}`);
    return person;
  }

  #insertInvite({ hash, board, role, person, expiresAt, once }: Invite): void {
    this.#database.run('INSERT INTO invites VALUES (?, ?, ?, ?, ?, ?)', [
      hash,
      board,
      role,
      person,
      expiresAt,
      once ? 1 : 0,
    ]);
  }

  #removeInvite(board: string, role: string): number {
    return this.#database.run('DELETE FROM invites WHERE board = ? AND role = ? AND person IS NULL', [
      board,
      role,
    ]);
  }
}
