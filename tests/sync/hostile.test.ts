import { awarenessFrame, encodePresence, messageFrame, stampAt, syncFrame } from '@plumbline/replica';
import { expect, it, onTestFinished } from 'vitest';
import * as Y from 'yjs';
import { call, joinAs, viewOf } from '../support/base.ts';
import { openRaw, openTablet, RawSocket, syncUrl, until } from '../support/clients.ts';
import { type Random, randomOf, seedOf } from '../support/random.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const SEED = seedOf(99_061);
const FRAMES = 4000;
const REQUESTS = 600;

/** Frames as an honest tablet sends them, to be spoilt. */
function legalFrames(n: number, doc: Y.Doc): Uint8Array[] {
  const entries = [{ table: 'shelves', record: 's1', field: 'name', value: 'x', seen: 0 }];
  return [
    messageFrame('edit', { n, stamp: stampAt(Date.now()), entries }),
    messageFrame('clock', { t0: 12.5 }),
    syncFrame('stateVector', Y.encodeStateVector(doc)),
    syncFrame('difference', Y.encodeStateAsUpdate(doc)),
    syncFrame('update', new Uint8Array([0, 0])),
    awarenessFrame(encodePresence([{ client: 9, clock: n, state: { screen: 'day' } }])),
    new Uint8Array([3]),
  ];
}

function spoil(random: Random, frame: Uint8Array): Uint8Array {
  const bytes = [...frame];
  for (let times = 1 + random.below(4); times > 0; times--) {
    const at = random.below(bytes.length + 1);
    switch (random.below(5)) {
      case 0:
        bytes[at] = random.below(256);
        break;
      case 1:
        bytes.splice(at, 1 + random.below(8));
        break;
      case 2:
        bytes.splice(at, 0, ...random.bytes(1 + random.below(8)));
        break;
      case 3:
        bytes.splice(at, 0, ...bytes.slice(at, at + random.below(40)));
        break;
      default:
        bytes[at] = random.pick([0, 127, 128, 255]);
    }
  }
  return Uint8Array.from(bytes, (value) => value ?? 0);
}

it(`${FRAMES} spoilt and random frames bring down nobody, and change nothing that no edit says (seed ${SEED})`, async () => {
  const random = randomOf(SEED);
  const { base, board, keeper, clerk, guest } = await startUnit({
    syncLimits: { framesPerSecond: 1e6, framesBurst: 1e6 },
  });
  const writer = await openTablet(base, keeper, toyKind.definition);
  const reader = await openTablet(base, clerk, toyKind.definition);
  const attacker = await joinAs(base, board, 'guest', 'Attacker');
  const doc = new Y.Doc();
  for (const update of [Y.encodeStateAsUpdate(writer.replica.doc)]) Y.applyUpdate(doc, update);
  let socket = await openRaw(base, attacker, 'a');
  const codes = new Map<number, number>();
  const before = await viewOf(base, guest);
  for (let i = 1; i <= FRAMES; i++) {
    if (socket.isClosed) {
      const code = await socket.closed;
      codes.set(code, (codes.get(code) ?? 0) + 1);
      socket = await openRaw(base, attacker, 'a');
    }
    const frame =
      random.below(4) === 0
        ? random.bytes(random.below(200))
        : spoil(random, random.pick(legalFrames(i, doc)));
    socket.send(frame);
    // Until the base has read it, so that the next is not sent into a socket that is closing.
    if (i % 4 === 0) {
      const asked = messageFrame('clock', { t0: i });
      if (!socket.isClosed) socket.send(asked);
      await until(() => socket.isClosed || socket.messages('clock').some(({ t0 }) => t0 === i), 'the base');
    }
    if (i % 1000 === 0) {
      writer.set('shelves', 'mine', 'width', i);
      await writer.settled();
      await until(() => reader.value('shelves', 'mine', 'width') === i, 'the other tablet');
    }
  }
  expect([...codes.keys()].sort()).toEqual(expect.arrayContaining([4400]));
  for (const code of codes.keys()) expect([4400, 4409, 4410, 4412, 1009]).toContain(code);
  const after = await viewOf(base, guest);
  expect({ ...after.shelves, mine: undefined }).toEqual({ ...before.shelves, mine: undefined });
  expect(after.people).toEqual(before.people);
  expect(writer.closes).toEqual([]);
  expect(reader.closes).toEqual([]);
  writer.close();
  reader.close();
});

