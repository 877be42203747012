import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call, createBoard, joinAs, joinWith, startTestBase, viewOf } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const problem = (status: number, more: Record<string, unknown> = {}) => ({
  status,
  body: expect.objectContaining({
    type: expect.stringMatching(/^urn:plumbline:problem:/),
    title: expect.any(String),
    status,
    detail: expect.any(String),
    ...more,
  }),
});

describe('errors', () => {
  it('an address that there is not is a problem, and so is a method that it does not answer', async () => {
    const { base, keeper } = await startUnit();
    const answer = async (method: string, path: string) => {
      const { status, headers, body } = await call(base, method, path, { token: keeper.session });
      expect(headers.get('content-type')).toBe('application/problem+json');
      return { status, body, allow: headers.get('allow') };
    };
    expect(await answer('GET', '/api/nothing')).toMatchObject(problem(404));
    expect(await answer('POST', '/api/nothing')).toMatchObject(problem(404));
    expect(await answer('PUT', '/nothing.txt')).toMatchObject(problem(404));
    expect(await answer('GET', '/api/join')).toMatchObject({ ...problem(405), allow: 'POST' });
    expect(await answer('DELETE', '/api/boards')).toMatchObject({ ...problem(405), allow: 'POST, GET' });
    expect(await answer('OPTIONS', `/api/boards/${keeper.boardId}/view`)).toMatchObject({
      ...problem(405),
      allow: 'GET',
    });
    expect(await answer('GET', '/api/boards/!!/view')).toMatchObject(problem(403));
  });

  it('bad input names each part that is wrong', async () => {
    const { base } = await startUnit();
    const { status, body } = await call(base, 'POST', '/api/join', { body: { invite: 3, name: '\u0007' } });
    expect({ status, body }).toMatchObject(problem(400));
    expect(
      z
        .object({ errors: z.array(z.object({ path: z.string() })) })
        .parse(body)
        .errors.map(({ path }) => path),
    ).toEqual(['invite', 'name']);
  });

  it.each([
    ['no JSON', '{"invite": ', 'application/json', 400],
    ['a key twice', '{"invite":"a","invite":"b","name":"n"}', 'application/json', 400],
    ['a key into the prototype', '{"__proto__":{},"invite":"a","name":"n"}', 'application/json', 400],
    ['nesting without end', '['.repeat(5000), 'application/json', 400],
    ['another media type', 'invite=a&name=n', 'application/x-www-form-urlencoded', 415],
    ['no media type', '{"invite":"a","name":"n"}', '', 415],
    ['a body too large', JSON.stringify({ invite: 'x'.repeat(70_000), name: 'n' }), 'application/json', 413],
  ])('%s is refused', async (_, body, type, status) => {
    const { base } = await startUnit();
    const answer = await fetch(`${base.url}/api/join`, {
      method: 'POST',
      body,
      headers: { 'content-type': type },
    });
    expect({ status: answer.status, body: await answer.json() }).toMatchObject(problem(status));
  });
});

