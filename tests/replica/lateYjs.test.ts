import {
  ClockOffset,
  Link,
  messageFrame,
  newDocument,
  Replica,
  readFrame,
  type SocketEvents,
  syncFrame,
  WIRE_VERSION,
  writeCells,
} from '@plumbline/replica';
import { expect, it, vi } from 'vitest';
import * as Y from 'yjs';
import { until } from '../support/clients.ts';
import { MORNING, stamp, toy } from '../support/toy.ts';

const coming = vi.hoisted(() => {
  let come = (): void => {};
  const whenLet = new Promise<void>((resolve) => {
    come = resolve;
  });
  return { whenLet, come: () => come() };
});
// as the page has it: Yjs is fetched after the board is shown, and here comes when it is let
vi.mock('../../packages/replica/src/yjs.ts', async () => {
  const late = await import('../../packages/replica/src/yjsLate.ts');
  return {
    ...late,
    loadYjs: async () => {
      await coming.whenLet;
      await late.loadYjs();
    },
  };
});

const width = { table: 'shelves', record: 's1', field: 'width' } as const;

it('shows a board before Yjs is here, keeps what is set on it, and takes in what the base says once it has come', async () => {
  const base = newDocument(77);
  writeCells(base, [{ ...width, cell: [1, stamp(0), 'p3-1'] }]);
  const two = newDocument(78);
  Y.applyUpdate(two, Y.encodeStateAsUpdate(base));
  writeCells(two, [{ ...width, cell: [2, stamp(1), 'p3-1'] }]);
  const of = (updates: readonly Uint8Array[]) =>
    new Replica({
      definition: toy,
      now: () => MORNING + 60_000,
      person: { id: 'p2', role: 'clerk' },
      kept: { updates, outbox: { writer: 'p2-1', next: 1, pending: [] }, tray: [] },
    });
  const replica = of([Y.encodeStateAsUpdate(base)]);
  const hidden = of([Y.encodeStateAsUpdate(two)]);
  expect(replica.board.value('shelves', 's1', 'width')).toBe(1);
  // of several writers: only Yjs can make sense of it
  expect(hidden.board.value('shelves', 's1', 'width')).toBeUndefined();
  expect(replica.set([{ ...width, value: 5 }]).kind).toBe('queued');
  expect(() => replica.doc).toThrow('not here yet');
  expect(replica.updates).toEqual([Y.encodeStateAsUpdate(base)]);

  let events: SocketEvents | null = null;
  const sent: string[] = [];
  const link = new Link({
    replica,
    clock: new ClockOffset(),
    epoch: () => 'e1',
    onEpoch: () => {},
    ports: {
      open: (given) => {
        events = given;
        return { send: (bytes) => sent.push(readFrame(bytes)?.type ?? 'none'), close: () => {} };
      },
      after: () => () => {},
      now: () => MORNING,
      random: () => 0,
    },
  });
  link.connect();
  const say = (frame: Uint8Array): void => events?.received(frame);
  const greeting = { wire: WIRE_VERSION, schema: '', epoch: 'e1', writer: 'p2-1', last: 0, time: MORNING };
  say(messageFrame('hello', greeting));
  say(syncFrame('update', writeCells(base, [{ ...width, cell: [5, stamp(60_000), 'p2-1'] }])));
  say(messageFrame('stored', { n: 1 }));
  await new Promise((resolve) => setTimeout(resolve, 20));
  expect([link.status.value.kind, sent, replica.waiting.value]).toEqual(['connecting', [], 1]);
  expect(replica.board.value('shelves', 's1', 'width')).toBe(5);

  coming.come();
  await until(() => link.status.value.kind === 'live', 'the greeting');
  await until(() => replica.waiting.value === 0, 'the answer');
  expect(sent).toContain('edit');
  expect(replica.board.value('shelves', 's1', 'width')).toBe(5);
  expect(Y.encodeStateAsUpdate(replica.doc)).toEqual(Y.encodeStateAsUpdate(base));
  await until(() => hidden.isRead.value, 'what Yjs alone can read');
  expect(hidden.board.value('shelves', 's1', 'width')).toBe(2);
});
