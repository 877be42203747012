import { CONTESTED, contestId, type Json, readFrame, stampAt } from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import {
  call,
  createBoard,
  joinAs,
  type Member,
  type Reachable,
  startTestBase,
  viewOf,
} from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const entry = (field: string, value: Json, seen = 0, record = 's1') => ({
  table: 'shelves',
  record,
  field,
  value,
  seen,
});
const edit = (n: number, ...entries: ReturnType<typeof entry>[]) => ({
  n,
  stamp: stampAt(Date.now()) + n,
  entries,
});

async function historyOf(base: Reachable, member: Member, query: string): Promise<Record<string, unknown>[]> {
  const { body } = await call(base, 'GET', `/api/boards/${member.boardId}/history?${query}`, {
    token: member.session,
  });
  return (body as { entries: Record<string, unknown>[] }).entries;
}

describe('numbers', () => {
  it('a repeated number gets its first answer, whatever it holds now, and changes nothing', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    socket.edit(edit(1, entry('name', 'first')));
    socket.edit(edit(2, entry('name', 3)));
    await socket.message('stored', ({ n }) => n === 1);
    await socket.message('refused', ({ n }) => n === 2);
    socket.edit(edit(1, entry('name', 'another')));
    socket.edit(edit(2, entry('name', 'a good one now')));
    await until(() => socket.messages('stored').length === 2 && socket.messages('refused').length === 2);
    expect(socket.messages('stored')[1]).toEqual(socket.messages('stored')[0]);
    expect(socket.messages('refused')[1]).toEqual(socket.messages('refused')[0]);
    expect((await viewOf(base, keeper)).shelves?.s1).toEqual({ name: 'first' });
  });

  it('twice the same number in one go is stored once and answered twice', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    const once = edit(1, entry('name', 'once'));
    for (let i = 0; i < 5; i++) socket.edit(once);
    await until(() => socket.messages('stored').length === 5);
    expect(await historyOf(base, keeper, 'table=shelves&record=s1')).toHaveLength(1);
  });

  it('a gap uses nothing up and says where to go on', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    socket.edit(edit(1, entry('name', 'one')));
    socket.edit(edit(4, entry('name', 'four')));
    expect(await socket.message('refused')).toEqual({ n: 4, code: 'gap', last: 1, entries: [] });
    socket.edit(edit(2, entry('name', 'two')));
    await socket.message('stored', ({ n }) => n === 2);
  });

  it('what was answered is remembered over a restart, and so is the writer of a tab', async () => {
    const base = await startTestBase();
    const board = await createBoard(base);
    const keeper = await joinAs(base, board, 'keeper');
    const socket = await openRaw(base, keeper, 'a');
    const { writer } = await socket.message('hello');
    socket.edit(edit(1, entry('name', 'one')));
    socket.edit(edit(2, entry('name', 7)));
    await socket.message('refused');
    const again = await base.restart();
    try {
      const back = await openRaw(again, keeper, 'a');
      expect(await back.message('hello')).toMatchObject({ writer, last: 2 });
      back.edit(edit(2, entry('name', 'x')));
      expect(await back.message('refused')).toMatchObject({ n: 2, code: 'value' });
      const other = await openRaw(again, keeper, 'b');
      expect((await other.message('hello')).writer).not.toBe(writer);
    } finally {
      await again.stop();
    }
  });

  it('what cannot be read is refused without a number', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper, 'a');
    socket.edit({ n: 1, stamp: 1 });
    expect(await socket.message('refused')).toEqual({ n: null, code: 'form', entries: [] });
    socket.edit(edit(1, entry('name', 'still here')));
    await socket.message('stored');
  });
});

describe('rights', () => {
  it('whoever may write nothing is refused everything, and everybody else goes on', async () => {
    const { base, keeper, clerk, guest } = await startUnit();
    const reader = await openTablet(base, clerk, toyKind.definition);
    const socket = await openRaw(base, guest, 'a');
    socket.edit(edit(1, entry('name', 'taken over')));
    expect(await socket.message('refused')).toMatchObject({
      n: 1,
      code: 'right',
      entries: [{ table: 'shelves', record: 's1', field: 'name' }],
    });
    const writer = await openTablet(base, keeper, toyKind.definition);
    writer.set('shelves', 's1', 'name', 'mine');
    await writer.settled();
    await until(() => reader.value('shelves', 's1', 'name') === 'mine');
    expect((await viewOf(base, guest)).shelves?.s1).toEqual({ name: 'mine' });
    reader.close();
    writer.close();
  });

  it('a socket without a tab reads and writes nothing', async () => {
    const { base, keeper } = await startUnit();
    const socket = await openRaw(base, keeper);
    expect(await socket.message('hello')).toMatchObject({ writer: null, last: 0 });
    socket.edit(edit(1, entry('name', 'x')));
    expect(await socket.message('refused')).toMatchObject({ n: 1, code: 'right' });
    expect((await viewOf(base, keeper)).shelves).not.toHaveProperty('s1');
  });

  it('a rule that throws refuses the one edit and harms nobody', async () => {
    const { definition } = toyKind;
    const bomb = {
      name: 'bomb',
      wakes: () => true,
      judge: ({ entry: { value } }: { entry: { value: Json } }) => {
        if (value === 'boom') throw new Error('boom');
        return null;
      },
    };
    const { base, keeper } = await startUnit({
      kind: { ...toyKind, definition: { ...definition, guards: [bomb] } },
    });
    const socket = await openRaw(base, keeper, 'a');
    socket.edit(edit(1, entry('name', 'boom')));
    socket.edit(edit(2, entry('name', 'fine')));
    expect(await socket.message('refused')).toMatchObject({ n: 1, code: 'form' });
    await socket.message('stored', ({ n }) => n === 2);
  });
});

