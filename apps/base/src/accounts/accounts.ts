import type { AccountStore, BoardRecord, Epoch, Invite, Person, StoredSession } from './port.ts';
import { newClientNumber, newId, newToken, tokenHash } from './tokens.ts';

const DAY_MS = 24 * 60 * 60 * 1000;

/** How long things are good for, ms. */
export interface Lifetimes {
  readonly inviteMs: number;
  readonly secondDeviceMs: number;
  /** From the last use of a session. */
  readonly sessionMs: number;
}

/** Long enough for a shoot with breaks; a session lives on while it is used. */
export const LIFETIMES: Lifetimes = {
  inviteMs: 90 * DAY_MS,
  secondDeviceMs: 10 * 60 * 1000,
  sessionMs: 30 * DAY_MS,
};

/** A session is renewed when this share of its life is gone, so that not every use is a write. */
const RENEW_AFTER = 1 / 24;

const MOST_TABS = 200;

/** Somebody who has come in. */
export type Session = Omit<StoredSession, 'endedAt'>;

/** Who belongs to which board, and by what they come in. Of secrets only hashes are kept. */
export class Accounts {
  readonly #store: AccountStore;
  readonly #now: () => number;
  readonly #lifetimes: Lifetimes;
  readonly #ended = new Set<string>();
  /** Until when sessions were last put off: whoever holds an older word of one must not put it off again and again. */
  readonly #renewed = new Map<string, number>();
  readonly #onEnd = new Set<(session: string) => void>();

  constructor(store: AccountStore, now: () => number, lifetimes: Lifetimes = LIFETIMES) {
    this.#store = store;
    this.#now = now;
    this.#lifetimes = lifetimes;
    store.onEnded?.((sessions) => this.#tellEnd(sessions));
  }

  /** Hears the ids of sessions that are ended from now on. */
  onEnd(hear: (session: string) => void): void {
    this.#onEnd.add(hear);
  }

  /** Makes a board in its first epoch. */
  async createBoard(title: string): Promise<BoardRecord> {
    const board = { id: newId('b'), title, createdAt: this.#now() };
    await this.#store.addBoard(board, { id: newId('e'), client: newClientNumber(), fromSeq: 0 });
    return board;
  }

  board(id: string): Promise<BoardRecord | null> {
    return this.#store.board(id);
  }

  boards(): Promise<readonly BoardRecord[]> {
    return this.#store.boards();
  }

  epochs(board: string): Promise<readonly Epoch[]> {
    return this.#store.epochs(board);
  }

  people(board: string): Promise<readonly Person[]> {
    return this.#store.people(board);
  }

  /** A new invite for a role; the old one lets nobody in any more. Returns its token. */
  async rotateInvite(board: string, role: string): Promise<string> {
    const token = newToken();
    const expiresAt = this.#now() + this.#lifetimes.inviteMs;
    await this.#store.putInvite({
      hash: tokenHash(token),
      board,
      role,
      person: null,
      expiresAt,
      once: false,
    });
    return token;
  }

  /** Resolves to whether there was one to withdraw. */
  withdrawInvite(board: string, role: string): Promise<boolean> {
    return this.#store.removeInvite(board, role);
  }

  /** A link for the same person's second device, good once and not for long. */
  async secondDevice({ board, role, person }: Session): Promise<{ token: string; expiresAt: number }> {
    const token = newToken();
    const expiresAt = this.#now() + this.#lifetimes.secondDeviceMs;
    await this.#store.addInvite({ hash: tokenHash(token), board, role, person, expiresAt, once: true });
    return { token, expiresAt };
  }

  /** The invite of a token, if it still lets anybody in. */
  async invite(token: string): Promise<Invite | null> {
    const invite = await this.#store.invite(tokenHash(token));
    return invite && invite.expiresAt > this.#now() ? invite : null;
  }

  /**
   * Lets somebody in. `secret` is the session's, told once and kept nowhere here.
   *
   * @param isVisitor to a board that is kept elsewhere: counted apart, so that no id is given twice
   */
  async join(
    invite: Invite,
    name: string,
    isVisitor = false,
  ): Promise<{ person: Person; secret: string; expiresAt: number }> {
    const secret = newToken();
    const expiresAt = this.#now() + this.#lifetimes.sessionMs;
    const session = { id: newId('s'), hash: tokenHash(secret), expiresAt };
    const person = await this.#store.join(invite, { name, joinedAt: this.#now(), isVisitor }, session);
    return { person, secret, expiresAt };
  }

  /** The session of a secret, renewed by being asked for; `null` when there is none, or none any more. */
  async session(secret: string): Promise<Session | null> {
    const found = await this.#store.session(tokenHash(secret));
    if (!found || found.endedAt !== null || found.expiresAt <= this.#now()) return null;
    const { endedAt: _, ...session } = found;
    return this.renew(session);
  }

  /** Puts off a session's end, since it is in use. */
  async renew(session: Session): Promise<Session> {
    const expiresAt = this.#now() + this.#lifetimes.sessionMs;
    const known = Math.max(session.expiresAt, this.#renewed.get(session.id) ?? 0);
    if (expiresAt - known < this.#lifetimes.sessionMs * RENEW_AFTER) return { ...session, expiresAt: known };
    this.#renewed.set(session.id, expiresAt);
    await this.#store.renewSession(session.id, expiresAt);
    return { ...session, expiresAt };
  }

  /** Whether a session was ended since it was looked up. */
  isEnded(session: string): boolean {
    return this.#ended.has(session);
  }

  /** Ends one session. */
  async leave(session: Session): Promise<void> {
    await this.#store.endSession(session.id, this.#now());
    if (!this.#store.onEnded) this.#tellEnd([session.id]);
  }

  /** A person has gone for good: all their sessions end. `null` for nobody's id. */
  async removePerson(board: string, person: string): Promise<Person | null> {
    const gone = await this.#store.leave(board, person, this.#now());
    if (gone && !this.#store.onEnded) this.#tellEnd(gone.sessions);
    return gone?.person ?? null;
  }

  /** The writer that a tab of a session is; `null` when the session has opened too many. */
  writer(session: Session, tab: string): Promise<string | null> {
    return this.#store.writer({ ...session, endedAt: null }, tab, MOST_TABS);
  }

  #tellEnd(sessions: readonly string[]): void {
    for (const session of sessions) {
      this.#ended.add(session);
      for (const hear of this.#onEnd) hear(session);
    }
  }
}
