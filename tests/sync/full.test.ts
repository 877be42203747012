import { Database } from '@plumbline/base';
import { stampAt } from '@plumbline/replica';
import { expect, it, onTestFinished } from 'vitest';
import { call, createBoard, joinAs, startTestBase, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';

/** A base whose disk a test can fill up or make read-only: SQLite itself then refuses, as it does on a real one. */
async function baseOnDisk() {
  let database: Database | null = null;
  const base = await startTestBase({
    openDatabase: (path) => {
      database = new Database(path);
      return database;
    },
  });
  onTestFinished(base.stop);
  const board = await createBoard(base);
  const keeper = await joinAs(base, board, 'keeper');
  const clerk = await joinAs(base, board, 'clerk');
  if (!database) throw new Error('the base opened no database');
  const opened: Database = database;
  return { base, keeper, clerk, pragma: (text: string) => void opened.run(`PRAGMA ${text}`) };
}

it.each([
  ['full', 'max_page_count = 1', 'max_page_count = 1000000000'],
  ['read-only', 'query_only = ON', 'query_only = OFF'],
])(
  'while the disk is %s nothing is acknowledged and tablets are told; when it is not any more, all is stored once',
  async (_, on, off) => {
    const { base, keeper, clerk, pragma } = await baseOnDisk();
    const tablet = await openTablet(base, keeper, toyKind.definition, { tab: 'a' });
    const reader = await openRaw(base, clerk, 'reader');
    const raw = await openRaw(base, clerk, 'raw');
    pragma(on);
    for (let i = 1; i <= 100; i++) tablet.set('shelves', `s${i}`, 'name', `name ${i} ${'x'.repeat(20)}`);
    for (let n = 1; n <= 20 && !raw.isClosed; n++) {
      const entries = [{ table: 'shelves', record: 'mine', field: 'width', value: n, seen: 0 }];
      raw.edit({ n, stamp: stampAt(Date.now()) + n, entries });
    }
    // 1013: the base cannot store right now.
    expect(await raw.closed).toBe(1013);
    await until(() => tablet.closes.includes(1013), 'the tablet to be told');
    expect((await call(base, 'GET', '/readyz')).status).toBe(503);
    expect((await call(base, 'GET', '/healthz')).status).toBe(200);
    const waiting = tablet.replica.waiting.peek();
    expect(waiting).toBeGreaterThan(0);
    // Reading goes on, and shows what is on disk and nothing else.
    const shown = Object.keys((await viewOf(base, keeper)).shelves ?? {}).length;
    expect(shown).toBeLessThanOrEqual(101 - waiting);
    expect(reader.isClosed).toBe(false);

    pragma(off);
    await until(() => tablet.replica.waiting.peek() === 0, 'everything to be stored', 60_000);
    expect(tablet.replica.tray.peek()).toEqual([]);
    const { body } = await call(
      base,
      'GET',
      `/api/boards/${keeper.boardId}/history?table=shelves&limit=500`,
      {
        token: keeper.session,
      },
    );
    const records = (body as { entries: { record: string }[] }).entries.map(({ record }) => record);
    for (let i = 1; i <= 100; i++) expect(records.filter((record) => record === `s${i}`)).toHaveLength(1);
    await until(async () => (await call(base, 'GET', '/readyz')).status === 200, 'readiness');
    tablet.close();
  },
);
