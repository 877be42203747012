import {
  type CellWrite,
  type Hello,
  newDocument,
  Replica,
  type ReplicaOptions,
  WIRE_VERSION,
  writeCells,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { randomOf, seedOf } from '../support/random.ts';
import { MORNING, stamp, toy, type toyTables } from '../support/toy.ts';

const SEED = seedOf(20_300_718);
const SHELVES = 1000;
const width = (shelf: number) => ({ table: 'shelves', record: `s${shelf}`, field: 'width' }) as const;

const hello: Hello = { wire: WIRE_VERSION, schema: '', epoch: 'e1', writer: 'p2-1', last: 0, time: MORNING };

type Kept = NonNullable<ReplicaOptions<typeof toyTables>['kept']>;

/** A board that takes several steps to read, as the base has it. */
function board() {
  const base = newDocument(77);
  let at = 0;
  const set = (shelf: number, value: number, writer = 'p3-1'): Uint8Array => {
    const write: CellWrite = { ...width(shelf), cell: [value, stamp(at++), writer] };
    return writeCells(base, [write]);
  };
  const names = Array.from(
    { length: SHELVES },
    (_, shelf): CellWrite => ({
      table: 'shelves',
      record: `s${shelf}`,
      field: 'name',
      cell: [`shelf ${shelf} ${'x'.repeat(20)}`, stamp(at++), 'p1-1'],
    }),
  );
  writeCells(base, names);
  for (let shelf = 0; shelf < 50; shelf++) set(shelf, shelf);
  return {
    base,
    set,
    kept: (): Kept => ({ updates: [Y.encodeStateAsUpdate(base)], outbox: null, tray: [] }),
  };
}

const replicaOf = (kept: Kept): Replica<typeof toyTables> =>
  new Replica({ definition: toy, now: () => MORNING + 60_000, person: { id: 'p2', role: 'clerk' }, kept });

/** Reads a replica's document step by step; what it is given is done before each step. */
async function readBy(replica: Replica<typeof toyTables>, before: (step: number) => void): Promise<number> {
  let steps = 0;
  await replica.read(async () => before(++steps));
  return steps;
}

describe('a replica whose document is not read yet', () => {
  it('shows the board, takes edits against it, and shows the same when it is read', async () => {
    const { kept, base } = board();
    const replica = replicaOf({ ...kept(), outbox: { writer: 'p2-1', next: 1, pending: [] } });
    expect(replica.isRead.value).toBe(false);
    expect(replica.board.records('shelves').length).toBe(SHELVES);
    const before = replica.board.value('shelves', 's7', 'width');
    const outcome = replica.set([{ ...width(7), value: 70 }]);
    // made by somebody who has seen what stands, and later than it
    const [, seen] = replica.doc.getMap('shelves').get('s7/width') as [number, number];
    expect(before).toBe(7);
    expect(outcome).toMatchObject({ kind: 'queued', edit: { n: 1, entries: [{ value: 70, seen }] } });
    expect(replica.isRead.value).toBe(true);

    const other = replicaOf({ ...kept(), outbox: replica.outbox.value });
    expect(other.board.value('shelves', 's7', 'width')).toBe(70);
    expect(other.waiting.value).toBe(1);
    const told: unknown[] = [];
    other.hear((update) => told.push(update));
    expect(await readBy(other, () => {})).toBeGreaterThan(2);
    expect(other.isRead.value).toBe(true);
    expect(told).toEqual([]);
    expect(other.board.value('shelves', 's7', 'width')).toBe(70);
    expect(other.shown.cell('shelves', 's8', 'width')).toEqual([8, expect.any(Number), 'p3-1']);
    expect(Y.encodeStateAsUpdate(other.doc)).toEqual(Y.encodeStateAsUpdate(base));
    expect(other.greeted(hello).map((edit) => edit.n)).toEqual([1]);
  });

  it('gives what was kept where the whole of it is asked for, and the document once it is read', () => {
    const { kept, base } = board();
    const { updates } = kept();
    const replica = replicaOf(kept());
    expect(replica.updates).toEqual(updates);
    expect(replica.isRead.value).toBe(false);
    replica.doc.getMap('shelves');
    expect(replica.updates).toEqual([Y.encodeStateAsUpdate(base)]);
  });

  it('has what comes between two steps of reading, tells it once, and lets its own value go only then', async () => {
    const { kept, set } = board();
    const replica = replicaOf({ ...kept(), outbox: { writer: 'p2-1', next: 1, pending: [] } });
    const told: Uint8Array[] = [];
    replica.hear((update) => told.push(update));
    replica.set([{ ...width(3), value: 33 }]);
    const seen: unknown[] = [];
    await readBy(replica, (step) => {
      if (step !== 2) return;
      replica.receive(set(4, 44));
      seen.push(replica.board.value('shelves', 's4', 'width'), replica.board.value('shelves', 's3', 'width'));
      replica.receive(set(3, 33, 'p2-1'));
      replica.stored({ n: 1 });
      seen.push(replica.board.value('shelves', 's3', 'width'));
    });
    expect(seen).toEqual([44, 33, 33]);
    expect([replica.isRead.value, told.length, replica.waiting.value]).toEqual([true, 2, 0]);
  });

  it('is one of several writers’ where Yjs alone can read that, and shows it all the same', () => {
    const { base } = board();
    const two = newDocument(2);
    Y.applyUpdate(two, Y.encodeStateAsUpdate(base));
    writeCells(two, [{ ...width(3), cell: [333, stamp(900), 'p4-1'] }]);
    const replica = replicaOf({ updates: [Y.encodeStateAsUpdate(two)], outbox: null, tray: [] });
    expect([replica.isRead.value, replica.board.value('shelves', 's3', 'width')]).toEqual([true, 333]);
  });

  it(`shows at every moment what one shows that read it at once, whatever happens when (seed ${SEED})`, async () => {
    const random = randomOf(SEED);
    for (let turn = 0; turn < 8; turn++) {
      const { kept, set } = board();
      const outbox = { writer: 'p2-1', next: 1, pending: [] };
      const late = replicaOf({ ...kept(), outbox });
      const early = replicaOf({ ...kept(), outbox });
      early.doc.getMap('shelves');
      const both = [late, early] as const;
      const unanswered: { n: number; shelf: number; value: number }[] = [];
      const act = (): void => {
        const shelf = random.below(60);
        const value = random.below(1000);
        const kind = random.next();
        if (kind < 0.5) {
          const [outcome] = both.map((replica) => replica.set([{ ...width(shelf), value }]));
          if (outcome?.kind === 'queued') unanswered.push({ n: outcome.edit.n, shelf, value });
        } else if (kind < 0.75) {
          const update = set(shelf, value);
          for (const replica of both) replica.receive(update);
        } else {
          const next = unanswered.shift();
          if (!next) return;
          const update = set(next.shelf, next.value, 'p2-1');
          for (const replica of both) {
            replica.receive(update);
            replica.stored({ n: next.n });
          }
        }
      };
      const compare = (): void => {
        const [a, b] = both.map((replica) =>
          Array.from({ length: 60 }, (_, shelf) => [
            replica.board.value('shelves', `s${shelf}`, 'width'),
            replica.shown.cell('shelves', `s${shelf}`, 'width')?.[0],
          ]),
        );
        expect(a).toEqual(b);
        expect(late.waiting.value).toBe(early.waiting.value);
      };
      const quiet = random.below(4);
      for (let count = 0; count < quiet; count++) {
        const shelf = random.below(60);
        const [outcome] = both.map((replica) => replica.set([{ ...width(shelf), value: 5000 + count }]));
        if (outcome?.kind === 'queued') unanswered.push({ n: outcome.edit.n, shelf, value: 5000 + count });
        compare();
      }
      await readBy(late, () => {
        if (random.next() < 0.4) act();
        compare();
      });
      for (let count = 0; count < 10; count++) act();
      compare();
      expect(Y.encodeStateAsUpdate(late.doc)).toEqual(Y.encodeStateAsUpdate(early.doc));
    }
  });
});
