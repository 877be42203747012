import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { BaseClock, judgeBrought, KeptBytes, readQuestion } from '@plumbline/base';
import {
  newDocument,
  readFrame,
  stampAt,
  stampMilliseconds,
  syncFrame,
  watchDocument,
  writeCells,
} from '@plumbline/replica';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { createBoard, joinAs, type Member, type Reachable, startTestBase, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { seedOf } from '../support/random.ts';
import { toyKind } from '../support/toyKind.ts';

const SEED = seedOf(7);

function apply(doc: Y.Doc, frames: readonly Uint8Array[]): void {
  for (const bytes of frames) {
    const frame = readFrame(bytes);
    if (frame?.type === 'sync') Y.applyUpdate(doc, frame.bytes);
  }
}

function read(update: Uint8Array): Y.Doc {
  const doc = new Y.Doc();
  Y.applyUpdate(doc, update);
  return doc;
}

async function documentOf(base: Reachable, member: Member): Promise<Y.Doc> {
  const socket = await openRaw(base, member);
  socket.send(syncFrame('stateVector', new Uint8Array([0])));
  await until(() => socket.frames.some((bytes) => bytes[0] === 0 && bytes[1] === 1), 'the difference');
  const doc = new Y.Doc();
  apply(doc, socket.frames);
  socket.close();
  return doc;
}

describe('what is handed to whoever joins', () => {
  const writes = fc.array(fc.record({ record: fc.nat(5), value: fc.nat(9), fold: fc.boolean() }), {
    maxLength: 60,
  });

  it(`is the whole document, however it was kept, and is complete with the last frame (seed ${SEED})`, () => {
    fc.assert(
      fc.property(writes, fc.nat(60), (steps, asked) => {
        const doc = newDocument(17);
        const kept = new KeptBytes(Y.encodeStateAsUpdate(doc));
        const joiner = (): Y.Doc => {
          const copy = new Y.Doc();
          apply(copy, kept.frames());
          return copy;
        };
        steps.forEach(({ record, value, fold }, index) => {
          kept.add(
            writeCells(doc, [
              { table: 'shelves', record: `r${record}`, field: 'width', cell: [value, index, 'p1-1'] },
            ]),
          );
          if (fold) kept.fold(Y.encodeStateAsUpdate(doc));
          if (index !== asked) return;
          expect(Y.encodeStateAsUpdate(joiner())).toEqual(Y.encodeStateAsUpdate(doc));
          expect(Y.encodeStateAsUpdate(read(kept.lately()))).toEqual(Y.encodeStateAsUpdate(doc));
        });
        const copy = joiner();
        expect(Y.encodeStateAsUpdate(copy)).toEqual(Y.encodeStateAsUpdate(doc));
        expect([...watchDocument(copy, ['shelves']).state.records('shelves')].sort()).toEqual(
          [...watchDocument(doc, ['shelves']).state.records('shelves')].sort(),
        );
        expect(kept.frames().at(-1)?.slice(0, 2)).toEqual(new Uint8Array([0, 1]));
      }),
      { numRuns: 100, seed: SEED },
    );
  });

  it('comes in the order in which it was written, in pieces that leave nothing waiting for another', () => {
    const doc = newDocument(17);
    writeCells(doc, [{ table: 't', record: 'r0', field: 'f', cell: ['first', 0, 'p1-1'] }]);
    const kept = new KeptBytes(Y.encodeStateAsUpdate(doc));
    for (let n = 0; n < 900; n++) {
      const value = `${n} ${'x'.repeat(n % 300)}`;
      kept.add(writeCells(doc, [{ table: 't', record: `r${n % 50}`, field: 'f', cell: [value, n, 'p1-1'] }]));
    }
    const frames = kept.frames();
    expect(frames.length).toBeGreaterThan(2);
    const copy = new Y.Doc();
    for (const frame of frames) {
      apply(copy, [frame]);
      expect(copy.store.pendingStructs).toBeNull();
      expect(copy.store.pendingDs).toBeNull();
    }
    expect(Y.encodeStateAsUpdate(copy)).toEqual(Y.encodeStateAsUpdate(doc));
    expect(frames.map((frame) => frame[1])).toEqual([...frames.slice(1).map(() => 2), 1]);
    // Asked again without a change it is the same; after one it holds that too.
    expect(kept.frames()).toBe(frames);
    kept.add(writeCells(doc, [{ table: 't', record: 'r0', field: 'f', cell: ['last', 900, 'p1-1'] }]));
    apply(copy, kept.frames());
    expect(Y.encodeStateAsUpdate(copy)).toEqual(Y.encodeStateAsUpdate(doc));
  });

  it('is all of it in one answer while the board is small, packed or not, also when more is written', async () => {
    const doc = newDocument(17);
    const kept = new KeptBytes(Y.encodeStateAsUpdate(doc));
    for (let n = 0; n < 300; n++) {
      kept.add(
        writeCells(doc, [
          { table: 't', record: `r${n}`, field: 'f', cell: ['x'.repeat(n % 700), n, 'p1-1'] },
        ]),
      );
      if (n % 60 !== 59) continue;
      const gzip = gunzipSync(await kept.packed('gzip'));
      const brotli = brotliDecompressSync(await kept.packed('br'));
      for (const bytes of [kept.lately(), new Uint8Array(gzip), new Uint8Array(brotli)]) {
        const copy = read(bytes);
        expect(copy.store.pendingStructs).toBeNull();
        expect(Y.encodeStateAsUpdate(copy)).toEqual(Y.encodeStateAsUpdate(doc));
      }
    }
    // of a large one the whole alone: what came since is asked for
    kept.fold(Y.encodeStateAsUpdate(doc));
    const folded = kept.lately();
    kept.add(
      writeCells(doc, [{ table: 't', record: 'r0', field: 'f', cell: ['x'.repeat(600_000), 1, 'p1-1'] }]),
    );
    expect(kept.lately()).toEqual(folded);
  });

  it('comes in frames of half a megabyte where it is large, be it cut while more is written', async () => {
    const doc = newDocument(17);
    const write = (from: number, to: number): Uint8Array[] =>
      Array.from({ length: to - from }, (_, index) =>
        writeCells(doc, [
          {
            table: 't',
            record: `r${(from + index) % 500}`,
            field: 'f',
            cell: ['x'.repeat(3000), from + index, 'w'],
          },
        ]),
      );
    write(0, 700);
    const kept = new KeptBytes(Y.encodeStateAsUpdate(doc));
    const cutting = kept.cut();
    for (const update of write(700, 720)) kept.add(update);
    const both = [kept.frames()];
    await cutting;
    both.push(kept.frames());
    for (const frames of both) {
      const copy = new Y.Doc();
      for (const frame of frames) {
        apply(copy, [frame]);
        expect(copy.store.pendingStructs).toBeNull();
        expect(copy.store.pendingDs).toBeNull();
      }
      expect(Buffer.compare(Y.encodeStateAsUpdate(copy), Y.encodeStateAsUpdate(doc))).toBe(0);
    }
    expect(both[1]?.length).toBeGreaterThan(3);
    for (const frame of both[1] ?? []) expect(frame.length).toBeLessThan(520 * 1024);
    // What was folded meanwhile is not overwritten by what was cut before.
    const late = kept.cut();
    write(720, 900);
    kept.fold(Y.encodeStateAsUpdate(doc));
    await late;
    const copy = new Y.Doc();
    apply(copy, kept.frames());
    expect(Buffer.compare(Y.encodeStateAsUpdate(copy), Y.encodeStateAsUpdate(doc))).toBe(0);
  });

  it('is encoded once for all who lack the same', () => {
    const kept = new KeptBytes(new Uint8Array([0, 0]));
    const asked: string[] = [];
    const between = (from: number, to: number): number | undefined =>
      kept.difference(from, to, () => {
        asked.push(`${from}-${to}`);
        return new Uint8Array([from, to]);
      })[0];
    expect([between(3, 9), between(3, 9), between(4, 9), between(4, 10), between(4, 10)]).toEqual([
      3, 3, 4, 4, 4,
    ]);
    expect(asked).toEqual(['3-9', '4-9', '4-10']);
  });

  it('asks to be folded once its tail has grown', () => {
    const doc = newDocument(17);
    const kept = new KeptBytes(Y.encodeStateAsUpdate(doc));
    let count = 0;
    while (!kept.isLong) {
      count++;
      kept.add(
        writeCells(doc, [{ table: 't', record: 'r', field: 'f', cell: ['x'.repeat(500), count, 'w'] }]),
      );
    }
    expect(count).toBeGreaterThan(100);
    kept.fold(Y.encodeStateAsUpdate(doc));
    expect(kept.isLong).toBe(false);
  });
});

describe('somebody who has part of the board', () => {
  it('is given what they lack, or the whole where that is very much; either way they have all of it', async () => {
    const base = await startTestBase();
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper');
    const tablet = await openTablet(base, keeper, toyKind.definition);
    // 21,000 values: more than is encoded for one person.
    for (let edit = 0; edit < 105; edit++) {
      const outcome = tablet.replica.set(
        Array.from({ length: 200 }, (_, shelf) => ({
          table: 'shelves',
          record: `s${shelf}`,
          field: 'width',
          value: edit,
        })),
      );
      if (outcome.kind === 'queued') tablet.link.send(outcome.edit);
    }
    await tablet.settled();
    tablet.close();
    const whole = await documentOf(base, keeper);
    const [[client, clock] = [0, 0]] = Y.decodeStateVector(Y.encodeStateVector(whole));
    const structs = async (from: number): Promise<number[]> => {
      const socket = await openRaw(base, keeper);
      socket.send(syncFrame('stateVector', Y.encodeStateVector(new Map([[client, from]]))));
      await until(() => socket.frames.some((bytes) => bytes[0] === 0 && bytes[1] === 1), 'the difference');
      const clocks = socket.frames.flatMap((bytes) => {
        const frame = readFrame(bytes);
        if (frame?.type !== 'sync') return [];
        return Y.decodeUpdate(frame.bytes).structs.map((struct) => struct.id.clock);
      });
      socket.close();
      return clocks;
    };
    const lately = await structs(clock - 300);
    expect([Math.min(...lately), lately.length]).toEqual([clock - 300, 300]);
    expect(await structs(clock - 300)).toEqual(lately);
    expect(Math.min(...(await structs(1)))).toBe(0);
    expect(Math.min(...(await structs(clock - 20_000)))).toBe(clock - 20_000);
    // Asked for much, and for more before that is encoded, while somebody writes: in the end all is there.
    const socket = await openRaw(base, keeper);
    const writer = await openTablet(base, keeper, toyKind.definition);
    for (const lacks of [6000, 15_000, 19_000]) {
      socket.send(syncFrame('stateVector', Y.encodeStateVector(new Map([[client, clock - lacks]]))));
      writer.set('shelves', `s${lacks}`, 'width', lacks);
    }
    await writer.settled();
    const heard = (): Set<number> =>
      new Set(
        socket.frames.flatMap((bytes) => {
          const frame = readFrame(bytes);
          if (frame?.type !== 'sync') return [];
          return Y.decodeUpdate(frame.bytes).structs.flatMap(({ id, length }) =>
            Array.from({ length }, (_, at) => id.clock + at),
          );
        }),
      );
    const end = Y.getState(writer.replica.doc.store, client);
    await until(() => heard().size === end - (clock - 19_000), 'everything that was lacking');
    writer.close();
    socket.close();
    await base.stop();
  });
});

describe('over a restart', () => {
  it('the board is the same, is written under the same client number, and goes on counting', async () => {
    const base = await startTestBase();
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper');
    const write = async (at: Reachable, value: number): Promise<void> => {
      const tablet = await openTablet(at, keeper, toyKind.definition);
      for (let i = 0; i < 700; i++) tablet.set('shelves', `s${i % 40}`, 'width', value + i);
      await tablet.settled();
      // So many edits at once are not too much for a base that bounds what a socket may send.
      expect(tablet.closes).toEqual([]);
      tablet.close();
    };
    await write(base, 1000);
    const before = await viewOf(base, keeper);
    const again = await base.restart();
    try {
      expect(await viewOf(again, keeper)).toEqual(before);
      await write(again, 2000);
      const doc = await documentOf(again, keeper);
      expect(Y.decodeStateVector(Y.encodeStateVector(doc)).size).toBe(1);
      expect((await viewOf(again, keeper)).shelves?.s39).toEqual({ width: 2679 });
    } finally {
      await again.stop();
    }
  });

  it('who joined while the base died is on the board when it is back', async () => {
    const base = await startTestBase();
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper');
    const token = board.invites.clerk ?? '';
    const invite = await base.accounts.invite(token);
    if (!invite) throw new Error('no invite');
    // Into the accounts, and no further.
    const { person } = await base.accounts.join(invite, 'Lena');
    const again = await base.restart();
    try {
      expect((await viewOf(again, keeper)).people).toMatchObject({
        [person.id]: { name: 'Lena', role: 'clerk' },
      });
    } finally {
      await again.stop();
    }
  });
});

describe('another epoch’s document', () => {
  const epochOf = (client: number, clock: number) => {
    const doc = newDocument(client);
    for (let i = 0; i < clock; i++)
      writeCells(doc, [{ table: 't', record: 'r', field: 'f', cell: [i, i, 'w'] }]);
    return doc;
  };
  const doc = epochOf(5, 3);
  const core = {
    epoch: { id: 'e2', client: 5, fromSeq: 0 },
    doc,
    state: watchDocument(doc, ['t']).state,
    kept: new KeptBytes(Y.encodeStateAsUpdate(doc)),
    encodings: new Map(),
    last: new Map<string, number>(),
    seq: 3,
    snapshotSeq: 0,
  };
  const earlier = new Set([4]);
  const vectorOf = (...entries: [number, number][]) => Y.encodeStateVector(new Map(entries));

  it('is known by its client number, in a question and in an update', () => {
    expect(readQuestion(core, earlier, vectorOf([4, 1]))).toEqual({ kind: 'otherEpoch' });
    expect(judgeBrought(core, earlier, Y.encodeStateAsUpdate(epochOf(4, 2)))).toBe('otherEpoch');
    expect(judgeBrought(core, earlier, Y.encodeStateAsUpdate(epochOf(6, 2)))).toBe('write');
    expect(judgeBrought(core, earlier, Y.encodeStateAsUpdate(doc))).toBe('nothing');
    expect(judgeBrought(core, earlier, new Uint8Array([9]))).toBe('unreadable');
  });

  it('a question says how much of this one’s is there', () => {
    expect(readQuestion(core, earlier, vectorOf())).toEqual({ kind: 'nothing' });
    expect(readQuestion(core, earlier, vectorOf([77, 9]))).toEqual({ kind: 'nothing' });
    expect(readQuestion(core, earlier, vectorOf([5, 2]))).toEqual({ kind: 'has', clock: 2 });
    expect(readQuestion(core, earlier, new Uint8Array([3, 1]))).toEqual({ kind: 'unreadable' });
  });
});

describe('the base’s clock', () => {
  const clockOf = (highest = 0) => {
    const machine = { wall: 1_000_000, monotonic: 50 };
    const clock = new BaseClock({ wall: () => machine.wall, monotonic: () => machine.monotonic }, highest);
    return { machine, clock };
  };

  it('follows the wall forward, over the machine’s sleep too', () => {
    const { machine, clock } = clockOf();
    expect(clock.now()).toBe(1_000_000);
    machine.wall += 3_600_000;
    expect(clock.now()).toBe(4_600_000);
  });

  it('runs on where the wall is set back', () => {
    const { machine, clock } = clockOf();
    expect(clock.now()).toBe(1_000_000);
    machine.wall -= 60_000;
    machine.monotonic += 250;
    expect(clock.now()).toBe(1_000_250);
    machine.monotonic += 1000;
    machine.wall += 1000;
    expect(clock.now()).toBe(1_001_250);
  });

  it('does not run back over a restart: what is decided now is not decided before what was', () => {
    const highest = stampAt(2_000_000) + 9;
    const { machine, clock } = clockOf(highest);
    expect(clock.now()).toBe(2_000_000);
    expect(clock.stamp()).toBe(highest + 1);
    machine.monotonic += 500;
    expect(clock.now()).toBe(2_000_500);
    expect(stampMilliseconds(clock.stamp())).toBe(2_000_500);
  });

  it('gives no stamp twice', () => {
    const { clock } = clockOf();
    const stamps = Array.from({ length: 5000 }, () => clock.stamp());
    expect(new Set(stamps).size).toBe(5000);
    expect(stamps).toEqual([...stamps].sort((a, b) => a - b));
  });
});
