import { createHash, randomBytes } from 'node:crypto';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { request } from 'node:http';
import { join } from 'node:path';
import type { Base } from '@plumbline/base';
import { afterEach, describe, expect, it } from 'vitest';
import { call, createBoard, joinAs, type Member, type NewBoard, startTestBase } from '../support/base.ts';

const JPEG = Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 0, 16, 0x4a, 0x46, 0x49, 0x46, 0, 1);
const PNG = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13);
const WEBP = Uint8Array.of(0x52, 0x49, 0x46, 0x46, 1, 2, 3, 4, 0x57, 0x45, 0x42, 0x50);

function picture(head: Uint8Array = JPEG, size = 5000): Uint8Array<ArrayBuffer> {
  return new Uint8Array([...head, ...randomBytes(size - head.length)]);
}

const hashOf = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

type TestBase = Awaited<ReturnType<typeof startTestBase>>;
let base: TestBase;
let board: NewBoard;
let clerk: Member;

async function start(options: Parameters<typeof startTestBase>[0] = {}): Promise<void> {
  base = await startTestBase(options);
  board = await createBoard(base);
  clerk = await joinAs(base, board, 'clerk');
}

afterEach(() => base.stop());

function addressOf(hash: string, of = board.boardId): string {
  return `${base.url}/api/boards/${of}/photos/${hash}`;
}

async function put(
  bytes: Uint8Array<ArrayBuffer>,
  more: { hash?: string; type?: string; token?: string; of?: string } = {},
): Promise<Response> {
  const { hash = hashOf(bytes), type = 'image/jpeg', token = clerk.session, of } = more;
  return fetch(addressOf(hash, of), {
    method: 'PUT',
    headers: { authorization: `Bearer ${token}`, 'content-type': type },
    body: bytes,
  });
}

function get(hash: string, token = clerk.session, of?: string): Promise<Response> {
  return fetch(addressOf(hash, of), { headers: { authorization: `Bearer ${token}` } });
}

/** Every file under the photographs of the base. */
function files(): string[] {
  const folder = join(base.dataFolder, 'photos');
  if (!existsSync(folder)) return [];
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ name }) => name);
}

describe('a picture that is sent', () => {
  it.each([
    ['image/jpeg', JPEG],
    ['image/png', PNG],
    ['image/webp', WEBP],
  ])(
    '%s is on disk under its hash, and comes back byte for byte, never to be asked for again',
    async (type, head) => {
      await start();
      const bytes = picture(head);
      const hash = hashOf(bytes);
      const answer = await put(bytes, { type });
      expect(answer.status).toBe(201);
      expect(await answer.json()).toEqual({ hash });
      const kept = readFileSync(join(base.dataFolder, 'photos', board.boardId, hash.slice(0, 2), hash));
      expect(hashOf(kept)).toBe(hash);
      const back = await get(hash);
      expect(back.status).toBe(200);
      expect(hashOf(new Uint8Array(await back.arrayBuffer()))).toBe(hash);
      expect(back.headers.get('content-type')).toBe(type);
      expect(back.headers.get('cache-control')).toBe('private, max-age=31536000, immutable');
      expect(back.headers.get('x-content-type-options')).toBe('nosniff');
    },
  );

  it('twice, one after the other or at once, is kept once', async () => {
    await start();
    const bytes = picture();
    const answers = await Promise.all([put(bytes), put(bytes), put(bytes)]);
    expect(answers.every(({ status }) => status === 201 || status === 200)).toBe(true);
    expect((await put(bytes)).status).toBe(200);
    expect(files()).toEqual([hashOf(bytes)]);
  });

  it('with other bytes than its hash names is not kept', async () => {
    await start();
    const answer = await put(picture(), { hash: hashOf(picture()) });
    expect(answer.status).toBe(422);
    expect(answer.headers.get('content-type')).toBe('application/problem+json');
    expect(files()).toEqual([]);
  });

  it.each([
    ['says it is something else', picture(PNG), 'image/jpeg', 415],
    [
      'is a page that calls itself a picture',
      new Uint8Array(Buffer.from('<html><script>')),
      'image/png',
      415,
    ],
    ['is a drawing with script in it', new Uint8Array(Buffer.from('<svg xmlns="">')), 'image/svg+xml', 415],
    ['is empty', new Uint8Array(0), 'image/jpeg', 415],
    ['is shorter than any head', JPEG.slice(0, 2), 'image/jpeg', 415],
  ])('that %s is refused by its first bytes', async (_, bytes, type, status) => {
    await start();
    expect((await put(bytes, { type })).status).toBe(status);
    expect(files()).toEqual([]);
  });

  it('that is too large is refused, whether or not it says how long it is', async () => {
    await start({ photoLimits: { photoBytes: 20_000 } });
    expect((await put(picture(JPEG, 20_000))).status).toBe(201);
    expect((await put(picture(JPEG, 20_001))).status).toBe(413);
    expect((await put(picture(JPEG, 500_000))).status).toBe(413);
    const bytes = picture(JPEG, 300_000);
    const streamed = await fetch(addressOf(hashOf(bytes)), {
      method: 'PUT',
      headers: { authorization: `Bearer ${clerk.session}`, 'content-type': 'image/jpeg' },
      body: new Blob([bytes]).stream(),
      duplex: 'half',
    } as RequestInit);
    expect(streamed.status).toBe(413);
    expect(files()).toHaveLength(1);
  });

  it('and breaks off in the middle leaves nothing behind', async () => {
    await start();
    const bytes = picture(JPEG, 400_000);
    const { hostname, port, pathname } = new URL(addressOf(hashOf(bytes)));
    await new Promise<void>((resolve) => {
      const sending = request({
        hostname,
        port,
        path: pathname,
        method: 'PUT',
        headers: {
          authorization: `Bearer ${clerk.session}`,
          'content-type': 'image/jpeg',
          'content-length': bytes.length,
        },
      });
      sending.on('error', () => resolve());
      sending.write(bytes.subarray(0, 200_000), () =>
        setTimeout(() => sending.destroy(new Error('gone')), 50),
      );
    });
    await expect.poll(files).toEqual([]);
    expect((await put(bytes)).status).toBe(201);
  });

  it('is not taken while the disk is full, and is once there is room', async () => {
    let isFull = true;
    await start({
      photoDisk: {
        open: async (path) => {
          const file = await open(path, 'wx', 0o600);
          if (!isFull) return file;
          return {
            sync: () => file.sync(),
            close: () => file.close(),
            write: () => Promise.reject(Object.assign(new Error('no space left'), { code: 'ENOSPC' })),
          };
        },
      },
    });
    const bytes = picture();
    expect((await put(bytes)).status).toBe(507);
    expect(files()).toEqual([]);
    isFull = false;
    expect((await put(bytes)).status).toBe(201);
  });

  it('counts towards what its board may keep, also after a start; other boards have their own', async () => {
    await start({ photoLimits: { boardBytes: 12_000 } });
    expect((await put(picture(JPEG, 6000))).status).toBe(201);
    expect((await put(picture(JPEG, 6001))).status).toBe(507);
    const other = await createBoard(base);
    const keeper = await joinAs(base, other, 'keeper');
    const more = { token: keeper.session, of: other.boardId };
    expect((await put(picture(JPEG, 12_000), more)).status).toBe(201);
    const again: Base = await base.restart();
    base = { ...base, ...again };
    expect((await put(picture(JPEG, 6001))).status).toBe(507);
    expect((await put(picture(JPEG, 6000))).status).toBe(201);
  });

  it('too often by one session is slowed down, and says when to come again', async () => {
    await start({ photoLimits: { perSecond: 0.01, burst: 2 } });
    const bytes = picture();
    expect((await put(bytes)).status).toBe(201);
    expect((await put(bytes)).status).toBe(200);
    const slowed = await put(bytes);
    expect(slowed.status).toBe(429);
    expect(Number(slowed.headers.get('retry-after'))).toBeGreaterThan(0);
    const keeper = await joinAs(base, board, 'keeper');
    expect((await put(bytes, { token: keeper.session })).status).toBe(200);
  });
});