describe('boards', () => {
  it('a board is made with an invite for each role, and its title stands on it', async () => {
    const base = await startTestBase();
    const { status, body } = await call(base, 'POST', '/api/boards', {
      token: base.adminKey,
      body: { title: '  The  harbour film ' },
    });
    expect(status).toBe(201);
    const board = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) }).parse(body);
    expect(Object.keys(board.invites)).toEqual(['keeper', 'clerk', 'guest']);
    expect(new Set(Object.values(board.invites)).size).toBe(3);
    const keeper = await joinAs(base, board, 'keeper');
    expect((await viewOf(base, keeper)).shelves).toEqual({ first: { name: 'The  harbour film' } });
    await base.stop();
  });

  it('boards know nothing of each other', async () => {
    const { base, keeper } = await startUnit();
    const other = await createBoard(base, 'Other');
    const stranger = await joinAs(base, other, 'keeper', 'Stranger');
    expect(JSON.stringify(await viewOf(base, keeper))).not.toContain('Stranger');
    expect(JSON.stringify(await viewOf(base, stranger))).not.toContain('A test');
    expect(stranger.personId).toBe('p1');
  });

  it('the history is told in pages, newest first', async () => {
    const { base, keeper } = await startUnit();
    const page = async (query: string) => {
      const { status, body } = await call(base, 'GET', `/api/boards/${keeper.boardId}/history?${query}`, {
        token: keeper.session,
      });
      return { status, body };
    };
    const first = z
      .object({ entries: z.array(z.object({ seq: z.int(), field: z.string() })) })
      .parse((await page('limit=4')).body);
    expect(first.entries.map(({ seq }) => seq)).toEqual([4, 4, 4, 4]);
    const next = await page('limit=4&before=4&table=people&field=name');
    expect(next.body).toEqual({
      entries: [3, 2].map((seq) => ({
        seq,
        at: expect.any(Number),
        personId: `p${seq - 1}`,
        writer: 'base',
        table: 'people',
        record: `p${seq - 1}`,
        field: 'name',
        value: seq === 3 ? 'A clerk' : 'A keeper',
        previous: null,
        late: false,
      })),
    });
    for (const query of ['limit=0', 'limit=501', 'limit=x', 'before=0', 'before=-1', 'before=1e99']) {
      expect(await page(query)).toMatchObject(problem(400));
    }
  });

  it('findings are those of the board as it stands', async () => {
    const { base, keeper } = await startUnit();
    const findings = async () =>
      (await call(base, 'GET', `/api/boards/${keeper.boardId}/findings`, { token: keeper.session })).body;
    expect(await findings()).toEqual({ findings: [] });
    const tablet = await openTablet(base, keeper, toyKind.definition);
    tablet.set('shelves', 's1', 'width', 0);
    await tablet.settled();
    expect(await findings()).toEqual({ findings: [{ id: 'narrow/s1', rule: 'narrow' }] });
    tablet.set('shelves', 's1', 'width', 2);
    await tablet.settled();
    expect(await findings()).toEqual({ findings: [] });
    tablet.close();
  });
});

