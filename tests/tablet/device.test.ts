import 'fake-indexeddb/auto';
import type { Edit } from '@plumbline/replica';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import {
  appendUpdates,
  beginCopy,
  type KeptDatabase,
  loadCopy,
  openKept,
  readTab,
  saveTab,
  type TabRow,
  tabsOf,
} from '../../apps/tablet/src/board/copy.ts';
import { foldCopy } from '../../apps/tablet/src/board/foldCopy.ts';
import { Keeper, type KeeperPorts } from '../../apps/tablet/src/board/keeper.ts';
import { chooseTab, leftOver, withGiven } from '../../apps/tablet/src/board/tab.ts';

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

function edit(n: number): Edit {
  return {
    n,
    stamp: n * 1024,
    entries: [{ table: 'picture', record: '1.A', field: 'aperture', value: 4, seen: 0 }],
  };
}

function row(tab: string, at: number, pending: Edit[] = []): TabRow {
  return {
    board: 'b',
    tab,
    person: 'p1',
    epoch: 'e1',
    outbox: { writer: `w-${tab}`, next: 9, pending },
    tray: [],
    late: [],
    at,
  };
}

/** A document with some values, and the updates that made it. */
function written(values: number): { doc: Y.Doc; updates: Uint8Array[] } {
  const doc = new Y.Doc();
  const updates: Uint8Array[] = [];
  doc.on('update', (update: Uint8Array) => updates.push(update));
  for (let i = 0; i < values; i++) doc.getMap('picture').set(`1.A/f${i % 7}`, [i, i, 'w']);
  return { doc, updates };
}

function contents(updates: readonly Uint8Array[]): unknown {
  const doc = new Y.Doc();
  for (const update of updates) Y.applyUpdate(doc, update);
  return doc.getMap('picture').toJSON();
}

function contentsAre(updates: readonly Uint8Array[], doc: Y.Doc): boolean {
  return JSON.stringify(contents(updates)) === JSON.stringify(doc.getMap('picture').toJSON());
}

