import {
  type Log,
  LogConflict,
  type LogRow,
  MAX_HISTORY,
  type Outcome,
  PartlyAppended,
} from '@plumbline/base';
import { CONTESTED, contestId, type Edit, type Json, stampAt } from '@plumbline/replica';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { seedOf } from '../support/random.ts';
import { MORNING } from '../support/toy.ts';

/** A log under test. */
export interface LogUnderTest {
  readonly log: Log;
  /** Ends the process's hold on the log and opens it again, as after a restart; absent where nothing survives one. */
  readonly reopen?: () => Promise<Log>;
  readonly close: () => Promise<void>;
}

export const bytes = (...values: number[]): Uint8Array => new Uint8Array(values);

/** An edit that sets one value of the toy board. */
export function setting(n: number, value: Json, table = 'shelves', record = 's1', field = 'name'): Edit {
  return { n, stamp: stampAt(MORNING) + n, entries: [{ table, record, field, value, seen: 0 }] };
}

const plain = (entries: number): Outcome => ({
  kind: 'stored',
  late: [],
  previous: Array.from({ length: entries }, () => null),
  derived: [],
});

/** A row that stores one value. */
export function rowOf(seq: number, writer: string, n: number, changes: Partial<LogRow> = {}): LogRow {
  const edit = changes.edit ?? setting(n, `value ${seq}`);
  return {
    seq,
    at: MORNING + seq,
    person: 'p1',
    writer,
    n,
    stamp: stampAt(MORNING) + seq,
    edit,
    outcome: plain(edit.entries.length),
    update: bytes(seq & 255, 1, 2),
    ...changes,
  };
}

/** Why a board was not appended to, said for it alone or for all. */
function conflictOf(error: unknown, board: string): unknown {
  return error instanceof PartlyAppended ? error.failed.get(board) : error;
}