describe('invites and people', () => {
  it('who joins is somebody, with a session that is told once and a cookie that no script reads', async () => {
    const { base, board } = await startUnit();
    const { status, body, headers } = await call(base, 'POST', '/api/join', {
      body: { invite: board.invites.clerk, name: '  Ana  ' },
    });
    expect(status).toBe(200);
    expect(body).toEqual({
      boardId: board.boardId,
      personId: 'p4',
      role: 'clerk',
      session: expect.stringMatching(/^[\w-]{22,}$/),
      expiresAt: expect.any(Number),
    });
    const cookie = headers.get('set-cookie') ?? '';
    expect(cookie).toMatch(/^plumbline_session=[\w-]+;/);
    for (const part of ['HttpOnly', 'SameSite=Strict', 'Path=/']) expect(cookie).toContain(part);
    expect(cookie).not.toContain('Secure');
    const { session } = z.object({ session: z.string() }).parse(body);
    const { body: who } = await call(base, 'GET', '/api/session', { token: session });
    expect(who).toMatchObject({
      boardId: board.boardId,
      title: 'A test',
      personId: 'p4',
      name: 'Ana',
      role: 'clerk',
    });
  });

  it('a rotated invite lets nobody in any more, the new one does; a withdrawn one does not', async () => {
    const { base, board, keeper } = await startUnit();
    const path = `/api/boards/${board.boardId}/invites/clerk`;
    const { body } = await call(base, 'PUT', path, { token: keeper.session });
    const { invite } = z.object({ invite: z.string() }).parse(body);
    await expect(joinAs(base, board, 'clerk')).rejects.toThrow(/403/);
    await joinWith(base, invite, 'Somebody');
    expect((await call(base, 'DELETE', path, { token: keeper.session })).status).toBe(204);
    await expect(joinWith(base, invite, 'Somebody')).rejects.toThrow(/403/);
    expect((await call(base, 'DELETE', path, { token: keeper.session })).status).toBe(404);
    expect(
      (await call(base, 'PUT', `/api/boards/${board.boardId}/invites/king`, { token: keeper.session }))
        .status,
    ).toBe(404);
  });

  it('an invite and a session run out; a session that is used does not', async () => {
    let wall = Date.UTC(2030, 5, 1);
    const base = await startTestBase({
      machine: { wall: () => wall, monotonic: () => 0 },
      lifetimes: { inviteMs: 1000, sessionMs: 10_000 },
    });
    const board = await createBoard(base);
    const used = await joinAs(base, board, 'clerk');
    const unused = await joinAs(base, board, 'guest');
    wall += 1000;
    await expect(joinAs(base, board, 'clerk')).rejects.toThrow(/403/);
    const status = async (token: string) => (await call(base, 'GET', '/api/session', { token })).status;
    for (let i = 0; i < 10; i++) {
      wall += 5000;
      expect(await status(used.session)).toBe(200);
    }
    expect(await status(unused.session)).toBe(401);
    wall += 10_000;
    expect(await status(used.session)).toBe(401);
    await base.stop();
  });

  it('sessions and invites survive a restart, though neither is on the disk', async () => {
    const base = await startTestBase();
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper');
    const again = await base.restart();
    try {
      expect((await call(again, 'GET', '/api/session', { token: keeper.session })).status).toBe(200);
      await joinAs(again, board, 'clerk');
      const { readFileSync, readdirSync } = await import('node:fs');
      const { join } = await import('node:path');
      const all = readdirSync(base.dataFolder)
        .filter((name) => name !== 'admin-key')
        .map((name) => readFileSync(join(base.dataFolder, name)).toString('latin1'))
        .join('');
      for (const secret of [keeper.session, base.adminKey, ...Object.values(board.invites)]) {
        expect(all.includes(secret)).toBe(false);
      }
    } finally {
      await again.stop();
    }
  });

  it('a second device is the same person, by a link that is good once and not for long', async () => {
    let wall = Date.UTC(2030, 5, 1);
    const base = await startTestBase({ machine: { wall: () => wall, monotonic: () => 0 } });
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper', 'Ana');
    const link = async (): Promise<string> =>
      z
        .object({ invite: z.string() })
        .parse((await call(base, 'POST', '/api/second-device', { token: keeper.session })).body).invite;
    const once = await link();
    const second = await joinWith(base, once, 'whatever');
    expect(second).toMatchObject({ personId: keeper.personId, role: 'keeper' });
    expect(second.session).not.toBe(keeper.session);
    expect((await viewOf(base, second)).people).toMatchObject({ p1: { name: 'Ana' } });
    await expect(joinWith(base, once, 'again')).rejects.toThrow(/403/);
    const late = await link();
    wall += 10 * 60 * 1000;
    await expect(joinWith(base, late, 'late')).rejects.toThrow(/403/);
    const other = await link();
    await call(base, 'DELETE', `/api/boards/${board.boardId}/people/${keeper.personId}`, {
      token: base.adminKey,
    });
    await expect(joinWith(base, other, 'gone')).rejects.toThrow(/403/);
    await base.stop();
  });

  it('guessing invites is slowed down, and joining with good ones is not', async () => {
    const { base, board } = await startUnit({ httpLimits: { joinsBurst: 5, joinsPerMinute: 1 } });
    const guess = () => call(base, 'POST', '/api/join', { body: { invite: 'guess', name: 'x' } });
    for (let i = 0; i < 8; i++) await joinAs(base, board, 'clerk');
    for (let i = 0; i < 5; i++) expect((await guess()).status).toBe(403);
    const stopped = await guess();
    expect(stopped).toMatchObject(problem(429));
    expect(Number(stopped.headers.get('retry-after'))).toBeGreaterThan(30);
  });

  it('somebody sent away has left for good on the board too', async () => {
    const { base, keeper, clerk } = await startUnit();
    const path = `/api/boards/${keeper.boardId}/people/${clerk.personId}`;
    expect((await call(base, 'DELETE', path, { token: keeper.session })).status).toBe(204);
    expect((await viewOf(base, keeper)).people?.[clerk.personId]).toMatchObject({
      leftAt: expect.any(Number),
    });
    expect((await call(base, 'GET', '/api/session', { token: clerk.session })).status).toBe(401);
    const again = (await viewOf(base, keeper)).people?.[clerk.personId];
    expect((await call(base, 'DELETE', path, { token: keeper.session })).status).toBe(204);
    expect((await viewOf(base, keeper)).people?.[clerk.personId]).toEqual(again);
  });
});

