import { stampAt } from '@plumbline/replica';
import { expect, it } from 'vitest';
import { call, createBoard, joinAs, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const edit = (n: number, value: string) => ({
  n,
  stamp: stampAt(Date.now()) + n,
  entries: [{ table: 'shelves', record: 's1', field: 'name', value, seen: 0 }],
});

it('a board on which something breaks between deciding and the disk is read again, and harms no other board', async () => {
  // What is derived is written after the decision: here it cannot be encoded.
  const { definition } = toyKind;
  const broken = {
    ...toyKind,
    definition: {
      ...definition,
      derive: (question: Parameters<typeof definition.derive>[0]) =>
        question.written.some(({ value }) => value === 'break')
          ? [{ table: 'shelves', record: 's1', field: 'width', value: 1n as unknown as number }]
          : definition.derive(question),
    },
  };
  const { base, keeper, clerk } = await startUnit({ kind: broken });
  const other = await createBoard(base, 'Other');
  const stranger = await joinAs(base, other, 'keeper');
  const beside = await openTablet(base, stranger, toyKind.definition);
  const reader = await openTablet(base, clerk, toyKind.definition);
  const author = await openRaw(base, keeper, 'a');
  author.edit(edit(1, 'good'));
  await author.message('stored');
  author.edit(edit(2, 'break'));
  author.edit(edit(3, 'after'));
  expect(await author.closed).toBe(1013);
  expect((await viewOf(base, clerk)).shelves?.s1).toEqual({ name: 'good' });
  beside.set('shelves', 's1', 'name', 'untouched');
  await beside.settled();
  const again = await openRaw(base, keeper, 'a');
  expect(await again.message('hello')).toMatchObject({ last: 1 });
  again.edit(edit(2, 'mended'));
  await again.message('stored');
  await until(() => reader.value('shelves', 's1', 'name') === 'mended', 'the reader');
  expect(reader.closes).toEqual([]);
  expect(beside.closes).toEqual([]);
  expect((await call(base, 'GET', '/readyz')).status).toBe(200);
  reader.close();
  beside.close();
});
