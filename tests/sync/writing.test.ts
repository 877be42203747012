import { awarenessFrame, readFrame, syncFrame } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { WebsocketProvider } from 'y-websocket';
import * as Y from 'yjs';
import { type Member, type Reachable, viewOf } from '../support/base.ts';
import { openRaw, openTablet, type RawSocket, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit, type Unit } from '../support/unit.ts';

const QUESTION = syncFrame('stateVector', new Uint8Array([0]));

/** Everything the base sends to somebody who asks with nothing, as a document. */
async function readDocument(socket: RawSocket): Promise<Y.Doc> {
  socket.send(QUESTION);
  const doc = new Y.Doc();
  await until(() => socket.frames.some((bytes) => bytes[0] === 0 && bytes[1] === 1), 'the difference');
  for (const bytes of socket.frames) {
    const frame = readFrame(bytes);
    if (frame?.type === 'sync' && frame.step !== 'stateVector') Y.applyUpdate(doc, frame.bytes);
  }
  return doc;
}

/** An update made by `change` on a copy of the board. */
async function forged(base: Reachable, member: Member, change: (doc: Y.Doc) => void): Promise<Uint8Array> {
  const reader = await openRaw(base, member);
  const doc = await readDocument(reader);
  reader.close();
  const updates: Uint8Array[] = [];
  doc.on('update', (update: Uint8Array) => updates.push(update));
  change(doc);
  return Y.mergeUpdates(updates);
}

/** Nobody else noticed: the board is as it was, and others still write and read. */
async function expectOthersGoOn({ base, keeper, clerk }: Unit, before: unknown): Promise<void> {
  expect(await viewOf(base, clerk)).toEqual(before);
  const writer = await openTablet(base, keeper, toyKind.definition);
  const reader = await openTablet(base, clerk, toyKind.definition);
  const value = `after ${Math.random()}`;
  writer.set('shelves', 'after', 'name', value);
  await writer.settled();
  await until(() => reader.value('shelves', 'after', 'name') === value, 'the other tablet');
  writer.close();
  reader.close();
}

async function unitWithShelf(): Promise<Unit & { before: unknown }> {
  const unit = await startUnit();
  const writer = await openTablet(unit.base, unit.keeper, toyKind.definition);
  writer.set('shelves', 's1', 'name', 'north');
  writer.set('shelves', 's1', 'name', 'south');
  await writer.settled();
  writer.close();
  return { ...unit, before: await viewOf(unit.base, unit.clerk) };
}

describe('a raw Yjs update is no way to write', () => {
  const forgeries: [string, (doc: Y.Doc) => void][] = [
    ['a value set', (doc) => void doc.getMap('shelves').set('s1/name', ['mine', 9e15, 'p1-1'])],
    ['a key taken away', (doc) => doc.getMap('shelves').delete('s1/name')],
    ['a root of its own', (doc) => void doc.getText('note').insert(0, 'hello')],
    ['something nested', (doc) => void doc.getMap('shelves').set('x', new Y.Map([['y', 1]]))],
    ['a document within', (doc) => void doc.getMap('shelves').set('x', new Y.Doc())],
    ['a list', (doc) => doc.getArray('shelves').insert(0, [1])],
  ];
  it.each(forgeries)('%s closes 4409, whoever sends it, and everybody else goes on', async (_, change) => {
    const unit = await unitWithShelf();
    const update = await forged(unit.base, unit.keeper, change);
    for (const [member, step] of [
      [unit.keeper, 'update'],
      [unit.guest, 'update'],
      [unit.guest, 'difference'],
    ] as const) {
      const socket = await openRaw(unit.base, member, 'forger');
      socket.send(syncFrame(step, update));
      expect(await socket.closed).toBe(4409);
    }
    await expectOthersGoOn(unit, unit.before);
  });

  it('under the base’s own client number it is no better', async () => {
    const unit = await unitWithShelf();
    const reader = await openRaw(unit.base, unit.guest);
    const doc = await readDocument(reader);
    const [client] = [...Y.decodeStateVector(Y.encodeStateVector(doc)).keys()];
    doc.clientID = client ?? 0;
    const updates: Uint8Array[] = [];
    doc.on('update', (update: Uint8Array) => updates.push(update));
    doc.getMap('shelves').set('s1/name', ['mine', 9e15, 'p1-1']);
    reader.send(syncFrame('update', Y.mergeUpdates(updates)));
    expect(await reader.closed).toBe(4409);
    await expectOthersGoOn(unit, unit.before);
  });

  it('what the base has already is no news: a whole copy sent back changes nothing and closes nothing', async () => {
    const unit = await unitWithShelf();
    const socket = await openRaw(unit.base, unit.guest);
    const doc = await readDocument(socket);
    socket.send(syncFrame('difference', Y.encodeStateAsUpdate(doc)));
    socket.send(syncFrame('update', Y.encodeStateAsUpdate(doc)));
    socket.send(syncFrame('update', new Uint8Array([0, 0])));
    socket.send(QUESTION);
    await until(() => socket.frames.filter((bytes) => bytes[0] === 0 && bytes[1] === 1).length === 2);
    expect(socket.isClosed).toBe(false);
    await expectOthersGoOn(unit, unit.before);
  });

  it.each([
    ['nothing', new Uint8Array([])],
    ['a client without structs', new Uint8Array([1])],
    ['counts beyond the end', new Uint8Array([255, 255, 255, 255, 15, 1, 1, 1])],
    ['noise', new Uint8Array([3, 1, 4, 1, 5, 9, 2, 6, 5, 3, 5, 8, 9, 7, 9])],
  ])('%s where an update should be closes 4400', async (_, bytes) => {
    const unit = await unitWithShelf();
    const socket = await openRaw(unit.base, unit.guest, 'a');
    socket.send(syncFrame('update', bytes));
    expect(await socket.closed).toBe(4400);
    await expectOthersGoOn(unit, unit.before);
  });
});

