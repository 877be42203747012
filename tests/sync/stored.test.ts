import type { Log } from '@plumbline/base';
import { stampAt } from '@plumbline/replica';
import { expect, it, onTestFinished } from 'vitest';
import {
  call,
  createBoard,
  joinAs,
  type Member,
  type Reachable,
  startTestBase,
  viewOf,
} from '../support/base.ts';
import { openRaw, openTablet, type RawSocket, until } from '../support/clients.ts';
import { FaultyLog } from '../support/faultyLog.ts';
import { toyKind } from '../support/toyKind.ts';

interface Unit {
  readonly base: Reachable;
  readonly log: FaultyLog;
  readonly keeper: Member;
  readonly clerk: Member;
}

async function faultyBase(): Promise<Unit> {
  let log: FaultyLog | null = null;
  const base = await startTestBase({
    wrapLog: (inner: Log) => {
      log = new FaultyLog(inner);
      return log;
    },
  });
  onTestFinished(base.stop);
  const board = await createBoard(base);
  const keeper = await joinAs(base, board, 'keeper');
  const clerk = await joinAs(base, board, 'clerk');
  if (!log) throw new Error('the base took no log');
  return { base, log, keeper, clerk };
}

const setting = (n: number, value: string) => ({
  n,
  stamp: stampAt(Date.now()) + n,
  entries: [{ table: 'shelves', record: 's1', field: 'name', value, seen: 0 }],
});

/** Frames that could tell of a change: updates, differences and answers. */
const telling = (socket: RawSocket): number =>
  socket.frames.filter(([type]) => type === 0 || type === 102).length;

it('nobody hears of an edit before the disk has it: neither its author, nor the others, nor who asks meanwhile', async () => {
  const { base, log, keeper, clerk } = await faultyBase();
  const author = await openRaw(base, keeper, 'a');
  const other = await openTablet(base, clerk, toyKind.definition);
  const asker = await openRaw(base, clerk, 'asker');
  log.fault = 'hold';
  const asked = log.asked;
  author.edit(setting(1, 'held'));
  await until(() => log.asked > asked, 'the turn');
  asker.send(new Uint8Array([0, 0, 1, 0]));
  const view = viewOf(base, clerk);
  let isTold = false;
  void view.then(() => {
    isTold = true;
  });
  // A whole round trip to the base and back over each socket, so that whatever was sent before has come.
  for (const socket of [author, asker]) {
    socket.send(new Uint8Array([104, 8, ...new TextEncoder().encode('{"t0":1}')]));
    await socket.message('clock');
  }
  await call(base, 'GET', '/healthz');
  expect(telling(author)).toBe(0);
  expect(telling(asker)).toBe(0);
  expect(other.value('shelves', 's1', 'name')).toBeUndefined();
  expect(isTold).toBe(false);
  expect(log.asked).toBe(asked + 1);

  log.release();
  await author.message('stored', ({ n }) => n === 1);
  await until(() => other.value('shelves', 's1', 'name') === 'held', 'the other tablet');
  expect((await view).shelves?.s1?.name).toBe('held');
  await until(() => telling(asker) > 0, 'the answer to the question');
  other.close();
});

it('an edit’s update reaches its author before the word that it is stored', async () => {
  const { base, keeper } = await faultyBase();
  const author = await openRaw(base, keeper, 'a');
  author.send(new Uint8Array([0, 0, 1, 0]));
  await until(() => author.frames.some(([type]) => type === 0), 'the difference');
  const before = author.frames.length;
  author.edit(setting(1, 'x'));
  await author.message('stored');
  expect(author.frames.slice(before).map(([type]) => type)).toEqual([0, 102]);
});

it('when the disk takes nothing, nothing is said to be stored, nothing shows, and all is well again when it does', async () => {
  const { base, log, keeper, clerk } = await faultyBase();
  const author = await openTablet(base, keeper, toyKind.definition, { tab: 'author' });
  const other = await openTablet(base, clerk, toyKind.definition);
  author.set('shelves', 's1', 'name', 'before');
  await author.settled();
  log.fault = 'refuse';
  author.set('shelves', 's1', 'name', 'during');
  author.set('shelves', 's2', 'name', 'too');
  await until(() => author.closes.length > 0, 'the socket closed');
  expect(author.closes[0]).toBe(1013);
  expect(author.replica.waiting.peek()).toBe(2);
  expect((await call(base, 'GET', '/readyz')).status).toBe(503);
  expect((await viewOf(base, clerk)).shelves).toMatchObject({ s1: { name: 'before' } });
  expect((await viewOf(base, clerk)).shelves).not.toHaveProperty('s2');
  expect(other.link.status.peek().kind).toBe('live');
  expect(other.value('shelves', 's1', 'name')).toBe('before');

  log.fault = 'none';
  await author.settled();
  await until(() => other.value('shelves', 's2', 'name') === 'too', 'the other tablet');
  expect(other.value('shelves', 's1', 'name')).toBe('during');
  expect(other.link.status.peek().kind).toBe('live');
  author.close();
  other.close();
});

it('when the disk takes a turn and its answer is lost, every edit is on the board once, with its first answer', async () => {
  const { base, log, keeper, clerk } = await faultyBase();
  const author = await openTablet(base, keeper, toyKind.definition, { tab: 'author' });
  const other = await openTablet(base, clerk, toyKind.definition);
  log.fault = 'lose the answer';
  author.set('shelves', 's1', 'name', 'lost');
  await until(() => author.closes.includes(1013), 'the socket closed');
  log.fault = 'none';
  await author.settled();
  author.set('shelves', 's1', 'width', 3);
  await author.settled();
  await until(() => other.value('shelves', 's1', 'width') === 3, 'the other tablet');
  // Its replica was open all the while: it must have got what the log turned out to hold.
  expect(other.value('shelves', 's1', 'name')).toBe('lost');
  const { body } = await call(base, 'GET', `/api/boards/${keeper.boardId}/history?table=shelves&record=s1`, {
    token: keeper.session,
  });
  expect(body).toMatchObject({ entries: [{ field: 'width' }, { field: 'name' }] });
  author.close();
  other.close();
});

it('a board that can be neither stored nor read closes its sockets, and opens again when it can', async () => {
  const { base, log, keeper } = await faultyBase();
  const author = await openTablet(base, keeper, toyKind.definition, { tab: 'author' });
  const reader = await openRaw(base, keeper);
  log.fault = 'refuse';
  log.isBlind = true;
  author.set('shelves', 's1', 'name', 'x');
  expect(await reader.closed).toBe(1013);
  expect(
    (await call(base, 'GET', `/api/boards/${keeper.boardId}/view`, { token: keeper.session })).status,
  ).toBe(503);
  log.fault = 'none';
  log.isBlind = false;
  await author.settled();
  expect((await viewOf(base, keeper)).shelves).toMatchObject({ s1: { name: 'x' } });
  author.close();
});

it('values that the base itself writes are refused to whoever asked for them when they cannot be stored', async () => {
  const { base, log, keeper } = await faultyBase();
  log.fault = 'refuse';
  const { status, body } = await call(base, 'POST', `/api/boards/${keeper.boardId}/import`, {
    token: keeper.session,
    body: { files: [{ name: 'a.csv', text: 's5,north' }] },
  });
  expect(status).toBe(503);
  expect(body).toMatchObject({ title: 'Cannot do that right now' });
});
