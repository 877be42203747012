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
import { Connection } from '../../apps/tablet/src/board/connection.ts';
import { loadCopy, openKept, readTab, tabsOf } from '../../apps/tablet/src/board/copy.ts';
import { browserPorts, Keeper } from '../../apps/tablet/src/board/keeper.ts';

beforeEach(() => {
  globalThis.indexedDB = new IDBFactory();
});

/** A base of a few lines: greets, and hands out its document. */
class Base {
  epoch = 'e1';
  readonly tabs: string[] = [];
  readonly doc = new Y.Doc();
  answers = true;
  #events: SocketEvents | null = null;
  #writers = 0;

  constructor() {
    this.doc.clientID = 1;
    writeCells(this.doc, [
      { table: 'setups', record: '1A', field: 'label', cell: ['1A', 1024, 'base'] },
      { table: 'cameras', record: 'A', field: 'name', cell: ['Camera A', 1024, 'base'] },
    ]);
  }

  ports = (tab: () => string): LinkPorts => ({
    open: (events) => {
      this.#events = events;
      this.tabs.push(tab());
      if (this.answers) queueMicrotask(() => this.greet(events));
      return { send: (bytes) => this.#hear(bytes), close: () => {} };
    },
    after: () => () => {},
    now: () => 1_000_000,
    random: () => 0,
  });

  greet(events: SocketEvents): void {
    const writer = `p1-${++this.#writers}`;
    const hello: Hello = {
      wire: WIRE_VERSION,
      schema: '',
      epoch: this.epoch,
      writer,
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
    if (frame?.type === 'sync' && frame.step === 'stateVector') {
      this.#events?.received(syncFrame('difference', Y.encodeStateAsUpdate(this.doc, frame.bytes)));
    }
  }
}

function connect(base: Base): { connection: Connection<ShootTables>; tabs: string[] } {
  const tabs: string[] = [];
  const connection = new Connection<ShootTables>({
    definition: boardDefinition,
    membership: { boardId: 'b', personId: 'p1', role: 'camera', name: 'Kaya' },
    keeper: (wholeDocument) =>
      new Keeper({ ports: browserPorts, board: 'b', epoch: null, rows: 0, wholeDocument }),
    tab: 't1',
    kept: { updates: [], outbox: null, tray: [] },
    ports: base.ports,
    freshTab: () => 't2',
    onTab: (tab) => tabs.push(tab),
  });
  connection.reconnect();
  return { connection, tabs };
}

const aperture = { table: 'picture', record: '1A.A', field: 'aperture' } as const;

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

  it('goes on under a new name where another page took the tab’s place, the unanswered edits in the tray', async () => {
    const base = new Base();
    const { connection, tabs } = connect(base);
    await settled();
    connection.live.value.replica.set([{ ...aperture, value: 8 }]);
    base.close(CLOSE.replaced);
    expect(connection.live.value.link.status.value).toEqual({ kind: 'ended', code: CLOSE.replaced });
    connection.wake(true);
    expect(base.tabs).toEqual(['t1']);
    connection.continueHere();
    await settled();
    expect(tabs).toEqual(['t2']);
    expect(base.tabs).toEqual(['t1', 't2']);
    const { replica } = connection.live.value;
    expect(replica.board.records('setups')).toEqual(['1A']);
    expect(replica.tray.value.map((item) => item.edit.entries[0]?.value)).toEqual([8]);
    connection.close();
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
