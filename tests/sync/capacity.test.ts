import { expect, it, onTestFinished } from 'vitest';
import { limitReached } from '../../apps/base/src/capacity.ts';
import { call, createBoard, joinAs, startTestBase, viewOf } from '../support/base.ts';
import { openTablet, RawSocket, syncUrl } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';

it('a base at its limit opens no further board, says when to try again, and those that it has go on', async () => {
  const first = await startTestBase();
  const open = await createBoard(first, 'Open');
  const keeper = await joinAs(first, open, 'keeper');
  const closed = await createBoard(first, 'Closed');
  const stranger = await joinAs(first, closed, 'keeper');
  const base = await first.restart({ capacity: { boards: 1 } });
  onTestFinished(base.stop);
  await viewOf(base, keeper);

  const path = `/api/boards/${closed.boardId}/view`;
  const refused = await call(base, 'GET', path, { token: stranger.session });
  expect(refused.status).toBe(503);
  expect(Number(refused.headers.get('retry-after'))).toBeGreaterThan(0);
  const socket = new RawSocket(syncUrl(base, closed.boardId, 'a'), {
    authorization: `Bearer ${stranger.session}`,
  });
  expect(await socket.closed).toBe(1013);
  // Nothing is made of a board that could not be opened.
  const made = await call(base, 'POST', '/api/boards', { token: base.adminKey, body: { title: 'More' } });
  expect(made.status).toBe(503);
  const { body } = await call(base, 'GET', '/api/boards', { token: base.adminKey });
  expect(JSON.stringify(body)).not.toContain('More');

  const tablet = await openTablet(base, keeper, toyKind.definition);
  tablet.set('shelves', 's1', 'name', 'goes on');
  await tablet.settled();
  tablet.close();
  expect((await call(base, 'GET', '/metrics')).body).toMatch(
    /plumbline_boards_refused_total\{limit="boards"\} 3/,
  );
});

it('a base that is late or large opens no further board, unless it has so few that they are not why', () => {
  const limits = { boards: 100, delayMs: 250, memoryMegabytes: 1000 };
  const well = { boards: 50, delayMs: 250, memoryMegabytes: 1000 };
  expect(limitReached(limits, well)).toBeNull();
  expect(limitReached(limits, { ...well, boards: 100 })).toBe('boards');
  expect(limitReached(limits, { ...well, delayMs: 251 })).toBe('delayMs');
  expect(limitReached(limits, { ...well, memoryMegabytes: 1001 })).toBe('memoryMegabytes');
  expect(limitReached(limits, { boards: 15, delayMs: 9999, memoryMegabytes: 9999 })).toBeNull();
  expect(limitReached(limits, { boards: 16, delayMs: 9999, memoryMegabytes: 0 })).toBe('delayMs');
});