describe('taking in a plan', () => {
  const send = (
    base: { url: string },
    board: string,
    token: string,
    body: BodyInit,
    type?: string,
    query = '',
  ) =>
    fetch(`${base.url}/api/boards/${board}/import${query}`, {
      method: 'POST',
      body,
      headers: { authorization: `Bearer ${token}`, ...(type ? { 'content-type': type } : {}) },
    });

  it('as text, as JSON or as a form, under its sender’s name', async () => {
    const { base, keeper } = await startUnit();
    const { boardId, session } = keeper;
    expect(
      await (await send(base, boardId, session, 'a1,one\na2,two\n', 'text/csv; charset=utf-8')).json(),
    ).toEqual({ values: 2 });
    const files = [{ name: 'plan.csv', text: 'b1,three' }];
    expect((await send(base, boardId, session, JSON.stringify({ files }), 'application/json')).status).toBe(
      200,
    );
    const form = new FormData();
    form.append('plan', new File(['c1,four'], 'c.csv'));
    form.append('plan', new File(['d1,five'], 'd.csv'));
    expect(await (await send(base, boardId, session, form)).json()).toEqual({ values: 2 });
    expect((await viewOf(base, keeper)).shelves).toMatchObject({
      a1: { name: 'one' },
      b1: { name: 'three' },
      d1: { name: 'five' },
    });
    const { body } = await call(base, 'GET', `/api/boards/${boardId}/history?table=shelves&record=a1`, {
      token: session,
    });
    expect(body).toMatchObject({ entries: [{ personId: keeper.personId, writer: 'base', value: 'one' }] });
  });

  it('nothing is written unless all is right, and what is wrong is named by line and column', async () => {
    const { base, keeper } = await startUnit();
    const before = await viewOf(base, keeper);
    const answer = await send(
      base,
      keeper.boardId,
      keeper.session,
      'a1,one\n???\nb1,two',
      'text/csv',
      '?name=shelves.csv',
    );
    expect({ status: answer.status, body: await answer.json() }).toMatchObject(
      problem(422, { errors: [{ path: 'shelves.csv:2:1', message: 'not a shelf', line: 2, column: 1 }] }),
    );
    expect(await viewOf(base, keeper)).toEqual(before);
  });

  it('more values than one edit holds are stored all or none', async () => {
    const { base, keeper } = await startUnit();
    const text = Array.from({ length: 950 }, (_, index) => `r${index},name`).join('\n');
    expect(await (await send(base, keeper.boardId, keeper.session, text, 'text/csv')).json()).toEqual({
      values: 950,
    });
    expect(Object.keys((await viewOf(base, keeper)).shelves ?? {})).toHaveLength(951);
  });

  it.each([
    ['another media type', 'x', 'text/plain', 415],
    ['a form that is none', 'x', 'multipart/form-data; boundary=y', 400],
    ['JSON of another form', '{"rows":[]}', 'application/json', 400],
    ['a file name with a path', '{"files":[{"name":"../a.csv","text":""}]}', 'application/json', 400],
  ])('%s is refused', async (_, body, type, status) => {
    const { base, keeper } = await startUnit();
    const answer = await send(base, keeper.boardId, keeper.session, body, type);
    expect({ status: answer.status, body: await answer.json() }).toMatchObject(problem(status));
  });
});

describe('the surface describes itself', () => {
  it('every call is in the OpenAPI document, and none besides', async () => {
    const { base } = await startUnit();
    const { body } = await call(base, 'GET', '/api/openapi.json');
    const document = z
      .object({ openapi: z.literal('3.1.0'), paths: z.record(z.string(), z.record(z.string(), z.unknown())) })
      .parse(body);
    const listed = Object.entries(document.paths).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`),
    );
    const served = base.routes.map(({ method, path }) => `${method} ${path.replace(/:(\w+)/g, '{$1}')}`);
    expect(listed.sort()).toEqual(served.sort());
    expect(document.paths['/api/join']?.post).toMatchObject({
      requestBody: { content: { 'application/json': { schema: { required: ['invite', 'name'] } } } },
      responses: { 200: {}, 400: {}, 403: {}, 429: {} },
    });
  });

  it('health, readiness and figures answer', async () => {
    const { base } = await startUnit();
    expect(await call(base, 'GET', '/healthz')).toMatchObject({ status: 200, body: { status: 'ok' } });
    expect(await call(base, 'GET', '/readyz')).toMatchObject({ status: 200, body: { status: 'ok' } });
    const { body } = await call(base, 'GET', '/metrics');
    for (const name of ['plumbline_log_append_seconds_count', 'plumbline_sockets', 'plumbline_boards']) {
      expect(body).toMatch(new RegExp(`^${name} \\d+$`, 'm'));
    }
  });

  it('no answer may be framed, sniffed or scripted from elsewhere', async () => {
    const { base } = await startUnit();
    for (const path of ['/', '/healthz', '/api/schema', '/api/nothing']) {
      const { headers } = await call(base, 'GET', path);
      const csp = headers.get('content-security-policy') ?? '';
      expect(csp).toContain("default-src 'self'");
      expect(csp).toContain("frame-ancestors 'none'");
      expect(csp).not.toMatch(/unsafe-(inline|eval)/);
      expect(headers.get('x-content-type-options')).toBe('nosniff');
      expect(headers.get('referrer-policy')).toBe('no-referrer');
    }
  });
});
