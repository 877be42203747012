import type { Context } from 'hono';
import { KeptElsewhere } from '../mirror/refusals.ts';
import type { KeptMirror } from '../mirror/store.ts';
import { Problem } from './problem.ts';
import type { Route } from './route.ts';
import type { Services } from './services.ts';
import { bearer } from './who.ts';

/** What may be done to a board that is kept elsewhere: who reads along here is this base's own business. */
const ALLOWED: ReadonlySet<string> = new Set([
  '/api/boards/:board/people/:person',
  '/api/boards/:board/promote',
]);

/** The calls that are about mirrors and nothing else. */
const OF_MIRRORS = /^\/api\/mirror|\/(mirror|promote)$/;

const NO_MIRRORS =
  'This base is a node of a fleet, which keeps boards on several servers and offers no mirrors. Bring a board in with a backup: plumbline restore --cluster.';

/**
 * Lets the calls of mirrors in by their keys, and keeps others from changing a board that is kept elsewhere. People may be invited to read along, in roles that write
 * nothing, and sent away.
 */
export function onMirror(
  services: Services,
  { method, path, access }: Route,
  writers: ReadonlySet<string>,
): (c: Context) => void {
  const { mirrors } = services;
  if (services.isFleet && OF_MIRRORS.test(path)) {
    return () => {
      throw new Problem(409, NO_MIRRORS);
    };
  }
  if (access === 'mirror') return (c) => void mirrorOf(services, c);
  if (method === 'GET' || !path.includes(':board') || ALLOWED.has(path)) return () => {};
  return (c) => {
    if (!mirrors.isElsewhere(c.req.param('board') ?? '')) return;
    const role = c.req.param('role');
    if (path === '/api/boards/:board/invites/:role' && role !== undefined && !writers.has(role)) return;
    throw new KeptElsewhere();
  };
}

/** The mirror whose key a request shows. @throws Problem where it shows none, or one that is good no more */
export function mirrorOf({ mirrors }: Services, c: Context): KeptMirror {
  const key = bearer(c);
  const mirror = key === null ? null : mirrors.byKey(key);
  if (mirror) return mirror;
  throw unknownKey();
}

/** The key of a mirror is none, or none any more. */
export function unknownKey(): Problem {
  return new Problem(401, 'This is not the key of a mirror, or not any more.', {
    headers: { 'www-authenticate': 'Bearer' },
  });
}
