import 'fake-indexeddb/auto';
import {
  CLOSE,
  type Hello,
  type LinkPorts,
  messageFrame,
  readFrame,
  type SocketEvents,
  syncFrame,
  WIRE_VERSION,
  writeCells,
} from '@plumbline/replica';
import { boardDefinition, type ShootTables } from '@plumbline/shared';
import { IDBFactory } from 'fake-indexeddb';
import { beforeEach, describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { z } from 'zod';
import { Connection } from '../../apps/tablet/src/board/connection.ts';
import { loadCopy, openKept, readTab, tabsOf } from '../../apps/tablet/src/board/copy.ts';
import { browserPorts, Keeper } from '../../apps/tablet/src/board/keeper.ts';
import { chooseTab, type TabStart, withGiven } from '../../apps/tablet/src/board/tab.ts';

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

/** A base of a few lines: greets, and hands out its document. */
class Base {
  epoch = 'e1';
  readonly tabs: (string | null)[] = [];
  readonly edits: number[] = [];
  readonly doc = new Y.Doc();
  answers = true;
  #events: SocketEvents | null = null;
  readonly #writers = new Map<string, string>();

  constructor() {
    this.doc.clientID = 1;
    writeCells(this.doc, [
      { table: 'setups', record: '1A', field: 'label', cell: ['1A', 1024, 'base'] },
      { table: 'cameras', record: 'A', field: 'name', cell: ['Camera A', 1024, 'base'] },
    ]);
  }

  ports = (tab: () => string | null): LinkPorts => ({
    open: (events) => {
      this.#events = events;
      const name = tab();
      this.tabs.push(name);
      if (this.answers) queueMicrotask(() => this.greet(events, name));
      return { send: (bytes) => this.#hear(bytes), close: () => {} };
    },
    after: () => () => {},
    now: () => 1_000_000,
    random: () => 0,
  });

  greet(events: SocketEvents, tab: string | null): void {
    const known = tab === null ? null : (this.#writers.get(tab) ?? `p1-${this.#writers.size + 1}`);
    if (tab !== null && known !== null) this.#writers.set(tab, known);
    const hello: Hello = {
      wire: WIRE_VERSION,
      schema: '',
      epoch: this.epoch,
      writer: known,
      last: 0,
      time: 1_000_000,
    };
    events.received(messageFrame('hello', hello));
  }

  close(code: number): void {
    this.#events?.closed(code);
  }

  #hear(bytes: Uint8Array): void {
    const frame = readFrame(bytes);
    if (frame?.type === 'edit') this.edits.push(z.object({ n: z.number() }).parse(JSON.parse(frame.text)).n);
    if (frame?.type === 'sync' && frame.step === 'stateVector') {
      this.#events?.received(syncFrame('difference', Y.encodeStateAsUpdate(this.doc, frame.bytes)));
    }
  }
}

function connect(
  base: Base,
  start: TabStart | null = FRESH,
): { connection: Connection<ShootTables>; replaced: () => number } {
  let replaced = 0;
  const connection = new Connection<ShootTables>({
    definition: boardDefinition,
    membership: { boardId: 'b', personId: 'p1', role: 'camera', name: 'Kaya' },
    keeper: (ports) =>
      new Keeper({
        ports: browserPorts,
        board: 'b',
        epoch: null,
        rows: 0,
        resting: start === null,
        ...ports,
      }),
    updates: [],
    start,
    ports: base.ports,
    onReplaced: () => replaced++,
  });
  connection.reconnect();
  return { connection, replaced: () => replaced };
}

const FRESH = chooseTab('p1', [], 't1');

const aperture = { table: 'picture', record: '1A.A', field: 'aperture' } as const;

function contentsOf(copy: Awaited<ReturnType<typeof loadCopy>>): Record<string, unknown> {
  const doc = new Y.Doc();
  for (const update of copy?.updates ?? []) Y.applyUpdate(doc, update);
  doc.getMap('setups');
  return doc.toJSON();
}

async function settled(): Promise<void> {
  for (let i = 0; i < 50; i++) await new Promise((resolve) => setImmediate(resolve));
}

describe('the connection', () => {
  it('keeps the board and the unanswered edits on the device', async () => {
    const base = new Base();
    const { connection } = connect(base);
    await settled();
    connection.live.value.replica.set([{ ...aperture, value: 4 }]);
    await settled();
    const db = await openKept(() => {});
    const copy = await loadCopy(db, 'b');
    expect(copy?.epoch).toBe('e1');
    const doc = new Y.Doc();
    for (const update of copy?.updates ?? []) Y.applyUpdate(doc, update);
    expect(doc.getMap('setups').get('1A/label')).toEqual(['1A', 1024, 'base']);
    const [row] = await tabsOf(db, 'b');
    expect(row && readTab(row).outbox?.pending[0]?.entries[0]?.value).toBe(4);
    connection.close();
  });

  it('starts afresh where the board was restored, and offers what was never stored', async () => {
    const base = new Base();
    const { connection } = connect(base);
    await settled();
    connection.live.value.replica.set([{ ...aperture, value: 5.6 }]);
    base.epoch = 'e2';
    base.doc.getMap('setups').clear();
    writeCells(base.doc, [{ table: 'setups', record: '9Z', field: 'label', cell: ['9Z', 2048, 'base'] }]);
    connection.reconnect();
    await settled();
    const { replica, link } = connection.live.value;
    expect(link.status.value.kind).toBe('live');
    expect(replica.board.records('setups')).toEqual(['9Z']);
    expect(replica.tray.value.map((item) => [item.code, item.edit.entries[0]?.value])).toEqual([
      ['unsent', 5.6],
    ]);
    expect(connection.keeper.epoch).toBe('e2');
    await settled();
    const db = await openKept(() => {});
    expect((await loadCopy(db, 'b'))?.epoch).toBe('e2');
    connection.close();
  });

  it('says so where the base let another page in under its name', async () => {
    const base = new Base();
    const { connection, replaced } = connect(base);
    await settled();
    base.close(CLOSE.replaced);
    await settled();
    expect(replaced()).toBe(1);
    connection.wake(true);
    expect(base.tabs).toEqual(['t1']);
    connection.close();
  });

  it('that stops writing gives what is unanswered to the next page, which sends it under the same numbers', async () => {
    const base = new Base();
    const first = connect(base).connection;
    await settled();
    first.live.value.replica.set([{ ...aperture, value: 8 }]);
    const row = await first.stopWriting();
    expect(first.live.value.replica.outbox.value).toBeNull();
    await settled();
    expect(first.live.value.link.status.value.kind).toBe('live');
    expect(() => first.live.value.replica.set([{ ...aperture, value: 11 }])).toThrow();

    const second = connect(base, null).connection;
    await settled();
    expect(second.live.value.replica.outbox.value).toBeNull();
    expect(base.edits).toEqual([]);
    const db = await openKept(() => {});
    const start = chooseTab('p1', withGiven(await tabsOf(db, 'b'), row), 't9');
    second.write(start, 'e1', []);
    await settled();
    expect(base.tabs).toEqual(['t1', null, null, 't1']);
    expect(base.edits).toEqual([1]);
    expect(second.live.value.replica.board.cell('picture', '1A.A', 'aperture').value?.[0]).toBe(8);
    await settled();
    const [kept] = await tabsOf(db, 'b');
    expect(kept?.fence).toBe(2);
    expect(contentsOf(await loadCopy(db, 'b'))).toMatchObject({
      setups: { '1A/label': ['1A', 1024, 'base'] },
    });
    first.close();
    second.close();
  });

  it('that lost the pen while frozen finds what was never written down, and the next page offers it once', async () => {
    const base = new Base();
    const first = connect(base).connection;
    await settled();
    first.live.value.replica.set([{ ...aperture, value: 8 }]);
    await settled();
    // no turn of the event loop between this edit and the loss: it is nowhere but here
    first.live.value.replica.set([{ ...aperture, value: 11 }]);
    const left = first.loseWriting();
    expect(left.map(({ edit }) => edit.entries[0]?.value)).toEqual([11]);
    const second = connect(base, FRESH).connection;
    await settled();
    second.offer(left);
    second.offer(left);
    expect(second.live.value.replica.tray.value.map((item) => item.edit.entries[0]?.value)).toEqual([11]);
    first.close();
    second.close();
  });

  it('tries at once when woken, unless the session has ended', async () => {
    const base = new Base();
    base.answers = false;
    const { connection } = connect(base);
    connection.wake(false);
    expect(base.tabs).toHaveLength(2);
    base.close(CLOSE.noSession);
    connection.wake(true);
    expect(base.tabs).toHaveLength(2);
    connection.close();
  });
});