describe('who may', () => {
  it('whoever writes nothing on a board adds no picture to it, and sees those that are there', async () => {
    await start();
    const bytes = picture();
    const guest = await joinAs(base, board, 'guest');
    expect((await put(bytes, { token: guest.session })).status).toBe(403);
    expect((await put(bytes)).status).toBe(201);
    expect((await get(hashOf(bytes), guest.session)).status).toBe(200);
  });

  it('nobody gets a picture of another board, not even by its hash', async () => {
    await start();
    const bytes = picture();
    await put(bytes);
    const other = await createBoard(base);
    const stranger = await joinAs(base, other, 'keeper');
    expect((await get(hashOf(bytes), stranger.session)).status).toBe(403);
    expect((await get(hashOf(bytes), stranger.session, other.boardId)).status).toBe(404);
    expect((await put(picture(), { token: stranger.session })).status).toBe(403);
    expect((await get(hashOf(bytes), base.adminKey)).status).toBe(403);
  });

  it('an ended session neither sends nor sees', async () => {
    await start();
    const bytes = picture();
    await put(bytes);
    await call(base, 'POST', '/api/leave', { token: clerk.session });
    expect((await put(picture())).status).toBe(401);
    expect((await get(hashOf(bytes))).status).toBe(401);
  });

  it.each([
    '..%2f..%2fadmin-key',
    '%2e%2e/%2e%2e/admin-key',
    `${'a'.repeat(63)}`,
    `${'A'.repeat(64)}`,
    `${'a'.repeat(64)}.jpg`,
    `${'a'.repeat(62)}%00a`,
    '.coming',
  ])('the address %s leads to nothing', async (name) => {
    await start();
    expect((await get(name)).status).toBe(404);
    expect((await put(picture(), { hash: name })).status).toBe(404);
    expect(files()).toEqual([]);
  });

  it('a file that is no picture any more is not given out', async () => {
    await start();
    const bytes = picture();
    const hash = hashOf(bytes);
    await put(bytes);
    const { writeFileSync } = await import('node:fs');
    writeFileSync(join(base.dataFolder, 'photos', board.boardId, hash.slice(0, 2), hash), '<html>');
    expect((await get(hash)).status).toBe(404);
  });
});

it('what was being sent when the base ended is gone after the next start', async () => {
  await start();
  const { mkdirSync, writeFileSync } = await import('node:fs');
  const coming = join(base.dataFolder, 'photos', '.coming');
  mkdirSync(coming, { recursive: true });
  writeFileSync(join(coming, 'half'), 'half a picture');
  const again = await base.restart();
  expect(files()).toEqual([]);
  base = { ...base, ...again };
});
