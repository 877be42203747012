import { Inflow } from '@plumbline/base';
import { stampAt } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call } from '../support/base.ts';
import { openRaw, RawSocket, syncUrl, until } from '../support/clients.ts';
import { startUnit } from '../support/unit.ts';

const setting = (n: number, name: string) => ({
  n,
  stamp: stampAt(Date.now()),
  entries: [{ table: 'shelves', record: `s${n % 50}`, field: 'name', value: name, seen: 0 }],
});

describe('what one socket sends is taken in by shares', () => {
  const frame = new Uint8Array(10);
  const dear = new Uint8Array(10);
  const open = (frames: number, bytes: number, mostWaiting = 1000) => {
    const said: string[] = [];
    let turn: (() => void) | null = null;
    let handled = 0;
    const inflow = new Inflow({ frames, bytes }, mostWaiting, {
      pause: () => said.push('pause'),
      resume: () => said.push('resume'),
      nextTurn: (act) => {
        turn = act;
      },
      handle: (bytes) => {
        handled++;
        return bytes === dear ? 'the turn' : 'its length';
      },
      tooMuch: () => said.push('too much'),
    });
    const next = (): boolean => {
      const act = turn;
      turn = null;
      act?.();
      return act !== null;
    };
    return { inflow, said, next, handled: () => handled };
  };

  it('so many frames in a turn, in order, the socket paused meanwhile and no longer', () => {
    const { inflow, said, next, handled } = open(4, 1e6);
    for (let i = 0; i < 10; i++) inflow.received(frame, true);
    expect([handled(), said]).toEqual([4, ['pause']]);
    next();
    expect([handled(), said]).toEqual([8, ['pause']]);
    next();
    expect([handled(), said]).toEqual([10, ['pause']]);
    next();
    expect(said).toEqual(['pause', 'resume']);
    while (next());
    inflow.received(frame, true);
    expect(handled()).toBe(11);
  });

  it('one in a turn of those that cost a turn', () => {
    const { inflow, handled, next } = open(100, 1000);
    for (let i = 0; i < 5; i++) inflow.received(dear, true);
    const counts = [handled()];
    for (let turn = 0; turn < 4; turn++) {
      next();
      counts.push(handled());
    }
    expect(counts).toEqual([1, 2, 3, 4, 5]);
  });

  it('so many bytes in a turn', () => {
    const { inflow, handled, next } = open(100, 25);
    for (let i = 0; i < 10; i++) inflow.received(frame, true);
    expect(handled()).toBe(3);
    next();
    expect(handled()).toBe(6);
  });

  it('no more than may wait; and once the socket closes, nothing', () => {
    const { inflow, said, next, handled } = open(1, 1e6, 5);
    for (let i = 0; i < 7; i++) inflow.received(frame, true);
    expect(said).toEqual(['pause', 'too much']);
    inflow.end();
    expect(said).toEqual(['pause', 'too much', 'resume']);
    while (next());
    inflow.received(frame, true);
    expect(handled()).toBe(1);
  });
});

it('while one socket floods, another’s edit has its turn after a share of the flood, not after all of it', async () => {
  const FLOOD = 3000;
  const { base, board, keeper, clerk } = await startUnit({
    syncLimits: {
      framesPerSecond: 1e6,
      framesBurst: 1e6,
      sessionFramesPerSecond: 1e6,
      sessionFramesBurst: 1e6,
      unansweredEdits: 1e6,
    },
  });
  const flooding = await openRaw(base, keeper, 'flood');
  const other = await openRaw(base, clerk, 'other');
  const before = await lastSeq();
  for (let n = 1; n <= FLOOD; n++) flooding.edit(setting(n, `flood ${n}`));
  other.edit({
    ...setting(1, 'x'),
    entries: [{ table: 'shelves', record: 'mine', field: 'width', value: 7, seen: 0 }],
  });
  await other.message('stored');
  await until(() => flooding.messages('stored').length === FLOOD, 'the flood to be answered');
  const mine = await seqOf('record=mine');
  expect(mine - before).toBeLessThan(200);

  async function seqOf(query: string): Promise<number> {
    const { body } = await call(base, 'GET', `/api/boards/${board.boardId}/history?table=shelves&${query}`, {
      token: clerk.session,
    });
    return z.object({ entries: z.array(z.object({ seq: z.int() })) }).parse(body).entries[0]?.seq ?? 0;
  }
  async function lastSeq(): Promise<number> {
    return seqOf('limit=1');
  }
});

