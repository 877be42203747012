import { getConnInfo } from '@hono/node-server/conninfo';
import type { Context } from 'hono';
import { getCookie } from 'hono/cookie';
import type { Accounts, Session } from '../accounts/accounts.ts';
import { sameSecret } from '../accounts/tokens.ts';
import { isLoopbackAddress } from '../addresses.ts';
import type { Proxies } from '../proxies.ts';
import { Problem } from './problem.ts';

export const SESSION_COOKIE = 'plumbline_session';

/** Who makes a request. */
export type Who =
  | { readonly kind: 'nobody' }
  | { readonly kind: 'admin' }
  | { readonly kind: 'session'; readonly session: Session };

/** Whether a request comes from a page of this base; `null` when it does not say. */
export function isOwnOrigin(c: Context): boolean | null {
  const origin = c.req.header('origin');
  if (origin === undefined) return null;
  try {
    return new URL(origin).host === new URL(c.req.url).host;
  } catch {
    return false;
  }
}

/** The secret that a request carries in its header. */
export function bearer(c: Context): string | null {
  return /^Bearer +(\S.*)$/i.exec(c.req.header('authorization') ?? '')?.[1] ?? null;
}

/**
 * The session's secret that a request carries. The cookie, which a browser adds to whatever page asks, counts only from
 * the base's own pages: they say so by Origin, except in plain reads, which SameSite guards.
 */
function secretOf(c: Context, mustSayOrigin: boolean): string | null {
  const cookie = getCookie(c, SESSION_COOKIE) ?? null;
  const own = isOwnOrigin(c);
  return cookie !== null && (own ?? !mustSayOrigin) ? cookie : null;
}

/** The session of a WebSocket handshake. */
export async function sessionOf(c: Context, accounts: Accounts): Promise<Session | null> {
  const secret = bearer(c) ?? secretOf(c, true);
  return secret === null ? null : accounts.session(secret);
}

/** Finds out who makes a request. */
export async function whoIs(c: Context, accounts: Accounts, adminKey: string): Promise<Who> {
  const token = bearer(c);
  if (token !== null && sameSecret(token, adminKey)) return { kind: 'admin' };
  const isRead = c.req.method === 'GET' || c.req.method === 'HEAD';
  const secret = token ?? secretOf(c, !isRead);
  const session = secret === null ? null : await accounts.session(secret);
  return session ? { kind: 'session', session } : { kind: 'nobody' };
}

/** Who a call is for. `board` in the path, where there is one, is the board it is about. */
export type Access =
  /** Anybody. */
  | 'open'
  /** Whoever holds the key that the base was started with. */
  | 'admin'
  /** Anybody with a session. */
  | 'session'
  /** Anybody with a session of that board. */
  | 'member'
  /** Anybody with a session of that board, or the admin. */
  | 'reader'
  /** Anybody with a session of that board whose role may set something on it. */
  | 'writer'
  /** Who runs that board (the first role of its kind), or the admin. */
  | 'runner'
  /** The machine that the base runs on, or the admin. */
  | 'local'
  /** The base that holds the key of a mirror; which one is looked up beside the call. */
  | 'mirror';

/** @throws Problem where this caller may not make the call */
export function requireAccess(
  access: Access,
  who: Who,
  board: string | undefined,
  { runner, writers }: { readonly runner: string; readonly writers: ReadonlySet<string> },
  c: Context,
): void {
  if (access === 'open' || access === 'mirror') return;
  if (access === 'local' && isLoopback(c)) return;
  if (who.kind === 'admin') {
    if (access !== 'session' && access !== 'member' && access !== 'writer') return;
    throw new Problem(403, 'This call is for people who have joined the board.');
  }
  if (who.kind !== 'session') {
    throw new Problem(401, 'This call needs a session or a key that is good.', {
      headers: { 'www-authenticate': 'Bearer' },
    });
  }
  const { session } = who;
  if (board !== undefined && session.board !== board)
    throw new Problem(403, 'Your session is for another board.');
  const isShort =
    (access === 'runner' && session.role !== runner) || (access === 'writer' && !writers.has(session.role));
  if (access === 'admin' || access === 'local' || isShort) {
    throw new Problem(403, 'Your role may not do this.');
  }
}

const ADDRESS = 'clientAddress';

/** Notes who a request is from, where it came by way of a load balancer. */
export function noteAddress(c: Context, proxies: Proxies): void {
  c.set(ADDRESS, proxies.clientOf(getConnInfo(c).remote.address ?? '', c.req.header('x-forwarded-for')));
}

/** The address that a request came from. */
export function addressOf(c: Context): string {
  const noted: unknown = c.get(ADDRESS);
  return typeof noted === 'string' ? noted : (getConnInfo(c).remote.address ?? '');
}

function isLoopback(c: Context): boolean {
  return isLoopbackAddress(addressOf(c));
}
