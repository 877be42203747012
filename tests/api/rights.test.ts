import type { Access, Base, Route } from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { call, createBoard, joinAs, type NewBoard, startTestBase } from '../support/base.ts';

/** Whoever may make a call: one of each kind there is. */
const CALLERS = [
  'nobody',
  'a bad token',
  'the admin',
  'the runner',
  'another role',
  'who writes nothing',
  'the runner of another board',
  'somebody of another board',
  'somebody sent away',
  'somebody who left',
] as const;
type Caller = (typeof CALLERS)[number];

/** The status that each caller gets where the call is not for them; absent: it is for them. */
const REFUSED: Readonly<Record<Access, Partial<Record<Caller, 401 | 403>>>> = {
  open: {},
  local: {},
  admin: {
    nobody: 401,
    'a bad token': 401,
    'the runner': 403,
    'another role': 403,
    'who writes nothing': 403,
    'the runner of another board': 403,
    'somebody of another board': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  session: {
    nobody: 401,
    'a bad token': 401,
    'the admin': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  member: {
    nobody: 401,
    'a bad token': 401,
    'the admin': 403,
    'the runner of another board': 403,
    'somebody of another board': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  reader: {
    nobody: 401,
    'a bad token': 401,
    'the runner of another board': 403,
    'somebody of another board': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  writer: {
    nobody: 401,
    'a bad token': 401,
    'the admin': 403,
    'who writes nothing': 403,
    'the runner of another board': 403,
    'somebody of another board': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  mirror: {
    nobody: 401,
    'a bad token': 401,
    'the admin': 401,
    'the runner': 401,
    'another role': 401,
    'who writes nothing': 401,
    'the runner of another board': 401,
    'somebody of another board': 401,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
  runner: {
    nobody: 401,
    'a bad token': 401,
    'another role': 403,
    'who writes nothing': 403,
    'the runner of another board': 403,
    'somebody of another board': 403,
    'somebody sent away': 401,
    'somebody who left': 401,
  },
};

interface World {
  readonly base: Awaited<ReturnType<typeof startTestBase>>;
  readonly board: NewBoard;
  readonly tokens: Readonly<Record<Caller, string | undefined>>;
}

async function createWorld(): Promise<World> {
  const base = await startTestBase();
  const board = await createBoard(base);
  const other = await createBoard(base);
  const runner = await joinAs(base, board, 'keeper');
  const sentAway = await joinAs(base, board, 'keeper');
  const left = await joinAs(base, board, 'keeper');
  await call(base, 'DELETE', `/api/boards/${board.boardId}/people/${sentAway.personId}`, {
    token: runner.session,
  });
  await call(base, 'POST', '/api/leave', { token: left.session });
  const session = async (of: NewBoard, role: string): Promise<string> =>
    (await joinAs(base, of, role)).session;
  return {
    base,
    board,
    tokens: {
      nobody: undefined,
      'a bad token': 'x'.repeat(27),
      'the admin': base.adminKey,
      'the runner': runner.session,
      'another role': await session(board, 'clerk'),
      'who writes nothing': await session(board, 'guest'),
      'the runner of another board': await session(other, 'keeper'),
      'somebody of another board': await session(other, 'clerk'),
      'somebody sent away': sentAway.session,
      'somebody who left': left.session,
    },
  };
}

/** A body and parameters that are good in form, whoever sends them. */
function goodRequest(route: Route, boardId: string): { path: string; body?: unknown } {
  const path = route.path.replace(':board', boardId).replace(':role', 'guest').replace(':person', 'p99');
  const bodies: Record<string, unknown> = {
    'POST /api/boards': { title: 'Another' },
    'POST /api/mirrors': { title: 'A mirror' },
    'PUT /api/boards/:board/mirror': { url: 'http://127.0.0.1:9', key: 'x'.repeat(27) },
    'POST /api/boards/:board/promote': { directorKey: 'x'.repeat(27) },
    'POST /api/join': { invite: 'x', name: 'Somebody' },
    'POST /api/boards/:board/import': { files: [{ name: 'a.csv', text: 's7,seven' }] },
  };
  const body = bodies[`${route.method} ${route.path}`];
  return body === undefined ? { path } : { path, body };
}

// The table of calls is needed before the first test is named; it does not depend on the base that serves it.
const probe = await startTestBase();
const ROUTES: readonly Route[] = probe.routes;
await probe.stop();

/** For all calls that only read: they leave a base as it was. */
let looked: World;
beforeAll(async () => {
  looked = await createWorld();
});
afterAll(() => looked.base.stop());

describe.each(ROUTES.map((route) => [`${route.method} ${route.path}`, route] as const))('%s', (_, route) => {
  const onlyReads = route.method === 'GET';
  let world: World;
  beforeAll(async () => {
    world = onlyReads ? looked : await createWorld();
  });
  afterAll(async () => {
    if (!onlyReads) await world.base.stop();
  });

  it.each(CALLERS)('by %s', async (caller) => {
    const { base, board, tokens } = world;
    const { path, body } = goodRequest(route, board.boardId);
    const answer = await call(base, route.method, path, { token: tokens[caller], body });
    const refused = REFUSED[route.access][caller];
    if (refused !== undefined) {
      expect(answer.status).toBe(refused);
      expect(answer.headers.get('content-type')).toBe('application/problem+json');
      if (refused === 401) expect(answer.headers.get('www-authenticate')).toBe('Bearer');
    } else if (route.path === '/api/join' || route.path === '/api/boards/:board/promote') {
      expect(answer.status).toBe(403); // The invite or key is none; nothing more is asked of whoever has one.
    } else {
      expect([200, 201, 204, 404]).toContain(answer.status);
    }
  });
});

it('a call that changes something does not take the cookie from a page elsewhere, nor without an origin', async () => {
  const world = await createWorld();
  const { base, board, tokens } = world;
  const cookie = `plumbline_session=${tokens['the runner']}`;
  const path = `/api/boards/${board.boardId}/invites/guest`;
  const put = async (headers: Record<string, string>) => (await call(base, 'PUT', path, { headers })).status;
  expect(await put({ cookie })).toBe(401);
  expect(await put({ cookie, origin: 'https://elsewhere.example' })).toBe(401);
  expect(await put({ cookie, origin: 'null' })).toBe(401);
  expect(await put({ cookie, origin: base.url })).toBe(200);
  const get = async (headers: Record<string, string>) =>
    (await call(base, 'GET', `/api/boards/${board.boardId}/view`, { headers })).status;
  expect(await get({ cookie })).toBe(200);
  expect(await get({ cookie, origin: 'https://elsewhere.example' })).toBe(401);
  await base.stop();
});

it('figures are told to this machine alone, or to the admin', async () => {
  const base: Base = await startTestBase({ host: '0.0.0.0' });
  const { networkInterfaces } = await import('node:os');
  const lan = Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .find(({ family, internal }) => family === 'IPv4' && !internal);
  expect((await call(base, 'GET', '/metrics')).status).toBe(200);
  if (lan) {
    const elsewhere = { url: `http://${lan.address}:${base.port}`, adminKey: base.adminKey };
    expect((await call(elsewhere, 'GET', '/metrics')).status).toBe(401);
    expect((await call(elsewhere, 'GET', '/metrics', { token: base.adminKey })).status).toBe(200);
  }
  await base.stop();
});