describe('newest wins and nothing vanishes', () => {
  it('an edit that a newer one outran is told what stands, is not on the board and is in the history', async () => {
    const { base, keeper, clerk } = await startUnit();
    const first = await openRaw(base, keeper, 'a');
    first.edit({ n: 1, stamp: stampAt(Date.now()), entries: [entry('width', 5)] });
    await first.message('stored');
    const late = await openRaw(base, clerk, 'b');
    late.edit({ n: 1, stamp: stampAt(Date.now() - 60_000), entries: [entry('width', 4)] });
    expect(await late.message('stored')).toMatchObject({
      n: 1,
      late: [{ entry: 0, stands: [5, expect.any(Number), 'p1-1'] }],
    });
    expect((await viewOf(base, clerk)).shelves?.s1).toEqual({ width: 5 });
    expect(await historyOf(base, clerk, 'table=shelves&record=s1')).toMatchObject([
      { value: 4, previous: 5, late: true, personId: clerk.personId },
      { value: 5, previous: null, late: false, personId: keeper.personId },
    ]);
  });

  it('a value overwritten unseen is kept beside the one that stands, until somebody has seen both', async () => {
    const { base, keeper, clerk } = await startUnit();
    const a = await openTablet(base, keeper, toyKind.definition);
    const b = await openTablet(base, clerk, toyKind.definition);
    a.set('shelves', 's1', 'width', 5);
    await a.settled();
    b.set('shelves', 's1', 'width', 6, 0);
    await b.settled();
    const record = contestId({ table: 'shelves', record: 's1', field: 'width' });
    expect((await viewOf(base, keeper))[CONTESTED]?.[record]).toMatchObject({
      about: { table: 'shelves', record: 's1', field: 'width' },
      stands: [6, expect.any(Number), 'p2-1'],
      other: [5, expect.any(Number), 'p1-1'],
    });
    await until(
      () => a.value('shelves', 's1', 'width') === 6 && a.value(CONTESTED, record, 'about') !== undefined,
    );
    a.set('shelves', 's1', 'width', 5);
    await a.settled();
    expect((await viewOf(base, keeper)).shelves?.s1).toEqual({ width: 5 });
    expect((await viewOf(base, keeper))[CONTESTED]).toEqual({});
    a.close();
    b.close();
  });

  it('what the base derives from an edit is on the board and in the history in its own name', async () => {
    const { base, keeper, clerk } = await startUnit();
    const a = await openTablet(base, keeper, toyKind.definition);
    const b = await openTablet(base, clerk, toyKind.definition);
    a.set('shelves', 's1', 'name', 'north');
    await a.settled();
    await until(() => b.value('shelves', 's1', 'name') === 'north');
    b.set('jars', 's1.1', 'content', 'nails');
    await b.settled();
    expect((await viewOf(base, clerk)).jars?.['s1.1']).toEqual({ content: 'nails', opened: 1 });
    expect(await historyOf(base, clerk, 'table=jars&field=opened')).toMatchObject([
      { writer: 'base', personId: clerk.personId, value: 1, previous: null },
    ]);
    a.close();
    b.close();
  });
});

it('many edits that arrive together are one wait for the disk and one update', async () => {
  const { base, keeper, clerk } = await startUnit();
  const reader = await openRaw(base, clerk);
  reader.send(new Uint8Array([0, 0, 1, 0]));
  await until(() => reader.frames.some(([type]) => type === 0));
  const writer = await openRaw(base, keeper, 'a');
  const before = reader.frames.length;
  writer.socket.pause();
  for (let n = 1; n <= 50; n++) writer.edit(edit(n, entry('width', n)));
  writer.socket.resume();
  await until(() => writer.messages('stored').length === 50);
  await until(() => reader.frames.length > before);
  const updates = reader.frames.slice(before).filter((bytes) => readFrame(bytes)?.type === 'sync');
  expect(updates.length).toBeLessThan(25);
  expect((await viewOf(base, clerk)).shelves?.s1).toEqual({ width: 50 });
});
