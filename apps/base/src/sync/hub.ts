import { CLOSE, type PresenceEntry } from '@plumbline/replica';
import type { Accounts } from '../accounts/accounts.ts';
import { type Admission, Connection, type ConnectionPorts, GOING_AWAY } from './connection.ts';
import type { SocketPort } from './outflow.ts';
import { PresenceRoom } from './presence.ts';

/** The sockets of other nodes that serve the same boards. */
export interface OtherSockets {
  /** Hears, from now on, who is where on a board elsewhere. Returns how to stop. */
  enter(board: string): () => void;
  /** Tells the others who is where here. @param isAll whether there is nobody else here */
  said(board: string, entries: readonly PresenceEntry[], isAll: boolean): void;
  /** A tab has a new socket here: an older one elsewhere is closed. */
  opened(session: string, tab: string): void;
}

interface Room {
  readonly presence: PresenceRoom;
  readonly leave: () => void;
}

/** What is said of presence may be lost between nodes: all of it is said again this often, ms. */
const SAY_ALL_MS = 5000;

/** All sockets of this base. */
export class Hub {
  readonly #ports: ConnectionPorts;
  readonly #accounts: Accounts;
  readonly #after: (milliseconds: number, act: () => void) => void;
  readonly #connections = new Set<Connection>();
  readonly #bySession = new Map<string, Set<Connection>>();
  readonly #byTab = new Map<string, Connection>();
  readonly #rooms = new Map<string, Room>();
  readonly #others: OtherSockets | null;
  #pinged = 0;
  #saidAll = 0;

  /**
   * @param after runs something after so many ms
   * @param others the sockets of other nodes; `null` for a base by itself
   */
  constructor(
    accounts: Accounts,
    ports: ConnectionPorts,
    after: (milliseconds: number, act: () => void) => void,
    others: OtherSockets | null = null,
  ) {
    this.#accounts = accounts;
    this.#ports = ports;
    this.#after = after;
    this.#others = others;
    accounts.onEnd((session) => this.endSession(session));
  }

  get size(): number {
    return this.#connections.size;
  }

  /** Bytes that wait for all readers together. */
  get buffered(): number {
    let sum = 0;
    for (const connection of this.#connections) sum += connection.buffered;
    return sum;
  }

  /** Takes in an open socket; `null`, and the socket closed, where it may not stay. */
  connect(admission: Admission, socket: SocketPort): Connection | null {
    const { session, tab, board } = admission;
    const siblings = this.#bySession.get(session.id);
    const refusal = this.#accounts.isEnded(session.id)
      ? ([CLOSE.noSession, 'the session has ended'] as const)
      : (siblings?.size ?? 0) >= this.#ports.limits.socketsPerSession
        ? ([CLOSE.tooMuch, 'too many sockets'] as const)
        : null;
    if (refusal) {
      this.#ports.reports.closing(refusal[0]);
      socket.close(refusal[0], refusal[1]);
      return null;
    }
    const key = tab === null ? null : tabKey(session.id, tab);
    if (key !== null) this.#byTab.get(key)?.close(CLOSE.replaced, 'a newer socket of this tab');
    const connection = new Connection(admission, socket, this.#room(board.id), this.#ports);
    this.#connections.add(connection);
    this.#bySession.set(session.id, (siblings ?? new Set()).add(connection));
    if (key !== null) this.#byTab.set(key, connection);
    if (tab !== null) this.#others?.opened(session.id, tab);
    connection.open();
    return connection;
  }

  /** A socket has closed, from whichever side. */
  disconnect(connection: Connection): void {
    connection.gone();
    this.#connections.delete(connection);
    const { session, tab, board } = connection.admission;
    const siblings = this.#bySession.get(session.id);
    siblings?.delete(connection);
    if (siblings?.size === 0) this.#bySession.delete(session.id);
    const key = tab === null ? null : tabKey(session.id, tab);
    if (key !== null && this.#byTab.get(key) === connection) this.#byTab.delete(key);
    const room = this.#rooms.get(board.id);
    if (!room?.presence.isEmpty) return;
    room.leave();
    this.#rooms.delete(board.id);
  }

  /** A tab has a newer socket on another node. @param at when it was opened, ms since 1970 */
  tabOpened(session: string, tab: string, at: number): void {
    const connection = this.#byTab.get(tabKey(session, tab));
    // What comes late must not close what is newer.
    if (connection && connection.openedAt < at)
      connection.close(CLOSE.replaced, 'a newer socket of this tab');
  }

  /** What another node says of its sockets on a board. */
  heard(board: string, node: string, entries: readonly PresenceEntry[], isAll: boolean): void {
    this.#rooms.get(board)?.presence.hear(node, entries, isAll);
  }

  /** Another node asks who is where here. */
  sayAll(board: string): void {
    const room = this.#rooms.get(board);
    if (room) this.#others?.said(board, room.presence.own, true);
  }

  /** Another node is dead, and nobody is there any more. */
  nodeDied(node: string): void {
    for (const { presence } of this.#rooms.values()) presence.gone(node);
  }

  /** Closes the sockets of a session that has ended. */
  endSession(session: string): void {
    for (const connection of [...(this.#bySession.get(session) ?? [])]) {
      connection.close(CLOSE.noSession, 'the session has ended');
    }
  }

  /** Called about once a second: notices who is slow, silent, or no longer allowed. */
  tick(): void {
    const now = this.#ports.now();
    const isPingDue = now - this.#pinged >= this.#ports.limits.pingMs;
    if (isPingDue) this.#pinged = now;
    for (const connection of [...this.#connections]) {
      connection.tick();
      if (isPingDue) connection.ping();
    }
    if (isPingDue) void this.#renewSessions();
    if (now - this.#saidAll < SAY_ALL_MS) return;
    this.#saidAll = now;
    for (const board of this.#rooms.keys()) this.sayAll(board);
  }

  /** The base stops. */
  closeAll(): void {
    for (const connection of [...this.#connections]) connection.close(GOING_AWAY, 'the base stops');
  }

  /** An open socket is a use of its session. */
  async #renewSessions(): Promise<void> {
    const sessions = new Map(
      [...this.#connections].map(({ admission }) => [admission.session.id, admission.session]),
    );
    for (const session of sessions.values()) await this.#accounts.renew(session).catch(() => {});
  }

  #room(board: string): PresenceRoom {
    const known = this.#rooms.get(board);
    if (known) return known.presence;
    const presence = new PresenceRoom(
      (act) => this.#after(this.#ports.limits.presenceMs, act),
      (entries) => this.#others?.said(board, entries, false),
    );
    this.#rooms.set(board, { presence, leave: this.#others?.enter(board) ?? (() => {}) });
    return presence;
  }
}

function tabKey(session: string, tab: string): string {
  return `${session}/${tab}`;
}