describe('a stock y-websocket client', () => {
  const connect = (base: Reachable, member: Member, doc: Y.Doc): WebsocketProvider => {
    const headers = { authorization: `Bearer ${member.session}` };
    class Socket extends WebSocket {
      constructor(url: string) {
        super(url, { headers });
      }
    }
    return new WebsocketProvider(`${base.url.replace(/^http/, 'ws')}/sync`, member.boardId, doc, {
      WebSocketPolyfill: Socket as unknown as typeof globalThis.WebSocket,
      disableBc: true,
    });
  };
  const cellOf = (doc: Y.Doc, key: string): unknown =>
    (doc.getMap('shelves').get(key) as unknown[] | undefined)?.[0];

  it('connects unchanged, has everything when it says it is in step, and follows', async () => {
    const unit = await unitWithShelf();
    const doc = new Y.Doc();
    const provider = connect(unit.base, unit.guest, doc);
    await until(() => provider.synced, 'the provider');
    expect(cellOf(doc, 's1/name')).toBe('south');
    const writer = await openTablet(unit.base, unit.keeper, toyKind.definition);
    writer.set('shelves', 's1', 'name', 'west');
    await until(() => cellOf(doc, 's1/name') === 'west', 'the update');
    provider.disconnect();
    writer.set('shelves', 's1', 'name', 'east');
    await writer.settled();
    provider.connect();
    await until(() => cellOf(doc, 's1/name') === 'east', 'the difference');
    provider.destroy();
    writer.close();
  });

  it('that writes is closed with 4409 and changes nothing', async () => {
    const unit = await unitWithShelf();
    const doc = new Y.Doc();
    const provider = connect(unit.base, unit.guest, doc);
    await until(() => provider.synced, 'the provider');
    const closed = new Promise<number>((resolve) =>
      provider.on('connection-close', (event: { code?: number } | null) => resolve(event?.code ?? 0)),
    );
    doc.getMap('shelves').set('s1/name', ['mine', 9e15, 'p1-1']);
    expect(await closed).toBe(4409);
    provider.destroy();
    await expectOthersGoOn(unit, unit.before);
  });
});

it('presence frames of a stock client are understood', async () => {
  const unit = await unitWithShelf();
  const socket = await openRaw(unit.base, unit.guest);
  socket.send(awarenessFrame(new Uint8Array([1, 5, 1, 2, 123, 125])));
  await until(() => socket.frames.some(([type]) => type === 1));
  expect(socket.isClosed).toBe(false);
});
