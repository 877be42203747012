import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { Database, verifyDatabase } from '@plumbline/base';
import { syncFrame } from '@plumbline/replica';
import { expect, it, onTestFinished } from 'vitest';
import * as Y from 'yjs';
import { call, joinAs, joinWith, startTestBase, viewOf } from '../support/base.ts';
import { openRaw, openTablet, RawSocket, syncUrl, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { backedUp, filledFolder, folderOfTest, restored } from './filled.ts';

async function started(dataFolder: string): Promise<Awaited<ReturnType<typeof startTestBase>>> {
  const base = await startTestBase({ dataFolder });
  onTestFinished(base.stop);
  return base;
}

const soundness = (path: string) => {
  const database = new Database(join(path, 'plumbline.db'), null);
  const { flaws } = verifyDatabase(database);
  database.close();
  return flaws;
};

it('a board restored elsewhere has everything, in another epoch; sessions, invites, history and answers go on', async () => {
  const { path, board, keeper, clerk } = await filledFolder();
  const before = await startTestBase({ dataFolder: path });
  const view = await viewOf(before, keeper);
  const greeting = await openRaw(before, keeper, 'k');
  const [hello] = greeting.messages('hello');
  await before.stop();
  const file = backedUp(path);
  const elsewhere = folderOfTest();
  const summary = restored(file, elsewhere);
  expect(summary.boards).toMatchObject([{ id: board.boardId, title: 'Filled', replaced: false }]);
  expect(summary.setAside).toBeNull();
  expect(soundness(elsewhere)).toEqual([]);

  const base = await started(elsewhere);
  expect(await viewOf(base, keeper)).toEqual(view);
  const again = await openRaw(base, keeper, 'k');
  const [helloAgain] = again.messages('hello');
  expect(helloAgain).toMatchObject({ writer: hello?.writer, last: hello?.last });
  expect(helloAgain?.epoch).not.toBe(hello?.epoch);
  expect(await joinAs(base, board, 'guest')).toMatchObject({ role: 'guest' });
  const { body } = await call(base, 'GET', `/api/boards/${board.boardId}/history?table=shelves&limit=500`, {
    token: clerk.session,
  });
  expect((body as { entries: unknown[] }).entries).toHaveLength(61);
  const tablet = await openTablet(base, clerk, toyKind.definition, { tab: 'c' });
  tablet.set('shelves', 's1', 'width', 99);
  await tablet.settled();
  expect((await viewOf(base, keeper)).shelves?.s1?.width).toBe(99);
  tablet.close();
  await base.stop();
  expect(soundness(elsewhere)).toEqual([]);
});

it('a tablet of the old epoch is told: another epoch in the greeting, and 4412 where it brings or asks by what it has', async () => {
  const { path, board, keeper, clerk } = await filledFolder();
  const file = backedUp(path);
  const base = await startTestBase({ dataFolder: path });
  const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'k' });
  const { port } = base;
  tablet.set('shelves', 'late', 'name', 'after the backup');
  await tablet.settled();
  const old = Y.encodeStateAsUpdate(tablet.replica.doc);
  const vector = Y.encodeStateVector(tablet.replica.doc);
  await base.stop();
  tablet.set('shelves', 'offline', 'name', 'never sent');
  restored(file, path);
  const again = await startTestBase({ dataFolder: path, port });
  onTestFinished(again.stop);
  await until(() => tablet.link.status.peek().kind === 'epoch', 'word of another epoch');
  // Nothing of it has gone, and nothing was sent into the other epoch.
  expect(tablet.value('shelves', 'late', 'name')).toBe('after the backup');
  expect(tablet.replica.waiting.peek()).toBe(1);
  expect((await viewOf(again, clerk)).shelves?.late).toBeUndefined();
  expect((await viewOf(again, clerk)).shelves?.offline).toBeUndefined();
  for (const frame of [
    syncFrame('stateVector', vector),
    syncFrame('difference', old),
    syncFrame('update', old),
  ]) {
    const raw = new RawSocket(syncUrl(again, board.boardId, 'raw'), {
      authorization: `Bearer ${keeper.session}`,
    });
    await raw.message('hello');
    raw.send(frame);
    expect(await raw.closed).toBe(4412);
  }
  expect((await viewOf(again, clerk)).shelves?.late).toBeUndefined();
});

