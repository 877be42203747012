import { messageFrame, stampAt, syncFrame } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { z } from 'zod';
import { call, createBoard, joinAs, joinWith } from '../support/base.ts';
import { openRaw, openTablet, RawSocket, syncUrl, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const bearer = (session: string) => ({ authorization: `Bearer ${session}` });

describe('who may connect', () => {
  it('without a session the socket is accepted and closed with 4401', async () => {
    const { base, board } = await startUnit();
    for (const headers of [{}, bearer('nonsense'), { authorization: 'Basic x' }]) {
      expect(await new RawSocket(syncUrl(base, board.boardId, 'a'), headers).closed).toBe(4401);
    }
  });

  it('with a session of another board it is closed with 4403', async () => {
    const { base, keeper } = await startUnit();
    const other = await createBoard(base);
    for (const id of [other.boardId, 'no-such-board']) {
      expect(await new RawSocket(syncUrl(base, id, 'a'), bearer(keeper.session)).closed).toBe(4403);
    }
  });

  it('a tab of an impossible name is closed with 4400', async () => {
    const { base, keeper } = await startUnit();
    for (const tab of ['../x', 'a b', '', 'x'.repeat(65)]) {
      expect(await new RawSocket(syncUrl(base, keeper.boardId, tab), bearer(keeper.session)).closed).toBe(
        4400,
      );
    }
    const longest = await openRaw(base, keeper, 'x'.repeat(64));
    longest.close();
  });

  it('a page of another origin gets HTTP 403, even with a good session', async () => {
    const { base, keeper } = await startUnit();
    for (const origin of [
      'https://elsewhere.example',
      'null',
      'http://localhost.elsewhere.example',
      'http://127.0.0.1:1',
    ]) {
      const socket = new WebSocket(syncUrl(base, keeper.boardId, 'a'), {
        headers: bearer(keeper.session),
        origin,
      });
      socket.on('error', () => {});
      const status = await new Promise((resolve) => {
        socket.on('unexpected-response', (_, response) => resolve(response.statusCode));
        socket.on('open', () => resolve('open'));
      });
      expect(status, origin).toBe(403);
      socket.terminate();
    }
  });

  it('the cookie counts only with the base’s own origin', async () => {
    const { base, keeper } = await startUnit();
    const cookie = `plumbline_session=${keeper.session}`;
    expect(await new RawSocket(syncUrl(base, keeper.boardId, 'a'), { cookie }).closed).toBe(4401);
    const socket = new RawSocket(syncUrl(base, keeper.boardId, 'a'), { cookie, origin: base.url });
    expect(await socket.message('hello')).toMatchObject({ writer: `${keeper.personId}-1` });
  });

  it('a plain request is told to upgrade', async () => {
    const { base, keeper } = await startUnit();
    const { status } = await call(base, 'GET', `/sync/${keeper.boardId}`, { token: keeper.session });
    expect(status).toBe(426);
  });

  it('too many sockets of one session are closed with 4429', async () => {
    const { base, keeper } = await startUnit({ syncLimits: { socketsPerSession: 3 } });
    const first = await openRaw(base, keeper);
    await openRaw(base, keeper);
    await openRaw(base, keeper);
    expect(await new RawSocket(syncUrl(base, keeper.boardId), bearer(keeper.session)).closed).toBe(4429);
    first.close();
    await first.closed;
    await until(async () => {
      const next = new RawSocket(syncUrl(base, keeper.boardId), bearer(keeper.session));
      const code = await Promise.race([next.closed, next.message('hello').catch(() => 0)]);
      next.close();
      return typeof code !== 'number';
    }, 'a free place');
  });
});

describe('how a connection ends', () => {
  it('a newer socket of the same tab replaces the older, with 4410, and keeps the writer', async () => {
    const { base, keeper } = await startUnit();
    const older = await openRaw(base, keeper, 'a');
    const beside = await openRaw(base, keeper, 'b');
    const newer = await openRaw(base, keeper, 'a');
    expect(await older.closed).toBe(4410);
    expect((await newer.message('hello')).writer).toBe((await older.message('hello')).writer);
    expect(beside.isClosed).toBe(false);
    newer.edit({
      n: 1,
      stamp: stampAt(Date.now()),
      entries: [{ table: 'shelves', record: 's1', field: 'width', value: 1, seen: 0 }],
    });
    await newer.message('stored');
  });

  it('the same tab name in another session is another tab', async () => {
    const { base, keeper, clerk } = await startUnit();
    const one = await openRaw(base, keeper, 'a');
    const other = await openRaw(base, clerk, 'a');
    one.send(messageFrame('clock', { t0: 1 }));
    await one.message('clock');
    other.close();
  });

  it('when a person is sent away their sockets close with 4401 and nobody else’s do', async () => {
    const { base, keeper, clerk } = await startUnit();
    const sockets = [await openRaw(base, clerk, 'a'), await openRaw(base, clerk)];
    const mine = await openTablet(base, keeper, toyKind.definition);
    const { status } = await call(base, 'DELETE', `/api/boards/${keeper.boardId}/people/${clerk.personId}`, {
      token: keeper.session,
    });
    expect(status).toBe(204);
    for (const socket of sockets) expect(await socket.closed).toBe(4401);
    expect(await new RawSocket(syncUrl(base, clerk.boardId, 'a'), bearer(clerk.session)).closed).toBe(4401);
    await until(
      () => typeof mine.value('people', clerk.personId, 'leftAt') === 'number',
      'the word that they left',
    );
    expect(mine.link.status.peek().kind).toBe('live');
    mine.close();
  });

  it('by the time that the base answers that a person is sent away, it has closed every socket of all their devices', async () => {
    const { base, board, keeper, clerk } = await startUnit();
    const link = await call(base, 'POST', '/api/second-device', { token: clerk.session });
    const { invite } = z.object({ invite: z.string() }).parse(link.body);
    const device = await joinWith(base, invite, 'x');
    const sockets = [
      await openRaw(base, clerk, 'a'),
      await openRaw(base, clerk, 'b'),
      await openRaw(base, clerk),
      await openRaw(base, device, 'a'),
    ];
    const stays = await openRaw(base, keeper, 'a');
    await call(base, 'DELETE', `/api/boards/${board.boardId}/people/${clerk.personId}`, {
      token: keeper.session,
    });
    expect((await call(base, 'GET', '/metrics')).body).toMatch(
      /^plumbline_socket_closes_total\{code="4401"\} 4$/m,
    );
    for (const socket of sockets) expect(await socket.closed).toBe(4401);
    expect(stays.isClosed).toBe(false);
  });

  it('when somebody leaves, only that session’s sockets close', async () => {
    const { base, board, clerk } = await startUnit();
    const other = await joinAs(base, board, 'clerk', 'Somebody else');
    const mine = await openRaw(base, clerk, 'a');
    const theirs = await openRaw(base, other, 'a');
    await call(base, 'POST', '/api/leave', { token: clerk.session });
    expect(await mine.closed).toBe(4401);
    expect(theirs.isClosed).toBe(false);
  });

  it('a base that stops says so with 1001', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    await base.stop();
    expect(await socket.closed).toBe(1001);
  });

  it('a base that stops stores first what has come', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    socket.edit({
      n: 1,
      stamp: stampAt(Date.now()),
      entries: [{ table: 'shelves', record: 's1', field: 'width', value: 1, seen: 0 }],
    });
    socket.send(messageFrame('clock', { t0: 1 }));
    await socket.message('clock');
    await base.stop();
    expect(await socket.message('stored')).toEqual({ n: 1 });
  });
});

