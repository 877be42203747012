/** A board as the base knows it from outside. */
export interface BoardRecord {
  readonly id: string;
  readonly title: string;
  /** ms since 1970. */
  readonly createdAt: number;
}

/** A stretch of a board's life with one document; a restore from a backup begins another. */
export interface Epoch {
  readonly id: string;
  /** The Yjs client number under which all of the epoch's document is written. */
  readonly client: number;
  /** The log row that the epoch's document starts after. */
  readonly fromSeq: number;
}

export interface Person {
  readonly id: string;
  readonly name: string;
  readonly role: string;
  readonly joinedAt: number;
  /** When they left for good; `null` while they belong to the unit. */
  readonly leftAt: number | null;
}

/** An invite is known by the hash of its token. */
export interface Invite {
  readonly hash: Uint8Array;
  readonly board: string;
  readonly role: string;
  /** For a second device: the person who joins with it. */
  readonly person: string | null;
  readonly expiresAt: number;
  /** Spent by the first who joins with it. */
  readonly once: boolean;
}

export interface StoredSession {
  readonly id: string;
  readonly board: string;
  readonly person: string;
  readonly role: string;
  readonly name: string;
  readonly expiresAt: number;
  readonly endedAt: number | null;
}

/** Boards, people and who may come in, on disk. What a method has resolved for survives a restart. */
export interface AccountStore {
  addBoard(board: BoardRecord, epoch: Epoch): Promise<void>;
  board(id: string): Promise<BoardRecord | null>;
  boards(): Promise<readonly BoardRecord[]>;
  /** A board's epochs, the present one last. */
  epochs(board: string): Promise<readonly Epoch[]>;

  /** Replaces whatever invite the role had. */
  putInvite(invite: Invite): Promise<void>;
  /** Removes a role's invite; resolves to whether there was one. */
  removeInvite(board: string, role: string): Promise<boolean>;
  /** Adds an invite beside the others: a person's second device. */
  addInvite(invite: Invite): Promise<void>;
  invite(hash: Uint8Array): Promise<Invite | null>;

  /**
   * A new person with a first session, and the invite spent if it was for once.
   *
   * @throws InviteGone where the invite has been spent, replaced or withdrawn since it was looked up
   */
  join(
    invite: Invite,
    person: { readonly name: string; readonly joinedAt: number; readonly isVisitor?: boolean },
    session: { readonly id: string; readonly hash: Uint8Array; readonly expiresAt: number },
  ): Promise<Person>;
  people(board: string): Promise<readonly Person[]>;
  /** Marks a person as gone and ends their sessions; `null` for nobody's id. */
  leave(
    board: string,
    person: string,
    at: number,
  ): Promise<{ readonly person: Person; readonly sessions: readonly string[] } | null>;

  session(hash: Uint8Array): Promise<StoredSession | null>;
  renewSession(id: string, expiresAt: number): Promise<void>;
  endSession(id: string, at: number): Promise<void>;

  /**
   * Hears the ids of sessions as they are ended, by whichever base: for a store that other bases write into too. Where it
   * is there, it has told by the time a method that ended them resolves.
   */
  onEnded?(hear: (sessions: readonly string[]) => void): void;

  /** The writer of one tab of a session, made when the tab first shows itself; `null` when the session has too many. */
  writer(session: StoredSession, tab: string, most: number): Promise<string | null>;
}
