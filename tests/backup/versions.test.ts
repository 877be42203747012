import { createHash } from 'node:crypto';
import { copyFileSync, existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type BoardKind, Database, MIGRATIONS, verifyDatabase } from '@plumbline/base';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import * as mini from 'zod/mini';
import { shootKind } from '../../apps/base/src/shoot.ts';
import { call, createBoard, joinAs, joinWith, startTestBase, viewOf } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { toyTables } from '../support/toy.ts';
import { toyKind } from '../support/toyKind.ts';
import { backedUp, folderOfTest, restored } from './filled.ts';

const fixture = (version: number, name: string): string =>
  fileURLToPath(new URL(`../fixtures/data-v${version}/${name}`, import.meta.url));

const toldSchema = z.object({
  boardId: z.string(),
  session: z.string(),
  ended: z.string(),
  camera: z.string(),
  tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), z.unknown()))),
  entries: z.array(z.looseObject({ at: z.number() })),
});

/** What each released version of the data file was made of: a migration that is out there is never changed. */
const RELEASED = ['69263f98f9e92e8f', '57a3843b349985a3'];

describe.each(MIGRATIONS.map((_, index) => index + 1))('a data folder of version %i', (version) => {
  it('is kept as a fixture, and its migration is the one that was released', () => {
    expect(existsSync(fixture(version, 'plumbline.db')), 'node tests/fixtures/make.js makes it').toBe(true);
    const sum = createHash('sha256')
      .update(MIGRATIONS[version - 1] ?? '')
      .digest('hex')
      .slice(0, 16);
    expect(sum).toBe(RELEASED[version - 1]);
  });

  it.each(['as it lies there', 'from its backup'])(
    'opens %s, with its board, history, people and sessions',
    async (way) => {
      const told = toldSchema.parse(JSON.parse(readFileSync(fixture(version, 'told.json'), 'utf8')));
      const path = folderOfTest();
      if (way === 'from its backup') restored(fixture(version, 'board.backup'), path);
      else {
        copyFileSync(fixture(version, 'plumbline.db'), join(path, 'plumbline.db'));
        const before = new Database(join(path, 'plumbline.db'), null);
        expect(before.version).toBe(version);
        before.close();
      }
      // Sessions and invites are good for a while only: it is the day on which the fixture was made.
      const wall = (): number => told.entries[0]?.at ?? 0;
      const base = await startTestBase({
        dataFolder: path,
        kind: shootKind(),
        machine: { wall, monotonic: () => performance.now() },
      });
      onTestFinished(base.stop);
      const member = {
        boardId: told.boardId,
        personId: 'p1',
        role: 'director',
        session: told.session,
        expiresAt: 0,
      };
      expect(await viewOf(base, member)).toMatchObject(told.tables);
      const { body } = await call(base, 'GET', `/api/boards/${told.boardId}/history?limit=500`, {
        token: told.session,
      });
      expect(body).toEqual({ entries: told.entries });
      expect((await call(base, 'GET', '/api/session', { token: told.ended })).status).toBe(401);
      const camera = await joinWith(base, told.camera, 'Eve');
      const tablet = await openTablet(base, camera, shootKind().definition, { now: wall });
      tablet.set('batteries', 'b2', 'name', 'Battery 2');
      await tablet.settled();
      expect(tablet.replica.tray.peek()).toEqual([]);
      expect((await viewOf(base, member)).batteries?.b2).toEqual({ name: 'Battery 2' });
      tablet.close();
      await base.stop();
      const database = new Database(join(path, 'plumbline.db'), null);
      expect(database.version).toBe(MIGRATIONS.length);
      expect(verifyDatabase(database).flaws).toEqual([]);
      database.close();
    },
  );
});

/** A later version of the toy board: a field and a table more. */
const laterKind: BoardKind = {
  ...toyKind,
  definition: {
    ...toyKind.definition,
    tables: {
      ...toyKind.definition.tables,
      shelves: {
        ...toyTables.shelves,
        fields: {
          ...toyTables.shelves.fields,
          depth: { schema: mini.number(), writers: ['keeper'], nullable: true },
        },
      },
      labels: {
        id: toyTables.shelves.id,
        appendOnly: false,
        fields: { text: { schema: mini.string(), writers: ['keeper'], nullable: true } },
      },
    },
  },
};

it('what an older program does not know is kept: through its writing, snapshots, a backup and a restore', async () => {
  const path = folderOfTest();
  const later = await startTestBase({ dataFolder: path, kind: laterKind });
  const board = await createBoard(later);
  const keeper = await joinAs(later, board, 'keeper');
  const tablet = await openTablet(later, keeper, laterKind.definition, { tab: 'a' });
  tablet.set('shelves', 's1', 'depth', 40);
  tablet.set('labels', 'l1', 'text', 'a label');
  await tablet.settled();
  tablet.close();
  await later.stop();

  const older = await startTestBase({ dataFolder: path });
  const old = await openTablet(older, keeper, toyKind.definition, { tab: 'a' });
  old.set('shelves', 's1', 'width', 3);
  await old.settled();
  expect(old.replica.doc.getMap('shelves').get('s1/depth')).toMatchObject({ 0: 40 });
  expect((await viewOf(older, keeper)).shelves?.s1).toEqual({ width: 3, depth: 40 });
  old.close();
  await older.stop();

  const elsewhere = folderOfTest();
  restored(backedUp(path), elsewhere);
  const again = await startTestBase({ dataFolder: elsewhere, kind: laterKind });
  onTestFinished(again.stop);
  const view = await viewOf(again, keeper);
  expect(view.shelves?.s1).toEqual({ width: 3, depth: 40 });
  expect(view.labels).toEqual({ l1: { text: 'a label' } });
});
