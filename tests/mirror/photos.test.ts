import { createHash } from 'node:crypto';
import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { call } from '../support/base.ts';
import { openTablet, until } from '../support/clients.ts';
import { randomOf, seedOf } from '../support/random.ts';
import { toyKind } from '../support/toyKind.ts';
import { caughtUp, listed, MIRROR_LIMITS, type Pair, startPair, visitor } from './pair.ts';

const SEED = seedOf(4100);
const JPEG = [0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0, 1];

function picture(seed: number, size: number): Uint8Array<ArrayBuffer> {
  return new Uint8Array([...JPEG, ...randomOf(seed).bytes(size - JPEG.length)]);
}

const hashOf = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

async function put({ base, boardId, clerk }: Pair, bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const hash = hashOf(bytes);
  const { status } = await fetch(`${base.url}/api/boards/${boardId}/photos/${hash}`, {
    method: 'PUT',
    headers: { authorization: `Bearer ${clerk.session}`, 'content-type': 'image/jpeg' },
    body: bytes,
  });
  expect(status).toBe(201);
  return hash;
}

/** A picture as a visitor far away gets it. */
async function farPicture({ far, boardId }: Pair, token: string, hash: string): Promise<string | null> {
  const answer = await fetch(`${far.url}/api/boards/${boardId}/photos/${hash}`, {
    headers: { authorization: `Bearer ${token}` },
  });
  return answer.ok ? hashOf(new Uint8Array(await answer.arrayBuffer())) : null;
}

it(`pictures follow, broken off and taken up again in the middle, and are the same to the last bit (seed ${SEED})`, async () => {
  const pair = await startPair();
  const { far, line, boardId } = pair;
  await caughtUp(pair);
  const { session } = await visitor(far, boardId);
  const random = randomOf(SEED);
  const hashes: string[] = [];
  for (let index = 0; index < 4; index++)
    hashes.push(await put(pair, picture(SEED + index, 60_000 + index * 20_000)));
  for (let cuts = 0; cuts < 8; cuts++) {
    line.cutAfter(5_000 + random.below(30_000), 'out');
    await new Promise((resolve) => setTimeout(resolve, 30));
    line.cut();
    line.restore();
  }
  for (const hash of hashes)
    await until(async () => (await farPicture(pair, session, hash)) === hash, `picture ${hash}`, 60_000);
  const parts = join(far.folder.photos, '.mirrored', boardId);
  await until(() => !existsSync(parts) || readdirSync(parts).length === 0, 'nothing half to be left');
});

it('an edit made while a picture is under way arrives before the rest of the picture', async () => {
  // 400 kbit/s: the picture alone takes twelve seconds.
  const pair = await startPair({ near: { mirrorLimits: { ...MIRROR_LIMITS, kbits: 400 } } });
  const { base, far, keeper, boardId } = pair;
  await caughtUp(pair);
  const guest = await visitor(far, boardId);
  const reader = await openTablet(far, guest, toyKind.definition);
  const hash = await put(pair, picture(SEED, 600_000));
  await until(async () => (await listed(base)).sent[0]?.photosWaiting === 1, 'the picture to be under way');
  const tablet = await openTablet(base, keeper, toyKind.definition);
  for (let n = 0; n < 5; n++) {
    tablet.set('shelves', 's1', 'name', `edit ${n}`);
    await until(() => reader.value('shelves', 's1', 'name') === `edit ${n}`, `edit ${n} far away`);
  }
  expect(await farPicture(pair, guest.session, hash)).toBeNull();
  for (const each of [tablet, reader]) each.close();
});

it('bytes that are not those that the name says, or no picture, are not kept', async () => {
  const pair = await startPair();
  const { far, keys, boardId } = pair;
  await caughtUp(pair);
  const { session } = await visitor(far, boardId);
  const send = async (bytes: Uint8Array<ArrayBuffer>, hash: string, size = bytes.length): Promise<number> =>
    (
      await fetch(`${far.url}/api/mirror/photos/${hash}?from=0&size=${size}`, {
        method: 'PUT',
        headers: { authorization: `Bearer ${keys.key}` },
        body: bytes,
      })
    ).status;
  const bytes = picture(SEED, 5000);
  const other = 'ab'.repeat(32);
  expect(await send(bytes, other)).toBe(422);
  const text = new TextEncoder().encode('not a picture at all, though its sum is right');
  expect(await send(text, hashOf(text))).toBe(415);
  expect(await send(bytes, hashOf(bytes), 100 * 1024 * 1024)).toBe(413);
  for (const hash of [other, hashOf(text)]) expect(await farPicture(pair, session, hash)).toBeNull();
  expect(await send(bytes, hashOf(bytes))).toBe(200);
  expect(await farPicture(pair, session, hashOf(bytes))).toBe(hashOf(bytes));
  expect((await call(far, 'GET', '/api/mirrors', { token: far.adminKey })).status).toBe(200);
});
