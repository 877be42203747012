import { writerId } from '@plumbline/replica';
import * as z from 'zod';
import type { Database } from '../sqlite/database.ts';
import type { BoardRecord, Epoch, Invite, Person, StoredSession } from './port.ts';

export const personSchema = z
  .object({
    id: z.string(),
    name: z.string(),
    role: z.string(),
    joined_at: z.number(),
    left_at: z.number().nullable(),
  })
  .transform(({ joined_at: joinedAt, left_at: leftAt, ...person }) => ({ ...person, joinedAt, leftAt }));

const idSchema = z.object({ id: z.string() });
const countSchema = z.object({ count: z.int() });

/** Visitors of a board that is kept elsewhere are counted from here, beside the people who belong to it. */
export const VISITORS = 1_000_000;

/** Somebody came with an invite that was good when it was looked up, and is not any more. */
export class InviteGone extends Error {
  override readonly name = 'InviteGone';
  constructor() {
    super('This invite lets nobody in any more. Ask for a new link.');
  }
}

/** Who joins. */
export interface Newcomer {
  readonly name: string;
  readonly joinedAt: number;
  /** To a board that is kept elsewhere. */
  readonly isVisitor?: boolean | undefined;
}

/** A session as it is first kept. */
export interface NewSession {
  readonly id: string;
  readonly hash: Uint8Array;
  readonly expiresAt: number;
}

/**
 * What changes the accounts in a data file. Every method runs within a transaction of its caller, looks at nothing but
 * its arguments and the file, and so does the same wherever the same was done before it.
 */
export class AccountWrites {
  readonly #database: Database;

  constructor(database: Database) {
    this.#database = database;
  }

  addBoard({ id, title, createdAt }: BoardRecord, epoch: Epoch): void {
    this.#database.run('INSERT INTO boards VALUES (?, ?, ?)', [id, title, createdAt]);
    this.#database.run('INSERT INTO epochs VALUES (?, 1, ?, ?, ?)', [
      id,
      epoch.id,
      epoch.client,
      epoch.fromSeq,
    ]);
  }

  putInvite(invite: Invite): void {
    this.removeInvite(invite.board, invite.role);
    this.addInvite(invite);
  }

  removeInvite(board: string, role: string): boolean {
    const removed = this.#database.run(
      'DELETE FROM invites WHERE board = ? AND role = ? AND person IS NULL',
      [board, role],
    );
    return removed > 0;
  }

  addInvite({ hash, board, role, person, expiresAt, once }: Invite): void {
    this.#database.run('INSERT INTO invites VALUES (?, ?, ?, ?, ?, ?)', [
      hash,
      board,
      role,
      person,
      expiresAt,
      once ? 1 : 0,
    ]);
  }

  /** @throws InviteGone where the invite has been spent, replaced or withdrawn since it was looked up */
  join(invite: Invite, newcomer: Newcomer, session: NewSession): Person {
    const stands = 'SELECT count(*) AS count FROM invites WHERE hash = ?';
    if (this.#count(stands, [invite.hash]) === 0) throw new InviteGone();
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
  }

  leave(
    board: string,
    person: string,
    at: number,
  ): { readonly person: Person; readonly sessions: readonly string[] } | null {
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
  }

  renewSession(id: string, expiresAt: number): void {
    this.#database.run('UPDATE sessions SET expires_at = ? WHERE id = ? AND ended_at IS NULL', [
      expiresAt,
      id,
    ]);
  }

  endSession(id: string, at: number): void {
    this.#database.run('UPDATE sessions SET ended_at = ? WHERE id = ? AND ended_at IS NULL', [at, id]);
  }

  /** The writer that a tab has already; `null` for one that has not shown itself. */
  knownWriter(session: string, tab: string): string | null {
    const found = this.#database.one(idSchema, 'SELECT id FROM writers WHERE session = ? AND tab = ?', [
      session,
      tab,
    ]);
    return found?.id ?? null;
  }

  /** The writer of a tab, made where it has none; `null` where the session has as many as it may. */
  writer(
    { id: session, board, person }: Pick<StoredSession, 'id' | 'board' | 'person'>,
    tab: string,
    most: number,
  ): string | null {
    const known = this.knownWriter(session, tab);
    if (known !== null) return known;
    if (this.#count('SELECT count(*) AS count FROM writers WHERE session = ?', [session]) >= most)
      return null;
    const tabs = this.#count('SELECT count(*) AS count FROM writers WHERE board = ? AND person = ?', [
      board,
      person,
    ]);
    const id = writerId(person, tabs + 1);
    this.#database.run('INSERT INTO writers VALUES (?, ?, ?, ?, ?)', [board, id, person, session, tab]);
    return id;
  }

  #count(sql: string, values: readonly (string | Uint8Array)[]): number {
    return this.#database.one(countSchema, sql, values)?.count ?? 0;
  }

  #addPerson({ board, role }: Invite, { name, joinedAt, isVisitor = false }: Newcomer): string {
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
}
