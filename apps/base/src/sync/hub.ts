import { CLOSE } from '@plumbline/replica';
import type { Accounts } from '../accounts/accounts.ts';
import { type Admission, Connection, type ConnectionPorts, GOING_AWAY } from './connection.ts';
import type { SocketPort } from './outflow.ts';
import { PresenceRoom } from './presence.ts';

/** All sockets of this base. */
export class Hub {
  readonly #ports: ConnectionPorts;
  readonly #accounts: Accounts;
  readonly #after: (milliseconds: number, act: () => void) => void;
  readonly #connections = new Set<Connection>();
  readonly #bySession = new Map<string, Set<Connection>>();
  readonly #byTab = new Map<string, Connection>();
  readonly #rooms = new Map<string, PresenceRoom>();
  #pinged = 0;

  /** @param after runs something after so many ms */
  constructor(
    accounts: Accounts,
    ports: ConnectionPorts,
    after: (milliseconds: number, act: () => void) => void,
  ) {
    this.#accounts = accounts;
    this.#ports = ports;
    this.#after = after;
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
    if (this.#rooms.get(board.id)?.isEmpty) this.#rooms.delete(board.id);
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
    let room = this.#rooms.get(board);
    if (!room) {
      room = new PresenceRoom((act) => this.#after(this.#ports.limits.presenceMs, act));
      this.#rooms.set(board, room);
    }
    return room;
  }
}

function tabKey(session: string, tab: string): string {
  return `${session}/${tab}`;
}