describe('the copy on this device', () => {
  it('comes back as it was written, before and after it is folded', async () => {
    const { doc, updates } = written(40);
    const db = await openKept(() => {});
    await beginCopy(db, 'b', 'e1', 1);
    await appendUpdates(db, 'b', 'e1', updates);
    const before = await loadCopy(db, 'b');
    expect(before?.rows).toBe(40);
    expect(contents(before?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
    const last = Math.max(...(await db.getAllKeys('updates')));
    await appendUpdates(db, 'b', 'e1', [new Uint8Array([0, 0])]);
    await foldCopy(db, 'b', 'e1', [Y.encodeStateAsUpdate(doc)], (key) => key <= last);
    const after = await loadCopy(db, 'b');
    // the one that is not in the pieces, and came after
    expect(after?.rows).toBe(1);
    expect(after?.updates).toHaveLength(2);
    expect(contents(after?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
  });

  it('that an earlier version folded comes back, and is folded anew', async () => {
    const { doc, updates } = written(40);
    const db = await openKept(() => {});
    const snapshot = Y.mergeUpdates(updates.slice(0, 30));
    await db.put('copies', { board: 'b', epoch: 'e1', snapshot, aside: false, at: 1 });
    await appendUpdates(db, 'b', 'e1', updates.slice(30));
    const before = await loadCopy(db, 'b');
    expect(contents(before?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
    await foldCopy(db, 'b', 'e1', [Y.encodeStateAsUpdate(doc)], () => true);
    const after = await loadCopy(db, 'b');
    expect(after?.updates).toHaveLength(1);
    expect(contents(after?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
  });

  it('of another epoch is set aside and not shown', async () => {
    const db = await openKept(() => {});
    await beginCopy(db, 'b', 'e1', 1);
    await appendUpdates(db, 'b', 'e1', written(3).updates);
    await beginCopy(db, 'b', 'e2', 2);
    expect(await loadCopy(db, 'b')).toEqual({ epoch: 'e2', updates: [], rows: 0 });
    expect(await db.get('copies', ['b', 'e1'])).toMatchObject({ aside: true });
  });

  it('of one board says nothing of another', async () => {
    const db = await openKept(() => {});
    await beginCopy(db, 'b', 'e1', 1);
    expect(await loadCopy(db, 'bb')).toBeNull();
  });
});

/** Ports with a database that fails when told to, and timers run by hand. */
interface World extends KeeperPorts {
  fail: boolean;
  opened: number;
  due: (() => void)[];
  last: Promise<KeptDatabase> | null;
}

function ports(): World {
  const made: World = {
    fail: false,
    opened: 0,
    due: [],
    last: null,
    now: () => 5,
    after: (_: number, act: () => void) => {
      made.due.push(act);
    },
    open: (onLost: () => void) => {
      made.opened++;
      made.last = made.fail
        ? Promise.reject(new Error('the connection to the database was lost'))
        : openKept(onLost);
      return made.last;
    },
  };
  return made;
}

describe('the keeper', () => {
  it('says when this device keeps nothing, and writes the whole document once it can again', async () => {
    const world = ports();
    const { doc, updates } = written(5);
    const keeper = new Keeper({
      ports: world,
      board: 'b',
      epoch: null,
      rows: 0,
      document: () => doc,
      updates: () => [Y.encodeStateAsUpdate(doc)],
    });
    world.fail = true;
    keeper.begin('e1');
    for (const update of updates) keeper.append(update);
    keeper.saveTab(row('t1', 3, [edit(1)]));
    await until(() => world.due.length === 1);
    expect(keeper.keeping.value).toEqual({
      kind: 'failing',
      reason: 'the connection to the database was lost',
    });

    world.fail = false;
    world.due.shift()?.();
    await until(() => keeper.keeping.value.kind === 'kept');
    const db = await openKept(() => {});
    expect(contents((await loadCopy(db, 'b'))?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
    expect((await tabsOf(db, 'b')).map((kept) => kept.tab)).toEqual(['t1']);
  });

  it('loses nothing when the database is cut off between two updates', async () => {
    const world = ports();
    const { doc, updates } = written(6);
    const keeper = new Keeper({
      ports: world,
      board: 'b',
      epoch: null,
      rows: 0,
      document: () => doc,
      updates: () => [Y.encodeStateAsUpdate(doc)],
    });
    keeper.begin('e1');
    for (const update of updates.slice(0, 3)) keeper.append(update);
    const db = await openKept(() => {});
    await until(async () => (await loadCopy(db, 'b'))?.rows === 1);
    // closed under the keeper, as a browser does to a page in the background
    (await world.last)?.close();
    for (const update of updates.slice(3)) keeper.append(update);
    // what others write is gathered first; then it fails, and is tried again
    for (const _ of ['gathered', 'again']) {
      await until(() => world.due.length === 1);
      world.due.shift()?.();
    }
    await until(() => world.opened === 2);
    await until(() => keeper.keeping.value.kind === 'kept');
    expect(world.opened).toBe(2);
    expect(contents((await loadCopy(db, 'b'))?.updates ?? [])).toEqual(doc.getMap('picture').toJSON());
  });

  it('keeps the last of what a tab said at once, and what others write a moment later in one row', async () => {
    const world = ports();
    const { doc, updates } = written(40);
    const keeper = new Keeper({
      ports: world,
      board: 'b',
      epoch: 'e1',
      rows: 0,
      document: () => doc,
      updates: () => [Y.encodeStateAsUpdate(doc)],
    });
    const db = await openKept(() => {});
    await beginCopy(db, 'b', 'e1', 1);
    for (const update of updates.slice(0, 20)) keeper.append(update);
    for (let n = 1; n <= 20; n++) keeper.saveTab(row('t1', n, [edit(n)]));
    await until(async () => readTab((await tabsOf(db, 'b'))[0] ?? row('', 0)).outbox?.pending[0]?.n === 20);
    for (const update of updates.slice(20)) keeper.append(update);
    await until(async () => {
      world.due.shift()?.();
      return contentsAre((await loadCopy(db, 'b'))?.updates ?? [], doc);
    });
    expect((await loadCopy(db, 'b'))?.rows).toBe(2);
    for (const update of written(1).updates) keeper.append(update);
    await keeper.stop();
    expect((await loadCopy(db, 'b'))?.rows).toBe(3);
  });

  it('folds a long row of updates bit by bit, and loses nothing that comes meanwhile or that another page has written', async () => {
    const world = ports();
    const { doc, updates } = written(1500);
    const keeper = new Keeper({
      ports: world,
      board: 'b',
      epoch: 'e1',
      rows: 0,
      document: () => doc,
      updates: () => [Y.encodeStateAsUpdate(doc)],
    });
    const db = await openKept(() => {});
    await beginCopy(db, 'b', 'e1', 1);
    const append = async (some: readonly Uint8Array[]): Promise<void> => {
      const before = (await db.getAllKeys('updates')).length;
      for (const update of some) keeper.append(update);
      world.due.pop()?.();
      await until(async () => (await db.getAllKeys('updates')).length > before);
    };
    for (let at = 0; at < 201; at++) await append(updates.slice(at * 7, at * 7 + 7));
    const others = written(1);
    await appendUpdates(db, 'b', 'e1', others.updates);
    // 1500 values are several pieces: somebody writes between two of them
    await until(() => world.due.length === 1);
    world.due.shift()?.();
    await until(() => world.due.length === 1);
    doc.on('update', (update: Uint8Array) => keeper.append(update));
    doc.getMap('picture').set('2.B/late', [1, 1, 'w']);
    await until(async () => {
      world.due.shift()?.();
      return (await loadCopy(db, 'b'))?.rows === 1;
    });
    const copy = await loadCopy(db, 'b');
    expect(copy?.updates.length).toBeGreaterThan(3);
    expect(copy?.updates).toContainEqual(others.updates[0]);
    const own = copy?.updates.filter((update) => String(update) !== String(others.updates[0])) ?? [];
    expect(contents(own)).toEqual(doc.getMap('picture').toJSON());
  });
});

describe('as which tab a page goes on', () => {
  it('is the newest of its person, so that its unsent edits are still its own, and offers what others left', () => {
    const start = chooseTab('p1', [row('t3', 3, [edit(1)]), row('t1', 1, [edit(4), edit(5)])], 'new');
    expect(start.tab).toBe('t3');
    expect(start.kept.outbox?.writer).toBe('w-t3');
    expect(start.kept.tray.map((item) => [item.code, item.edit.n])).toEqual([
      ['unsent', 4],
      ['unsent', 5],
    ]);
    expect(start.taken).toEqual(['t1']);
  });

  it('is a fresh one where nobody has written here', () => {
    expect(chooseTab('p1', [], 'new')).toMatchObject({ tab: 'new', fence: 1, taken: [] });
  });

  it('does not go on in the name of another session’s tab, but offers what was left there', () => {
    const start = chooseTab('p2', [row('t1', 1, [edit(4)])], 'new');
    expect(start.tab).toBe('new');
    expect(start.kept.outbox).toBeNull();
    expect(start.kept.tray.map((item) => item.code)).toEqual(['unsent']);
  });

  it('passes over what it cannot read and keeps the rest', () => {
    const odd = {
      ...row('t1', 1),
      outbox: { writer: 7 },
      tray: [{ edit: edit(2), code: 'value', reasons: [] }, 'x'],
    };
    const start = chooseTab('p1', [odd], 'new');
    expect(start.kept.outbox).toBeNull();
    expect(start.kept.tray).toHaveLength(1);
  });

  it('takes what the page before it gave for what that page had written down', () => {
    const given = { ...row('t1', 5, [edit(1), edit(2)]), fence: 3 };
    const start = chooseTab('p1', withGiven([row('t1', 4, [edit(1)]), row('t0', 1)], given), 'new');
    expect(start.kept.outbox?.pending.map(({ n }) => n)).toEqual([1, 2]);
    expect(start.fence).toBe(4);
    expect(start.taken).toEqual(['t0']);
  });

  it('finds of a page that woke only what is nowhere else', () => {
    const now = { outbox: { writer: 'w', next: 4, pending: [edit(2), edit(3)] }, tray: [], late: [] };
    expect(leftOver(now, row('t1', 1, [edit(1), edit(2)])).map((item) => item.edit.n)).toEqual([3]);
    expect(leftOver(now, null).map((item) => item.edit.n)).toEqual([2, 3]);
  });
});

describe('a page that was frozen while another went on in its place', () => {
  it('writes nothing over what the other has written, and is told', async () => {
    const db = await openKept(() => {});
    let told = 0;
    const keeper = new Keeper({
      ports: ports(),
      board: 'b',
      epoch: null,
      rows: 0,
      document: () => new Y.Doc(),
      updates: () => [],
      onFenced: () => told++,
    });
    keeper.saveTab({ ...row('t1', 1, [edit(1)]), fence: 1 });
    await until(() => keeper.saved !== null);
    await saveTab(db, { ...row('t1', 2, [edit(1), edit(2)]), fence: 2 });
    keeper.saveTab({ ...row('t1', 3, [edit(9)]), fence: 1 });
    await until(() => told === 1);
    const [kept] = await tabsOf(db, 'b');
    expect(kept && readTab(kept).outbox?.pending.map(({ n }) => n)).toEqual([1, 2]);
    expect(keeper.keeping.value.kind).toBe('kept');
  });
});

/** Lets queued work go on until something holds. */
async function until(holds: () => boolean | Promise<boolean>): Promise<void> {
  for (let turns = 0; !(await holds()); turns++) {
    if (turns > 5000) throw new Error('it never came to hold');
    await new Promise((resolve) => setImmediate(resolve));
  }
}
