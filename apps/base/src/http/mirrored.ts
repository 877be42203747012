import type { Context } from 'hono';
import { KeptElsewhere } from '../mirror/refusals.ts';
import type { Route } from './route.ts';
import type { Services } from './services.ts';

/** What may be done to a board that is kept elsewhere: who reads along here is this base's own business. */
const ALLOWED: ReadonlySet<string> = new Set([
  '/api/boards/:board/people/:person',
  '/api/boards/:board/promote',
]);

/**
 * Keeps a call from changing a board that is kept elsewhere. People may be invited to read along, in roles that write
 * nothing, and sent away.
 */
export function onMirror(
  { mirrors }: Services,
  { method, path }: Route,
  writers: ReadonlySet<string>,
): (c: Context) => void {
  if (method === 'GET' || !path.includes(':board') || ALLOWED.has(path)) return () => {};
  return (c) => {
    if (!mirrors.isElsewhere(c.req.param('board') ?? '')) return;
    const role = c.req.param('role');
    if (path === '/api/boards/:board/invites/:role' && role !== undefined && !writers.has(role)) return;
    throw new KeptElsewhere();
  };
}
