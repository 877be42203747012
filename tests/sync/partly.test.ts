import { type Batch, type Log, PartlyAppended } from '@plumbline/base';
import { stampAt } from '@plumbline/replica';
import { expect, it, onTestFinished } from 'vitest';
import { createBoard, joinAs, startTestBase, viewOf } from '../support/base.ts';
import { openRaw, until } from '../support/clients.ts';
import { FaultyLog } from '../support/faultyLog.ts';

/** A log in which one board of a turn may fail by itself. */
class PartlyFailing extends FaultyLog {
  failing: string | null = null;
  readonly boards: string[][] = [];

  override async append(batches: readonly Batch[]): Promise<void> {
    const { failing } = this;
    this.boards.push(batches.map(({ board }) => board));
    const fine = batches.filter(({ board }) => board !== failing);
    await super.append(fine);
    if (failing === null || fine.length === batches.length) return;
    throw new PartlyAppended(new Map([[failing, new Error('another node has written')]]));
  }
}

const setting = (n: number, value: string) => ({
  n,
  stamp: stampAt(Date.now()) + n,
  entries: [{ table: 'shelves', record: 's1', field: 'name', value, seen: 0 }],
});

it('of boards stored in one turn only the one that failed is told so; the others go on as stored', async () => {
  let log: PartlyFailing | null = null;
  const base = await startTestBase({
    wrapLog: (inner: Log) => {
      log = new PartlyFailing(inner);
      return log;
    },
  });
  onTestFinished(base.stop);
  const keepers = [];
  for (const _ of [1, 2]) keepers.push(await joinAs(base, await createBoard(base), 'keeper'));
  const [sound, failing] = keepers;
  const faulty = log as PartlyFailing | null;
  if (!sound || !failing || !faulty) throw new Error('no boards');
  const both = [await openRaw(base, sound, 'a'), await openRaw(base, failing, 'b')] as const;
  const [one, other] = both;
  // While the first edits of both are held, the second ones come; so these are decided in one turn.
  faulty.fault = 'hold';
  const before = faulty.boards.length;
  for (const socket of both) socket.edit(setting(1, 'first'));
  await until(() => faulty.boards.slice(before).flat().length === 2, 'the first turn of both');
  for (const socket of both) {
    socket.edit(setting(2, 'second'));
    socket.send(new Uint8Array([104, 8, ...new TextEncoder().encode('{"t0":1}')]));
    await socket.message('clock');
  }
  faulty.failing = failing.boardId;
  faulty.release();
  await one.message('stored', ({ n }) => n === 2);
  expect(faulty.boards.at(-1)?.toSorted()).toEqual([sound.boardId, failing.boardId].toSorted());
  expect(await other.closed).toBe(1013);
  expect((await viewOf(base, sound)).shelves?.s1?.name).toBe('second');
  expect((await viewOf(base, failing)).shelves?.s1?.name).toBe('first');
});