const metric = async (base: Parameters<typeof call>[0], line: RegExp): Promise<number> =>
  Number(line.exec(String((await call(base, 'GET', '/metrics')).body))?.[1] ?? 0);

it('the sockets of one session share a number of frames; another session is not concerned', async () => {
  const { base, keeper, clerk } = await startUnit({
    syncLimits: { sessionFramesPerSecond: 0.001, sessionFramesBurst: 10 },
  });
  const sockets = [await openRaw(base, keeper, 'a'), await openRaw(base, keeper, 'b')];
  const bystander = await openRaw(base, clerk, 'c');
  for (let i = 0; i < 11; i++) sockets[i % 2]?.send(new Uint8Array([3]));
  await until(() => sockets.some(({ isClosed }) => isClosed), 'one to be closed');
  const closed = sockets.find(({ isClosed }) => isClosed);
  expect(await closed?.closed).toBe(4429);
  bystander.edit({
    n: 1,
    stamp: stampAt(Date.now()),
    entries: [{ table: 'shelves', record: 's1', field: 'width', value: 1, seen: 0 }],
  });
  expect(await bystander.message('stored')).toMatchObject({ n: 1 });
  // A fresh socket does not bring fresh frames.
  const again = await openRaw(base, keeper, 'd');
  again.send(new Uint8Array([3]));
  expect(await again.closed).toBe(4429);
});

it('frames, handshakes and connections are counted by address, unless it is this machine’s own', async () => {
  const { base, board, keeper } = await startUnit({
    addressLimits: {
      exceptLoopback: false,
      handshakesBurst: 4,
      handshakesPerSecond: 0.001,
      framesBurst: 5,
      framesPerSecond: 0.001,
    },
  });
  const raw = await openRaw(base, keeper, 'a');
  for (let i = 0; i < 6; i++) raw.send(new Uint8Array([3]));
  expect(await raw.closed).toBe(4429);
  for (let i = 0; i < 3; i++) await new RawSocket(syncUrl(base, board.boardId, 'x')).closed;
  const refused = new RawSocket(syncUrl(base, board.boardId, 'x'), {
    authorization: `Bearer ${keeper.session}`,
  });
  await expect(refused.opened).rejects.toThrow(/429/);
  expect(await metric(base, /^plumbline_addresses_refused_total\{what="handshake"\} (\d+)$/m)).toBe(1);

  const free = await startUnit({
    addressLimits: { handshakesBurst: 1, handshakesPerSecond: 0.001, connections: 1 },
  });
  for (let i = 0; i < 5; i++) await openRaw(free.base, free.keeper, `t${i}`);
});

it('an address has so many connections; when one closes there is room again', async () => {
  const { base, keeper } = await startUnit({ addressLimits: { exceptLoopback: false, connections: 12 } });
  const open: RawSocket[] = [];
  let refused: unknown = null;
  for (let i = 0; refused === null && i < 20; i++) {
    await openRaw(base, keeper, `t${i}`).then(
      (raw) => open.push(raw),
      (error: unknown) => {
        refused = error;
      },
    );
  }
  expect(refused).toBeInstanceOf(Error);
  expect(open.length).toBeLessThanOrEqual(12);
  for (const raw of open.splice(0, 4)) {
    raw.close();
    await raw.closed;
  }
  await until(
    () =>
      openRaw(base, keeper, 'again').then(
        () => true,
        () => false,
      ),
    'room for another',
  );
  expect(
    await metric(base, /^plumbline_addresses_refused_total\{what="connection"\} (\d+)$/m),
  ).toBeGreaterThan(0);
});
