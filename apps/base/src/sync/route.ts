import { upgradeWebSocket } from '@hono/node-server';
import { CLOSE } from '@plumbline/replica';
import type { Context, MiddlewareHandler } from 'hono';
import { WebSocket } from 'ws';
import type { Accounts } from '../accounts/accounts.ts';
import type { Addresses } from '../addresses.ts';
import type { Allowances } from '../allowances.ts';
import type { Boards } from '../board/boards.ts';
import { AtCapacity } from '../capacity.ts';
import { Problem, problemResponse } from '../http/problem.ts';
import { addressOf, isOwnOrigin, sessionOf } from '../http/who.ts';
import type { Admission } from './connection.ts';
import type { Hub } from './hub.ts';
import { Inflow } from './inflow.ts';
import type { SyncLimits } from './limits.ts';
import type { SocketPort } from './outflow.ts';

/** What the socket route is served from. */
export interface SyncPorts {
  readonly accounts: Accounts;
  readonly addresses: Addresses;
  readonly boards: Boards;
  readonly hub: Hub;
  readonly limits: SyncLimits;
  readonly now: () => number;
  readonly reports: { closing(code: number): void; trouble(board: string, error: unknown): void };
  /** Frames of each session. */
  readonly sessionFrames: Allowances;
}

const TAB = /^[A-Za-z0-9-]{1,64}$/;

type Verdict =
  | { readonly kind: 'let in'; readonly admission: Admission }
  | { readonly kind: 'turn away'; readonly code: number; readonly reason: string };

const turnAway = (code: number, reason: string): Verdict => ({ kind: 'turn away', code, reason });

/**
 * `GET /sync/:board`. A page of another origin is refused before the upgrade; all else is accepted first and then
 * closed with its reason, since a refused upgrade tells a browser nothing.
 */
export function syncRoute(ports: SyncPorts): MiddlewareHandler {
  const { addresses, hub, reports } = ports;
  const upgrade = upgradeWebSocket(async (c) => {
    const verdict = await judge(c, ports);
    return {
      onOpen: (_, { raw }) => {
        if (!(raw instanceof WebSocket)) throw new Error('not a socket of ws');
        if (verdict.kind === 'turn away') {
          raw.on('error', () => {});
          reports.closing(verdict.code);
          raw.close(verdict.code, verdict.reason);
        } else attach(raw, verdict.admission, hub, ports.limits);
      },
    };
  });
  return async (c, next) => {
    if (isOwnOrigin(c) === false) {
      return problemResponse(new Problem(403, 'A page of another origin may not connect here.'));
    }
    if (c.req.header('upgrade')?.toLowerCase() !== 'websocket') {
      return problemResponse(
        new Problem(426, 'This address speaks WebSocket.', { headers: { upgrade: 'websocket' } }),
      );
    }
    const wait = addresses.handshake(addressOf(c));
    if (wait > 0) {
      return problemResponse(
        new Problem(429, 'Too many connections from here. Wait a little.', {
          headers: { 'retry-after': String(Math.ceil(wait / 1000)) },
        }),
      );
    }
    return upgrade(c, next);
  };
}

async function judge(c: Context, ports: SyncPorts): Promise<Verdict> {
  const { accounts, addresses, boards, reports, sessionFrames } = ports;
  const id = c.req.param('board') ?? '';
  try {
    const session = await sessionOf(c, accounts);
    if (!session) return turnAway(CLOSE.noSession, 'no session');
    if (session.board !== id) return turnAway(CLOSE.otherBoard, 'another board');
    const tab = c.req.query('tab') ?? null;
    if (tab !== null && !TAB.test(tab)) return turnAway(CLOSE.notUnderstood, 'not a tab');
    const board = await boards.get(id);
    if (!board) return turnAway(CLOSE.otherBoard, 'no such board');
    // Nobody writes on a board that is kept elsewhere: every tab is a mere reader's.
    const writes = tab !== null && !board.isElsewhere;
    // A tablet numbers its edits by what it is told of the last one, so that must be what is true.
    if (writes) await board.current();
    const writerId = writes ? await accounts.writer(session, tab) : null;
    if (writes && writerId === null) return turnAway(CLOSE.tooMuch, 'too many tabs');
    const epochs = await accounts.epochs(id);
    const earlierClients = new Set(
      epochs.filter(({ id: epoch }) => epoch !== board.epoch.id).map(({ client }) => client),
    );
    const writer = writerId === null ? null : { id: writerId, person: session.person, role: session.role };
    const address = addressOf(c);
    const mayReceive = (): boolean => {
      const now = ports.now();
      return sessionFrames.of(session.id, now).take(now) && addresses.frame(address);
    };
    return { kind: 'let in', admission: { board, session, writer, tab, mayReceive, earlierClients } };
  } catch (error) {
    if (error instanceof AtCapacity) return turnAway(CLOSE.cannotStore, 'no room for another board');
    reports.trouble(id, error);
    return turnAway(CLOSE.cannotStore, 'the base cannot read this board');
  }
}

function attach(raw: WebSocket, admission: Admission, hub: Hub, limits: SyncLimits): void {
  raw.on('error', () => {
    // ws closes the socket by itself, with the code that fits; nothing more is to be done.
  });
  let stopReading = (): void => {};
  const connection = hub.connect(
    admission,
    portOf(raw, () => stopReading()),
  );
  if (!connection) return;
  const inflow = new Inflow(limits.turn, limits.framesBurst, {
    pause: () => raw.pause(),
    resume: () => raw.resume(),
    nextTurn: setImmediate,
    handle: (frame, isBinary) => connection.received(frame, isBinary),
    tooMuch: () => connection.close(CLOSE.tooMuch, 'too many frames'),
  });
  stopReading = () => inflow.end();
  raw.on('message', (data, isBinary) => inflow.received(bytesOf(data), isBinary));
  raw.on('pong', () => connection.ponged());
  raw.on('close', () => hub.disconnect(connection));
}

function bytesOf(data: WebSocket.RawData): Uint8Array {
  if (Array.isArray(data)) return Buffer.concat(data);
  return data instanceof ArrayBuffer ? new Uint8Array(data) : data;
}

function portOf(raw: WebSocket, closing: () => void): SocketPort {
  return {
    get buffered() {
      return raw.bufferedAmount;
    },
    send: (frame, flushed) => raw.send(frame, flushed),
    close: (code, reason) => {
      closing();
      raw.close(code, reason);
    },
    terminate: () => raw.terminate(),
    ping: () => raw.ping(),
  };
}
