import { stampAt } from '@plumbline/replica';
import { expect, it, vi } from 'vitest';
import { call, viewOf } from '../support/base.ts';
import { openRaw } from '../support/clients.ts';
import { startUnit } from '../support/unit.ts';

/** A document that does not take one value, and is left half written by it. */
vi.mock('@plumbline/replica', async (original) => {
  const replica = await original<typeof import('@plumbline/replica')>();
  return {
    ...replica,
    writeCells: (...[doc, writes]: Parameters<typeof replica.writeCells>) => {
      const update = replica.writeCells(doc, writes);
      if (writes.some(({ cell }) => cell[0] === 'poison')) throw new Error('the document does not take it');
      return update;
    },
  };
});

const setting = (n: number, value: string, record = 's1') => ({
  n,
  stamp: stampAt(Date.now()) + n,
  entries: [{ table: 'shelves', record, field: 'name', value, seen: 0 }],
});

it('an edit that the document does not take is refused once and for all; what came with it is stored', async () => {
  const { base, board, keeper } = await startUnit();
  const socket = await openRaw(base, keeper, 'a');
  const bystander = await openRaw(base, keeper, 'b');
  bystander.edit(setting(1, 'before', 'other'));
  socket.edit(setting(1, 'good'));
  socket.edit(setting(2, 'poison'));
  socket.edit(setting(3, 'better'));
  bystander.edit(setting(2, 'after', 'other'));
  expect(await socket.message('refused')).toMatchObject({ n: 2, code: 'form' });
  expect(await socket.message('stored', ({ n }) => n === 3)).toBeDefined();
  expect(await bystander.message('stored', ({ n }) => n === 2)).toBeDefined();
  expect([socket.isClosed, bystander.isClosed]).toEqual([false, false]);
  expect(socket.messages('stored').map(({ n }) => n)).toEqual([1, 3]);
  expect((await viewOf(base, keeper)).shelves).toMatchObject({
    s1: { name: 'better' },
    other: { name: 'after' },
  });
  // Sent again, it gets the same answer, and whoever joins does not get it.
  socket.edit(setting(2, 'poison'));
  const refusals = () => socket.messages('refused');
  await vi.waitFor(() => expect(refusals()).toHaveLength(2));
  expect(refusals()[1]).toEqual(refusals()[0]);
  const joining = await openRaw(base, keeper, 'c');
  joining.send(new Uint8Array([0, 0, 1, 0]));
  await vi.waitFor(() => expect(joining.frames.some(([type]) => type === 0)).toBe(true));
  expect(Buffer.concat(joining.frames).includes('poison')).toBe(false);
  const figures = String((await call(base, 'GET', '/metrics')).body);
  expect(figures).toMatch(/^plumbline_edits_poisoned_total 1$/m);
  expect(figures).toMatch(/^plumbline_edits_refused_total\{code="form"\} 1$/m);
  expect(board.boardId).not.toBe('');
});