it('restored over itself, a board goes back and its people do not: who was sent away since stays away', async () => {
  const { path, board, keeper, clerk } = await filledFolder();
  const file = backedUp(path);
  const base = await startTestBase({ dataFolder: path });
  const late = await joinAs(base, board, 'guest', 'Cid');
  await call(base, 'DELETE', `/api/boards/${board.boardId}/people/${clerk.personId}`, {
    token: keeper.session,
  });
  const { body } = await call(base, 'PUT', `/api/boards/${board.boardId}/invites/clerk`, {
    token: keeper.session,
  });
  const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'new' });
  tablet.set('shelves', 'gone', 'name', 'after the backup');
  await tablet.settled();
  tablet.close();
  await base.stop();
  const summary = restored(file, path);
  expect(summary.boards[0]?.replaced).toBe(true);
  expect(existsSync(join(summary.setAside ?? '', 'plumbline.db'))).toBe(true);
  expect(readdirSync(path).filter((name) => name.startsWith('restoring'))).toEqual([]);
  const again = await started(path);
  expect((await viewOf(again, keeper)).shelves?.gone).toBeUndefined();
  expect((await call(again, 'GET', '/api/session', { token: clerk.session })).status).toBe(401);
  expect((await call(again, 'GET', '/api/session', { token: late.session })).status).toBe(200);
  expect(await joinWith(again, (body as { invite: string }).invite, 'Dot')).toMatchObject({ role: 'clerk' });
  await expect(joinAs(again, board, 'clerk')).rejects.toThrow(/403/);
  // The board shows its people as the accounts have them.
  expect((await viewOf(again, keeper)).people?.[late.personId]).toMatchObject({ name: 'Cid' });
  expect((await viewOf(again, keeper)).people?.[clerk.personId]?.leftAt).toEqual(expect.any(Number));
  await again.stop();
  expect(soundness(path)).toEqual([]);

  // And once more, from the same file: the epoch between is known to have ended.
  const between = await startTestBase({ dataFolder: path });
  const holder = await openTablet(between, keeper, toyKind.definition, { tab: 'between' });
  holder.set('shelves', 'between', 'name', 'x');
  await holder.settled();
  const bytes = Y.encodeStateAsUpdate(holder.replica.doc);
  holder.close();
  await between.stop();
  restored(file, path);
  expect(soundness(path)).toEqual([]);
  const third = await started(path);
  const raw = await openRaw(third, keeper, 'raw');
  raw.send(syncFrame('update', bytes));
  expect(await raw.closed).toBe(4412);
});

it('with its sessions ended, a restored board lets nobody in by what was good before', async () => {
  const { path, board, keeper } = await filledFolder(3);
  const elsewhere = folderOfTest();
  restored(backedUp(path), elsewhere, true);
  const base = await started(elsewhere);
  expect((await call(base, 'GET', '/api/session', { token: keeper.session })).status).toBe(401);
  await expect(joinAs(base, board, 'keeper')).rejects.toThrow(/403/);
});

it('a board comes alone where it is asked for, and leaves its neighbours as they are', async () => {
  const { path, board, keeper } = await filledFolder(5);
  const other = await filledFolder(4);
  restored(backedUp(other.path), path);
  const base = await started(path);
  expect(await viewOf(base, keeper)).toMatchObject({ shelves: { s1: { name: 'name 1' } } });
  expect((await viewOf(base, other.keeper)).shelves?.s4).toEqual({ name: 'name 4', width: 4 });
  await base.stop();
  const alone = folderOfTest();
  expect(restored(backedUp(path, [board.boardId]), alone).boards.map(({ id }) => id)).toEqual([
    board.boardId,
  ]);
  expect(() => backedUp(path, ['nowhere'])).toThrow(/nowhere/);
});

it('where an id means somebody else, a backup is not put over the board, and nothing is changed', async () => {
  const { path, board, keeper } = await filledFolder(3);
  const file = backedUp(path);
  const elsewhere = folderOfTest();
  restored(file, elsewhere);
  for (const [folder, name] of [
    [path, 'Eve'],
    [elsewhere, 'Fay'],
  ] as const) {
    const base = await startTestBase({ dataFolder: folder });
    await joinAs(base, board, 'guest', name);
    await base.stop();
  }
  const view = async () => {
    const base = await startTestBase({ dataFolder: path });
    const { people } = await viewOf(base, keeper);
    await base.stop();
    return people;
  };
  const before = await view();
  expect(() => restored(backedUp(elsewhere), path)).toThrow(/other people/);
  expect(await view()).toEqual(before);
});