describe('what is not understood is closed cheaply', () => {
  const cases: [string, string | Uint8Array, number][] = [
    ['a text frame', 'hello', 4400],
    ['an empty frame', new Uint8Array([]), 4400],
    ['an unknown type', new Uint8Array([55]), 4400],
    ['a sync step that does not exist', new Uint8Array([0, 7, 0]), 4400],
    ['a state vector that is none', syncFrame('stateVector', new Uint8Array([5, 1])), 4400],
    ['an auth frame', new Uint8Array([2, 0, 1, 65]), 4400],
    [
      'a greeting',
      messageFrame('hello', { wire: 1, schema: '', epoch: '', writer: null, last: 0, time: 0 }),
      4400,
    ],
    ['an answer', messageFrame('stored', { n: 1 }), 4400],
    ['a clock question without a time', new Uint8Array([104, 2, 123, 125]), 4400],
    ['an edit with bytes after it', new Uint8Array([...messageFrame('edit', {}), 1]), 4400],
    ['a presence that is none', new Uint8Array([1, 2, 9, 9]), 4400],
    ['a frame over the limit', new Uint8Array(128 * 1024 + 1), 1009],
  ];
  it.each(cases)('%s', async (_, frame, code) => {
    const { base, keeper, clerk } = await startUnit();
    const beside = await openRaw(base, clerk, 'a');
    const socket = await openRaw(base, keeper, 'a');
    socket.send(frame);
    expect(await socket.closed).toBe(code);
    beside.send(messageFrame('clock', { t0: 1 }));
    await beside.message('clock');
  });
});

describe('limits', () => {
  it('more frames than a burst are closed with 4429', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    for (let i = 0; i < 3000; i++) socket.send(messageFrame('clock', { t0: i }));
    expect(await socket.closed).toBe(4429);
    expect(socket.messages('clock').length).toBeLessThan(1200);
  });

  it('more edits unanswered than allowed are closed with 4429; those before are not lost to the board', async () => {
    const { base, keeper } = await startUnit({ syncLimits: { unansweredEdits: 10 } });
    const socket = await openRaw(base, keeper, 'a');
    socket.socket.pause();
    const stamp = stampAt(Date.now());
    for (let n = 1; n <= 200; n++) {
      socket.edit({
        n,
        stamp: stamp + n,
        entries: [{ table: 'shelves', record: 's1', field: 'width', value: n, seen: 0 }],
      });
    }
    socket.socket.resume();
    expect(await socket.closed).toBe(4429);
    const back = await openRaw(base, keeper, 'a');
    expect((await back.message('hello')).last).toBeGreaterThanOrEqual(socket.messages('stored').length);
  });
});
