import { get } from 'node:http';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { readFrame, syncFrame } from '@plumbline/replica';
import { expect, it } from 'vitest';
import * as Y from 'yjs';
import type { Member, Reachable } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

/** The answer as it goes over the wire: `fetch` would unpack it. */
function raw(
  base: Reachable,
  member: Member,
  encoding?: string,
): Promise<{ headers: Record<string, unknown>; bytes: Buffer }> {
  return new Promise((resolve, reject) => {
    const headers = {
      authorization: `Bearer ${member.session}`,
      ...(encoding === undefined ? {} : { 'accept-encoding': encoding }),
    };
    get(`${base.url}/api/boards/${member.boardId}/document`, { headers }, (response) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () => resolve({ headers: response.headers, bytes: Buffer.concat(chunks) }));
    }).on('error', reject);
  });
}

it('the document is handed out compressed to whoever takes that, the same bytes to all; with what came since it is the board', async () => {
  const { base, keeper, guest } = await startUnit();
  const tablet = await openTablet(base, keeper, toyKind.definition);
  // More than is kept beside the whole, so that it is folded in meanwhile.
  for (let n = 0; n < 200; n++)
    tablet.set('jars', `first.${1 + (n % 9)}`, 'remark', `${n} ${'damp '.repeat(600)}`);
  await tablet.settled();
  const packed = await raw(base, guest, 'deflate, gzip');
  const tighter = await raw(base, guest, 'gzip, deflate, br, zstd');
  const plain = await raw(base, guest, 'identity');
  expect(packed.headers).toMatchObject({
    'content-encoding': 'gzip',
    'content-type': 'application/octet-stream',
    'cache-control': 'no-store',
    vary: 'accept-encoding',
    'x-plumbline-epoch': plain.headers['x-plumbline-epoch'],
  });
  expect(plain.headers['content-encoding']).toBeUndefined();
  expect(plain.bytes.length).toBeGreaterThan(20_000);
  expect(packed.bytes.length).toBeLessThan(plain.bytes.length / 4);
  expect(gunzipSync(packed.bytes).equals(plain.bytes)).toBe(true);
  expect((await raw(base, guest, 'gzip')).bytes.equals(packed.bytes)).toBe(true);
  expect(tighter.headers['content-encoding']).toBe('br');
  expect(brotliDecompressSync(tighter.bytes).equals(plain.bytes)).toBe(true);

  const socket = await openRaw(base, guest);
  const hello = await socket.message('hello');
  expect(hello.epoch).toBe(packed.headers['x-plumbline-epoch']);
  expect(hello.bytes).toBeGreaterThanOrEqual(plain.bytes.length);
  const doc = new Y.Doc();
  Y.applyUpdate(doc, plain.bytes);
  socket.send(syncFrame('stateVector', Y.encodeStateVector(doc)));
  await until(() => socket.frames.some((bytes) => bytes[0] === 0 && bytes[1] === 1), 'the difference');
  for (const bytes of socket.frames) {
    const frame = readFrame(bytes);
    if (frame?.type === 'sync') Y.applyUpdate(doc, frame.bytes);
  }
  expect(Y.encodeStateAsUpdate(doc)).toEqual(Y.encodeStateAsUpdate(tablet.replica.doc));
  tablet.close();
});