/** What every log must do, whatever it is made of. */
export function logContract(name: string, open: () => Promise<LogUnderTest>): void {
  describe(`${name} keeps the promises of a log`, () => {
    let under: LogUnderTest;
    let log: Log;
    beforeEach(async () => {
      under = await open();
      log = under.log;
    });
    afterEach(() => under.close());

    const append = (board: string, ...rows: LogRow[]): Promise<void> =>
      log.append([{ board, epoch: 'e1', rows }]);
    const reopened = async (): Promise<Log> => (await under.reopen?.()) ?? log;

    it('rows come back as they were given, in order, board by board', async () => {
      const first = rowOf(1, 'p1-1', 1);
      const refused = rowOf(2, 'p2-1', 1, {
        outcome: {
          kind: 'refused',
          code: 'right',
          entries: [
            { table: 'shelves', record: 's1', field: 'name', reason: 'Your role does not write this field.' },
          ],
        },
        update: null,
        person: null,
      });
      const late = rowOf(3, 'p1-1', 2, {
        outcome: {
          kind: 'stored',
          late: [{ entry: 0, stands: [{ deep: [1, null] }, 5, 'p2-1'] }],
          previous: [[{ deep: [1, null] }, 5, 'p2-1']],
          derived: [{ table: 'jars', record: 's1.1', field: 'opened', value: 3, previous: [2, 4, 'base'] }],
        },
        update: bytes(),
      });
      await log.append([
        { board: 'b1', epoch: 'e1', rows: [first, refused] },
        { board: 'b2', epoch: 'e9', rows: [first] },
      ]);
      await append('b1', late);
      const again = await reopened();
      expect(await again.read('b1', 0, 10)).toEqual([first, refused, late]);
      expect(await again.read('b1', 1, 1)).toEqual([refused]);
      expect(await again.read('b1', 3, 10)).toEqual([]);
      expect(await again.read('b2', 0, 10)).toEqual([first]);
      expect(await again.read('b3', 0, 10)).toEqual([]);
    });

    it('what the caller does with its bytes afterwards changes nothing', async () => {
      const update = bytes(7, 7, 7);
      await append('b1', rowOf(1, 'p1-1', 1, { update }));
      update.fill(0);
      expect((await log.read('b1', 0, 1))[0]?.update).toEqual(bytes(7, 7, 7));
    });

    it.each([
      ['a row left out', [rowOf(3, 'p1-1', 2)]],
      ['a row again', [rowOf(1, 'p1-1', 2)]],
      ['a gap within', [rowOf(2, 'p1-1', 2), rowOf(4, 'p1-1', 3)]],
    ])('%s is refused, and nothing of it stays', async (_, rows) => {
      await append('b1', rowOf(1, 'p1-1', 1));
      await expect(
        log.append([
          { board: 'b0', epoch: 'e1', rows: [rowOf(1, 'p1-1', 1)] },
          { board: 'b1', epoch: 'e1', rows },
        ]),
      ).rejects.toSatisfy((error) => conflictOf(error, 'b1') instanceof LogConflict);
      const again = await reopened();
      expect(await again.end('b1')).toEqual({ seq: 1, stamp: rowOf(1, '', 1).stamp });
      expect(await again.read('b1', 1, 10)).toEqual([]);
      await again.append([{ board: 'b1', epoch: 'e1', rows: [rowOf(2, 'p1-1', 2)] }]);
      expect((await again.end('b1')).seq).toBe(2);
    });

    it('one writer’s number is never stored twice', async () => {
      await append('b1', rowOf(1, 'p1-1', 1));
      await expect(append('b1', rowOf(2, 'p1-1', 1))).rejects.toThrow();
      expect((await log.end('b1')).seq).toBe(1);
      await append('b1', rowOf(2, 'p1-2', 1));
    });

    it('it knows each writer’s last number, and what each was answered', async () => {
      const refusal: Outcome = { kind: 'refused', code: 'guard', entries: [] };
      await append(
        'b1',
        rowOf(1, 'p1-1', 1),
        rowOf(2, 'p2-1', 1),
        rowOf(3, 'p1-1', 2, { outcome: refusal, update: null }),
      );
      await append('b2', rowOf(1, 'p1-1', 1));
      const again = await reopened();
      expect(await again.lastAnswered('b1')).toEqual(
        new Map([
          ['p1-1', 2],
          ['p2-1', 1],
        ]),
      );
      expect(await again.answer('b1', 'p1-1', 1)).toEqual({ stamp: setting(1, '').stamp, outcome: plain(1) });
      expect((await again.answer('b1', 'p1-1', 2))?.outcome).toEqual(refusal);
      expect(await again.answer('b1', 'p1-1', 3)).toBeNull();
      expect(await again.answer('b2', 'p2-1', 1)).toBeNull();
    });

    it('it knows its ends and the highest stamp of all', async () => {
      expect(await log.highestStamp()).toBe(0);
      expect(await log.end('b1')).toEqual({ seq: 0, stamp: 0 });
      await append('b1', rowOf(1, 'p1-1', 1), rowOf(2, 'p1-1', 2));
      await append('b2', rowOf(1, 'p1-1', 1, { stamp: stampAt(MORNING) + 700 }));
      const again = await reopened();
      expect(await again.end('b1')).toEqual({ seq: 2, stamp: stampAt(MORNING) + 2 });
      expect(await again.highestStamp()).toBe(stampAt(MORNING) + 700);
    });

    it('a snapshot comes back as it was given, the newest of its epoch, and two are kept', async () => {
      expect(await log.snapshot('b1', 'e1')).toBeNull();
      const keep = (epoch: string, seq: number) =>
        log.saveSnapshot('b1', { epoch, seq, bytes: bytes(seq, seq) });
      await keep('e1', 1);
      await keep('e1', 2);
      await keep('e1', 3);
      await keep('e2', 9);
      await log.saveSnapshot('b2', { epoch: 'e1', seq: 8, bytes: bytes() });
      const again = await reopened();
      expect(await again.snapshot('b1', 'e1')).toEqual({ epoch: 'e1', seq: 3, bytes: bytes(3, 3) });
      expect(await again.snapshot('b1', 'e2')).toEqual({ epoch: 'e2', seq: 9, bytes: bytes(9, 9) });
      expect(await again.snapshot('b2', 'e1')).toEqual({ epoch: 'e1', seq: 8, bytes: bytes() });
    });

    it('it can say that it can be written', async () => {
      await expect(log.probe()).resolves.toBeUndefined();
    });

    describe('history', () => {
      const named = (seq: number, n: number, value: Json, field = 'name', record = 's1') =>
        rowOf(seq, 'p1-1', n, { edit: setting(n, value, 'shelves', record, field) });

      it('tells who set what, from what, newest first', async () => {
        await append('b1', named(1, 1, 'north'), {
          ...named(2, 2, 'south'),
          outcome: { kind: 'stored', late: [], previous: [['north', 1, 'p9-1']], derived: [] },
        });
        const common = {
          person: 'p1',
          writer: 'p1-1',
          table: 'shelves',
          record: 's1',
          field: 'name',
          late: false,
        };
        expect(await (await reopened()).history('b1', { limit: 10 })).toEqual([
          { ...common, seq: 2, at: MORNING + 2, value: 'south', previous: 'north' },
          { ...common, seq: 1, at: MORNING + 1, value: 'north', previous: null },
        ]);
      });

      it('marks what came too late, names what the base derived, and leaves out what was refused', async () => {
        await append(
          'b1',
          rowOf(1, 'p1-1', 1, {
            outcome: {
              kind: 'stored',
              late: [{ entry: 0, stands: ['newer', 9, 'p2-1'] }],
              previous: [['newer', 9, 'p2-1']],
              derived: [{ table: 'jars', record: 's1.1', field: 'opened', value: 1, previous: null }],
            },
          }),
          rowOf(2, 'p1-1', 2, { outcome: { kind: 'refused', code: 'right', entries: [] }, update: null }),
        );
        const entries = await log.history('b1', { limit: 10 });
        expect(entries.map(({ writer, field, late, previous }) => [writer, field, late, previous])).toEqual([
          ['base', 'opened', false, null],
          ['p1-1', 'name', true, 'newer'],
        ]);
      });

      it('picks by table, record and field, and turns pages by row', async () => {
        for (let seq = 1; seq <= 12; seq++) {
          await append('b1', named(seq, seq, seq, seq % 2 ? 'name' : 'width', seq % 3 ? 's1' : 's2'));
        }
        const seqs = async (query: Omit<Parameters<Log['history']>[1], 'limit'>, limit = 100) =>
          (await log.history('b1', { ...query, limit })).map(({ seq }) => seq);
        expect(await seqs({})).toEqual([12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]);
        expect(await seqs({ table: 'shelves', record: 's2' })).toEqual([12, 9, 6, 3]);
        expect(await seqs({ record: 's2' })).toEqual([12, 9, 6, 3]);
        expect(await seqs({ table: 'shelves', record: 's2', field: 'name' })).toEqual([9, 3]);
        expect(await seqs({ table: 'shelves', field: 'name' })).toEqual([11, 9, 7, 5, 3, 1]);
        expect(await seqs({ field: 'name', before: 7 })).toEqual([5, 3, 1]);
        expect(await seqs({ table: 'shelves', before: 7 }, 2)).toEqual([6, 5]);
        expect(await seqs({ table: 'jars' })).toEqual([]);
        expect(await log.history('b2', { limit: 5 })).toEqual([]);
      });

      it('never cuts a row in two, so that no page hides what another promised', async () => {
        const wide = (seq: number, width: number): LogRow => {
          const entries = Array.from({ length: width }, (_, index) => ({
            table: 'shelves',
            record: `r${index}`,
            field: 'name',
            value: index,
            seen: 0,
          }));
          return rowOf(seq, 'p1-1', seq, { edit: { n: seq, stamp: seq, entries }, outcome: plain(width) });
        };
        await append('b1', wide(1, 2), wide(2, 200), wide(3, 3));
        for (const table of [undefined, 'shelves']) {
          expect((await log.history('b1', { table, limit: 4 })).map(({ seq }) => seq)).toEqual([3, 3, 3]);
          expect(await log.history('b1', { table, limit: 4, before: 3 })).toHaveLength(200);
          expect(await log.history('b1', { table, limit: 4, before: 2 })).toHaveLength(2);
          expect(await log.history('b1', { table, limit: MAX_HISTORY })).toHaveLength(205);
        }
      });

      it('tells of the notes on contested values only to who asks for them', async () => {
        const record = contestId({ table: 'shelves', record: 's1', field: 'name' });
        await append(
          'b1',
          rowOf(1, 'p1-1', 1, {
            outcome: {
              kind: 'stored',
              late: [],
              previous: [null],
              derived: [{ table: CONTESTED, record, field: 'about', value: null, previous: null }],
            },
          }),
        );
        expect((await log.history('b1', { limit: 9 })).map(({ table }) => table)).toEqual(['shelves']);
        expect((await log.history('b1', { table: CONTESTED, limit: 9 })).map(({ table }) => table)).toEqual([
          CONTESTED,
        ]);
      });
    });

    it(`any sequence of batches is kept as a plain list would keep it (seed ${seedOf(20_300_601)})`, async () => {
      const batch = fc.array(
        fc.record({ board: fc.constantFrom('x', 'y', 'z'), writers: fc.array(fc.nat(3), { maxLength: 4 }) }),
        {
          maxLength: 8,
        },
      );
      let run = 0;
      await fc.assert(
        fc.asyncProperty(batch, async (batches) => {
          run++;
          const model = new Map<string, LogRow[]>();
          for (const { board, writers } of batches) {
            const id = `${board}${run}`;
            const kept = model.get(id) ?? [];
            const rows = writers.map((writer, index) => {
              const name = `p${writer}-1`;
              const n = [
                ...kept,
                ...writers.slice(0, index).map((each) => ({ writer: `p${each}-1` })),
              ].filter((row) => row.writer === name).length;
              return rowOf(kept.length + 1 + index, name, n + 1);
            });
            await log.append([{ board: id, epoch: 'e1', rows }]);
            model.set(id, [...kept, ...rows]);
          }
          for (const [id, rows] of model) {
            expect(await log.read(id, 0, 1000)).toEqual(rows);
            expect((await log.end(id)).seq).toBe(rows.length);
          }
        }),
        { numRuns: 30, seed: seedOf(20_300_601) },
      );
    });
  });
}
