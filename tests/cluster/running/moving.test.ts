import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { Database, verifyDatabase } from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { backupFleet } from '../../../apps/base/src/backup/fromFleet.ts';
import { RestoreRefused } from '../../../apps/base/src/backup/restore.ts';
import { restoreToFleet } from '../../../apps/base/src/backup/toFleet.ts';
import { hold, type OutsideView, viewFleet } from '../../../apps/base/src/cluster/outside.ts';
import { photosIn, photosOut } from '../../../apps/base/src/cluster/photos.ts';
import { PHOTO_LIMITS, PhotoStore } from '../../../apps/base/src/photos/store.ts';
import { readSettings } from '../../../apps/base/src/settings.ts';
import { backedUp, filledFolder, folderOfTest, restored } from '../../backup/filled.ts';
import { call, joinWith, startTestBase, viewOf } from '../../support/base.ts';
import { openTablet } from '../../support/clients.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { toyKind } from '../../support/toyKind.ts';

const ABOUT = { program: '0.0.0', madeAt: 1_900_000_000_000 };

describe.skipIf(NATS_SERVER === null)(`boards move between a laptop and a fleet${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  let next = 0;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  const newPrefix = (): string => `m${++next}`;
  const view = async (prefix: string): Promise<OutsideView> => {
    const { cluster } = readSettings({
      PLUMBLINE_CLUSTER: nats.urls.join(','),
      PLUMBLINE_CLUSTER_PREFIX: prefix,
      PLUMBLINE_CLUSTER_REPLICAS: '1',
      PLUMBLINE_CLUSTER_SHARDS: '1',
    });
    if (!cluster) throw new Error('no fleet');
    return viewFleet(cluster, 'test', join(folderOfTest(), 'copy.db'));
  };
  const put = async (prefix: string, file: string, endSessions = false) => {
    const fleet = await view(prefix);
    const letGo = hold(fleet, '0.0.0');
    try {
      return await restoreToFleet(file, fleet, join(folderOfTest(), 'staging.db'), 1_900_000_000_000, {
        endSessions,
      });
    } finally {
      letGo();
      await fleet.close();
    }
  };
  const take = async (prefix: string): Promise<string> => {
    const fleet = await view(prefix);
    try {
      const file = join(folderOfTest(), 'fleet.backup');
      await backupFleet(fleet, file, [], ABOUT);
      return file;
    } finally {
      await fleet.close();
    }
  };
  const soundness = (path: string) => {
    const database = new Database(join(path, 'plumbline.db'), null);
    const { flaws } = verifyDatabase(database);
    database.close();
    return flaws;
  };
  /** What people see of a board on a base by itself. */
  const seen = async (path: string, board: string, token: string, member: Parameters<typeof viewOf>[1]) => {
    const base = await startTestBase({ dataFolder: path });
    try {
      const answers = await Promise.all(
        [`history?limit=500`, 'people'].map((what) =>
          call(base, 'GET', `/api/boards/${board}/${what}`, { token }),
        ),
      );
      return { view: await viewOf(base, member), answers: answers.map(({ body }) => body) };
    } finally {
      await base.stop();
    }
  };

  it('laptop, fleet, laptop, fleet: edits, history, people and sessions are the same after each move', async () => {
    const { path, board, keeper, clerk } = await filledFolder();
    const before = await seen(path, board.boardId, clerk.session, keeper);
    const prefix = newPrefix();
    const summary = await put(prefix, backedUp(path));
    expect(summary.boards).toMatchObject([{ id: board.boardId, title: 'Filled', replaced: false }]);

    const elsewhere = folderOfTest();
    restored(await take(prefix), elsewhere);
    expect(soundness(elsewhere)).toEqual([]);
    expect(await seen(elsewhere, board.boardId, clerk.session, keeper)).toEqual(before);

    // the laptop goes on, and brings it back to the fleet, which has stood still
    const base = await startTestBase({ dataFolder: elsewhere });
    const late = await joinWith(base, board.invites.guest ?? '', 'Late');
    const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'later' });
    tablet.set('shelves', 'later', 'name', 'on the laptop again');
    await tablet.settled();
    tablet.close();
    await base.stop();
    const after = await seen(elsewhere, board.boardId, clerk.session, keeper);
    const again = await put(prefix, backedUp(elsewhere));
    expect(again.boards).toMatchObject([{ id: board.boardId, replaced: true }]);
    const last = folderOfTest();
    restored(await take(prefix), last);
    expect(soundness(last)).toEqual([]);
    expect(await seen(last, board.boardId, clerk.session, keeper)).toEqual(after);
    expect(await seen(last, board.boardId, late.session, keeper)).toEqual(after);
  });

  it('what a fleet has stored it does not take back, and what has gone on in two places is not mixed', async () => {
    const { path, board, keeper } = await filledFolder(5);
    const early = backedUp(path);
    const write = async (folder: string, name: string): Promise<void> => {
      const base = await startTestBase({ dataFolder: folder });
      const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'k' });
      tablet.set('shelves', 's1', 'name', name);
      await tablet.settled();
      tablet.close();
      await base.stop();
    };
    const other = folderOfTest();
    restored(early, other);
    await write(path, 'here');
    await write(other, 'there');
    const prefix = newPrefix();
    await put(prefix, backedUp(path));
    await expect(put(prefix, early)).rejects.toThrow('does not take back');
    await expect(put(prefix, backedUp(other))).rejects.toThrow('both have gone on');
    await expect(put(prefix, early)).rejects.toBeInstanceOf(RestoreRefused);
    const fleet = await view(prefix);
    expect(await fleet.accounts.epochs(board.boardId)).toHaveLength(2);
    await fleet.close();
  });

  it('one that broke off is gone on with, and until it is whole nobody sees the board', async () => {
    const { path, board } = await filledFolder(10);
    const file = backedUp(path);
    const prefix = newPrefix();
    const fleet = await view(prefix);
    const { takeBack } = fleet.accounts;
    fleet.accounts.takeBack = async () => {
      throw new Error('the power went');
    };
    await expect(
      restoreToFleet(file, fleet, join(folderOfTest(), 's.db'), 1, { endSessions: false }),
    ).rejects.toThrow('the power went');
    fleet.accounts.takeBack = takeBack;
    expect(await fleet.accounts.boards()).toEqual([]);
    await fleet.close();
    await put(prefix, file);
    const back = folderOfTest();
    restored(await take(prefix), back);
    expect(soundness(back)).toEqual([]);
    expect(existsSync(join(back, 'plumbline.db'))).toBe(true);
    const again = await view(prefix);
    expect((await again.accounts.boards()).map(({ id }) => id)).toEqual([board.boardId]);
    await again.close();
  });

  it('a node is told of a new epoch, and of sessions that ended with it', async () => {
    const { path, board, keeper } = await filledFolder(3);
    const file = backedUp(path);
    const prefix = newPrefix();
    await put(prefix, file);
    const node = await view(prefix);
    onTestFinished(() => node.close());
    const told: string[] = [];
    node.accounts.onRestored((id) => told.push(id));
    node.accounts.onEnded((sessions) => told.push(...sessions));
    await put(prefix, file, true);
    await expect.poll(() => told).toContain(board.boardId);
    // the two who had joined
    expect(told).toHaveLength(3);
    expect(keeper.session).not.toBe('');
    expect(await node.accounts.epochs(board.boardId)).toHaveLength(3);
  });

  it('photographs come along by way of a folder', async () => {
    const prefix = newPrefix();
    const fleet = await view(prefix);
    onTestFinished(() => fleet.close());
    const { objects } = fleet.log;
    const pictures = [1, 2, 3].map((number) =>
      Uint8Array.from({ length: 300_000 }, (_, index) => [0xff, 0xd8, 0xff][index] ?? (index * number) % 251),
    );
    const hashOf = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');
    const here = new PhotoStore(folderOfTest(), PHOTO_LIMITS);
    for (const bytes of pictures) {
      const pieces = (async function* () {
        yield bytes;
      })();
      expect(await here.put('b1', hashOf(bytes), 'image/jpeg', pieces)).toBe('stored');
    }
    expect(await photosIn(objects, here, 'b1', PHOTO_LIMITS.photoBytes)).toBe(3);
    const there = new PhotoStore(folderOfTest(), PHOTO_LIMITS);
    expect(await photosOut(objects, there, 'b1', PHOTO_LIMITS.photoBytes)).toBe(3);
    expect(await photosOut(objects, there, 'b2', PHOTO_LIMITS.photoBytes)).toBe(0);
    for (const bytes of pictures) {
      const picture = await there.get('b1', hashOf(bytes));
      expect(Buffer.compare(picture?.bytes ?? Buffer.alloc(0), bytes)).toBe(0);
    }
  });
});
