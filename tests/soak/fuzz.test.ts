import { awarenessFrame, encodePresence, messageFrame, stampAt, syncFrame } from '@plumbline/replica';
import { expect, it } from 'vitest';
import * as Y from 'yjs';
import { call, joinAs, type Member, type Reachable, viewOf } from '../support/base.ts';
import { openTablet, RawSocket, syncUrl, until } from '../support/clients.ts';
import { type Random, randomOf } from '../support/random.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';
import { PATIENCE_MS, SEED, size, tell } from './size.ts';

const ATTACKERS = 8;
const ROUNDS = size(100, 3);
const FRAMES = size(1_000_000, 1200);
const REQUESTS = size(100_000, 400);
const AT_ONCE = 8;

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

/** One attacker: sends frames over one socket after the other, and knows which of them the base has looked at. */
async function attack(
  random: Random,
  base: Reachable,
  member: Member,
  doc: Y.Doc,
  frames: number,
  codes: Map<number, number>,
): Promise<void> {
  const tab = `t${random.below(1e9)}`;
  for (let done = 0; done < frames; ) {
    const socket = new RawSocket(syncUrl(base, member.boardId, tab), {
      authorization: `Bearer ${member.session}`,
    });
    await socket.opened;
    let sent = 0;
    while (!socket.isClosed && done + sent < frames) {
      for (let i = 0; i < 8; i++) {
        const n = sent + i + 1;
        const frame =
          random.below(4) === 0
            ? random.bytes(random.below(200))
            : spoil(random, random.pick(legalFrames(n, doc)));
        if (!socket.isClosed) socket.send(frame);
      }
      sent += 8;
      // An answer to this comes after all that was sent before it was looked at.
      if (!socket.isClosed) socket.send(messageFrame('clock', { t0: sent }));
      const asked = sent;
      await new Promise<void>((resolve) => {
        const look = (): void => {
          if (!socket.isClosed && !socket.messages('clock').some(({ t0 }) => t0 === asked)) return;
          socket.socket.off('message', look);
          resolve();
        };
        socket.socket.on('message', look);
        void socket.closed.then(look);
        look();
      });
      socket.frames.length = 0;
    }
    if (socket.isClosed) {
      const code = await socket.closed;
      codes.set(code, (codes.get(code) ?? 0) + 1);
      // Of the last eight at least the one that closed it was looked at; the others are not counted.
      done += Math.max(1, sent - 7);
    } else {
      done += sent;
      socket.close();
    }
  }
}

it(
  `${FRAMES} spoilt and random frames bring down nobody, and change nothing that no edit says (seed ${SEED})`,
  async () => {
    const random = randomOf(SEED);
    const { base, board, keeper, clerk, guest } = await startUnit({
      syncLimits: {
        framesPerSecond: 1e6,
        framesBurst: 1e6,
        sessionFramesPerSecond: 1e6,
        sessionFramesBurst: 1e6,
        socketsPerSession: 1000,
      },
    });
    const writer = await openTablet(base, keeper, toyKind.definition);
    const reader = await openTablet(base, clerk, toyKind.definition);
    const doc = new Y.Doc();
    Y.applyUpdate(doc, Y.encodeStateAsUpdate(writer.replica.doc));
    const codes = new Map<number, number>();
    const attackers = await Promise.all(
      Array.from({ length: ATTACKERS }, (_, index) => joinAs(base, board, 'guest', `Attacker ${index}`)),
    );
    const before = await viewOf(base, guest);
    for (let round = 1; round <= ROUNDS; round++) {
      await Promise.all(
        attackers.map((member) => attack(random, base, member, doc, FRAMES / ROUNDS / ATTACKERS, codes)),
      );
      writer.set('shelves', 'mine', 'width', round);
      await writer.settled();
      await until(() => reader.value('shelves', 'mine', 'width') === round, 'the other tablet');
      if (round % 10 === 0) tell(`${(FRAMES / ROUNDS) * round} frames so far`);
    }
    tell(`${FRAMES} frames; sockets closed by code ${JSON.stringify(Object.fromEntries(codes))}`);
    expect([...codes.keys()]).toEqual(expect.arrayContaining([4400]));
    for (const code of codes.keys()) expect([4400, 4409, 4410, 4412, 1009]).toContain(code);
    const after = await viewOf(base, guest);
    expect({ ...after.shelves, mine: undefined }).toEqual({ ...before.shelves, mine: undefined });
    expect(after.people).toEqual(before.people);
    expect(writer.closes).toEqual([]);
    expect(reader.closes).toEqual([]);
    const figures = String((await call(base, 'GET', '/metrics')).body);
    expect(Number(/^plumbline_edits_poisoned_total (\d+)$/m.exec(figures)?.[1] ?? 0)).toBe(0);
    expect(figures).not.toMatch(/^plumbline_log_trouble_total [1-9]/m);
    writer.close();
    reader.close();
  },
  PATIENCE_MS,
);

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

it(
  `${REQUESTS} random requests are answered, none with an error of the base’s own (seed ${SEED})`,
  async () => {
    const random = randomOf(SEED);
    const { base, keeper } = await startUnit({ httpLimits: { joinsBurst: 1e9 } });
    const statuses = new Map<number, number>();
    const ask = async (): Promise<void> => {
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
    };
    for (let done = 0; done < REQUESTS; done += AT_ONCE) {
      await Promise.all(Array.from({ length: AT_ONCE }, ask));
    }
    tell(`${REQUESTS} requests; answers by status ${JSON.stringify(Object.fromEntries(statuses))}`);
    expect(statuses.size).toBeGreaterThan(3);
    expect((await call(base, 'GET', '/readyz')).status).toBe(200);
  },
  PATIENCE_MS,
);
