import {
  ClockOffset,
  Link,
  type LinkPorts,
  messageFrame,
  newDocument,
  Replica,
  readFrame,
  type SocketEvents,
  type WholeBoard,
  WIRE_VERSION,
  writeCells,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { until } from '../support/clients.ts';
import { MORNING, toy } from '../support/toy.ts';

const LARGE = 64 * 1024;

/** A board of so many shelves, some of them set twice. */
function board(shelves: number): Uint8Array {
  const doc = newDocument(99);
  for (let n = 0; n < shelves; n++) {
    writeCells(doc, [
      {
        table: 'shelves',
        record: `s${n % 400}`,
        field: 'name',
        cell: [`${n} ${'x'.repeat(100)}`, n + 1, 'p1-1'],
      },
    ]);
  }
  return Y.encodeStateAsUpdate(doc);
}

/** A link that can fetch the board, over sockets and an answer in the test's hands. */
function harness(fetchWhole?: LinkPorts['fetchWhole']) {
  const sockets: { readonly events: SocketEvents; readonly sent: Uint8Array[] }[] = [];
  const patience: (() => void)[] = [];
  const replica = new Replica({ definition: toy, now: () => MORNING, person: { id: 'p2', role: 'clerk' } });
  let epoch: string | null = null;
  const link = new Link({
    replica,
    clock: new ClockOffset(),
    epoch: () => epoch,
    onEpoch: (named) => {
      epoch = named;
    },
    ports: {
      open: (events) => {
        const opened = { events, sent: [] as Uint8Array[] };
        sockets.push(opened);
        return { send: (bytes) => opened.sent.push(bytes), close: () => {} };
      },
      after: (milliseconds, act) => {
        if (milliseconds === 0) queueMicrotask(act);
        else if (milliseconds > 20_000) patience.push(act);
        return () => {};
      },
      now: () => MORNING,
      random: () => 0.5,
      ...(fetchWhole ? { fetchWhole } : {}),
    },
  });
  const greet = (bytes: number): void => {
    link.connect();
    sockets.at(-1)?.events.received(
      messageFrame('hello', {
        wire: WIRE_VERSION,
        schema: 's',
        epoch: 'e1',
        writer: 'p2-1',
        last: 0,
        time: MORNING,
        bytes,
      }),
    );
  };
  /** What was asked for over a socket: how much this copy said it has. */
  const asked = (socket: number): number[] =>
    (sockets[socket]?.sent ?? []).flatMap((bytes) => {
      const frame = readFrame(bytes);
      if (frame?.type !== 'sync') return [];
      return [Y.decodeStateVector(frame.bytes).get(99) ?? 0];
    });
  return { link, replica, greet, asked, patience, sockets };
}

/** An answer that comes when the test says so. */
function coming() {
  let answer: (whole: WholeBoard | null) => void = () => {};
  let fail: (error: Error) => void = () => {};
  let calls = 0;
  const fetchWhole = () => {
    calls++;
    return new Promise<WholeBoard | null>((resolve, reject) => {
      answer = resolve;
      fail = reject;
    });
  };
  return {
    fetchWhole,
    answer: (whole: WholeBoard | null) => answer(whole),
    fail: () => fail(new Error('cut')),
    calls: () => calls,
  };
}

describe('a tablet that has nothing of a large board', () => {
  it('fetches it first, and then asks for what has come since; it is live meanwhile', async () => {
    const way = coming();
    const { link, replica, greet, asked } = harness(way.fetchWhole);
    greet(LARGE);
    expect(link.status.value).toEqual({ kind: 'live' });
    expect([way.calls(), asked(0)]).toEqual([1, []]);
    way.answer({ epoch: 'e1', update: board(2000) });
    await until(() => asked(0).length > 0, 'the question');
    expect(asked(0)).toEqual([2000]);
    expect(replica.shown.cell('shelves', 's399', 'name')?.[1]).toBe(2000);
    const whole = new Y.Doc();
    Y.applyUpdate(whole, board(2000));
    expect(Y.encodeStateAsUpdate(replica.doc)).toEqual(Y.encodeStateAsUpdate(whole));
  });

  it.each([
    ['cannot be reached', (way: ReturnType<typeof coming>) => way.fail()],
    ['is refused', (way: ReturnType<typeof coming>) => way.answer(null)],
    [
      'is of another epoch',
      (way: ReturnType<typeof coming>) => way.answer({ epoch: 'e0', update: board(10) }),
    ],
    [
      'is no board',
      (way: ReturnType<typeof coming>) => way.answer({ epoch: 'e1', update: new Uint8Array([9, 9]) }),
    ],
  ])('asks for all of it over the socket where it %s', async (_, end) => {
    const way = coming();
    const { greet, asked } = harness(way.fetchWhole);
    greet(LARGE);
    end(way);
    await until(() => asked(0).length > 0, 'the question');
    expect(asked(0)).toEqual([0]);
  });

  it('asks over the socket too where it is long in coming', async () => {
    const way = coming();
    const { replica, greet, asked, patience } = harness(way.fetchWhole);
    greet(LARGE);
    patience[0]?.();
    await until(() => asked(0).length > 0, 'the question');
    expect(asked(0)).toEqual([0]);
    way.answer({ epoch: 'e1', update: board(50) });
    await until(() => Y.getState(replica.doc.store, 99) === 50, 'what came late');
  });

  it('goes on fetching when the socket is cut, does not fetch twice, and asks over the newest socket alone', async () => {
    const way = coming();
    const { greet, asked, sockets } = harness(way.fetchWhole);
    greet(LARGE);
    sockets[0]?.events.closed(1006);
    greet(LARGE);
    expect(way.calls()).toBe(1);
    way.answer({ epoch: 'e1', update: board(2000) });
    await until(() => asked(1).length > 0, 'the question');
    expect([asked(0), asked(1)]).toEqual([[], [2000]]);
    greet(LARGE);
    expect([way.calls(), asked(2)]).toEqual([1, [2000]]);
  });

  it('asks over the socket at once where the board is small, or where there is no other way', () => {
    const way = coming();
    for (const [given, bytes] of [
      [way.fetchWhole, LARGE - 1],
      [undefined, 100 * LARGE],
    ] as const) {
      const { greet, asked } = harness(given);
      greet(bytes);
      expect(asked(0)).toEqual([0]);
    }
    expect(way.calls()).toBe(0);
  });
});