/** JSON of any kind, often near to what is asked for. */
function anyJson(random: Random, depth = 0): unknown {
  const word = () =>
    random.pick(['invite', 'name', 'title', 'files', 'text', '__proto__', '', 'x'.repeat(300), '\u0000']);
  switch (random.below(depth > 4 ? 5 : 8)) {
    case 0:
      return null;
    case 1:
      return random.next() * 10 ** random.below(300);
    case 2:
      return random.pick([true, false]);
    case 3:
    case 4:
      return word();
    case 5:
      return Array.from({ length: random.below(4) }, () => anyJson(random, depth + 1));
    default:
      return Object.fromEntries(
        Array.from({ length: random.below(4) }, () => [word(), anyJson(random, depth + 1)]),
      );
  }
}

it(`${REQUESTS} random requests are answered, none with an error of the base’s own (seed ${SEED})`, async () => {
  const random = randomOf(SEED);
  const { base, keeper } = await startUnit({ httpLimits: { joinsBurst: 1e6 } });
  const statuses = new Map<number, number>();
  for (let i = 0; i < REQUESTS; i++) {
    const route = random.pick(
      base.routes.filter(({ path }) => !path.includes('leave') && !path.includes('people')),
    );
    const part = () =>
      random.pick([keeper.boardId, 'x', '%00', '%2e%2e', 'é', 'a'.repeat(200), '1', 'guest']);
    const path =
      route.path.replace(/:\w+/g, part) +
      random.pick(['', '', '?limit=x', '?before=1&before=2', '?table=%ff', `?name=${part()}`]);
    const token = random.pick([keeper.session, keeper.session, base.adminKey, undefined, 'é'.slice(1)]);
    const hasBody = route.method !== 'GET' && random.below(4) > 0;
    const answer = await fetch(base.url + path, {
      method: route.method,
      headers: {
        ...(token === undefined ? {} : { authorization: `Bearer ${token}` }),
        ...(hasBody
          ? {
              'content-type': random.pick([
                'application/json',
                'application/json',
                'text/csv',
                'multipart/form-data; boundary=x',
              ]),
            }
          : {}),
      },
      ...(hasBody
        ? {
            body: random.below(3)
              ? JSON.stringify(anyJson(random))
              : Buffer.from(random.bytes(random.below(100))),
          }
        : {}),
    });
    await answer.arrayBuffer();
    statuses.set(answer.status, (statuses.get(answer.status) ?? 0) + 1);
    expect(answer.status, `${route.method} ${path}`).toBeLessThan(500);
  }
  expect(statuses.size).toBeGreaterThan(3);
  expect((await call(base, 'GET', '/readyz')).status).toBe(200);
});

it('refused and broken handshakes leave nothing behind', async () => {
  const { base, board } = await startUnit();
  const sockets = async () =>
    Number(/^plumbline_sockets (\d+)$/m.exec(String((await call(base, 'GET', '/metrics')).body))?.[1]);
  const refused = Array.from({ length: 200 }, () => new RawSocket(syncUrl(base, board.boardId, 'a')));
  for (const socket of refused) expect(await socket.closed).toBe(4401);
  const { connect } = await import('node:net');
  for (let i = 0; i < 50; i++) {
    const half = connect(base.port, '127.0.0.1');
    half.on('error', () => {});
    onTestFinished(() => void half.destroy());
    half.write(
      `GET /sync/${board.boardId} HTTP/1.1\r\nHost: x\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n`,
    );
    if (i % 2) half.destroy();
  }
  await until(async () => (await sockets()) === 0, 'no socket to be left');
  expect((await call(base, 'GET', '/healthz')).status).toBe(200);
});
