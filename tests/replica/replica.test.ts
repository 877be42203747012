import {
  type CellWrite,
  type Hello,
  newDocument,
  noticeKey,
  Overlay,
  Replica,
  type ReplicaOptions,
  setAt,
  stampAt,
  WIRE_VERSION,
  writeCells,
} from '@plumbline/replica';
import { effect } from '@preact/signals-core';
import { beforeEach, describe, expect, it } from 'vitest';
import { board, cell, MORNING, stamp, toy, type toyTables } from '../support/toy.ts';

const hello = (writer = 'p2-1', last = 0): Hello => ({
  wire: WIRE_VERSION,
  schema: 'toy',
  epoch: 'e1',
  writer,
  last,
  time: MORNING,
});

let time = MORNING;
let base = newDocument(77);
const width = { table: 'shelves', record: 's1', field: 'width' } as const;

/** A clerk's replica that the base has greeted. */
function clerkReplica(kept?: ReplicaOptions<typeof toyTables>['kept']): Replica<typeof toyTables> {
  return new Replica({
    definition: toy,
    now: () => time,
    person: { id: 'p2', role: 'clerk' },
    ...(kept && { kept }),
  });
}

/** What the base would send for a cell set by somebody else. */
function fromBase(value: number, milliseconds: number, writer = 'p3-1'): Uint8Array {
  const write: CellWrite = { ...width, cell: [value, stamp(milliseconds), writer] };
  return writeCells(base, [write]);
}

describe('a replica', () => {
  let replica: Replica<typeof toyTables>;
  beforeEach(() => {
    time = MORNING;
    base = newDocument(77);
    replica = clerkReplica();
    const [address, shelf] = cell('shelves', 's1', 'name', 'north');
    replica.receive(writeCells(base, [{ ...address, cell: shelf }]));
    replica.greeted(hello());
  });

  it('shows its own value at once and keeps it until the base has answered', () => {
    expect(replica.set([{ ...width, value: 3 }]).kind).toBe('queued');
    expect(replica.board.value('shelves', 's1', 'width')).toBe(3);
    expect(replica.waiting.value).toBe(1);
    replica.receive(fromBase(3, 0, 'p2-1'));
    replica.stored({ n: 1 });
    expect([replica.board.value('shelves', 's1', 'width'), replica.waiting.value]).toEqual([3, 0]);
  });

  it('names the stamp that the person had on screen', () => {
    replica.receive(fromBase(5, 40));
    time = MORNING + 50;
    const outcome = replica.set([{ ...width, value: 6 }]);
    expect(outcome).toMatchObject({ edit: { entries: [{ seen: stamp(40) }] } });
    expect(outcome.kind === 'queued' && outcome.edit.stamp).toBeGreaterThan(stamp(40));
  });

  it('does not send a value that already stands', () => {
    replica.receive(fromBase(5, 60));
    time = MORNING + 70;
    expect(replica.set([{ ...width, value: 5 }]).kind).toBe('unchanged');
    expect(replica.set([{ table: 'shelves', record: 's1', field: 'sealed', value: null }]).kind).toBe(
      'unchanged',
    );
  });

  it('refuses what the base would refuse, and queues nothing', () => {
    const outcome = replica.set([{ ...width, value: -1 }]);
    expect(outcome).toMatchObject({ kind: 'refused', decision: { code: 'value' } });
    expect(replica.waiting.value).toBe(0);
    expect(replica.set([{ table: 'shelves', record: 's1', field: 'name', value: 'x' }])).toMatchObject({
      decision: { code: 'right' },
    });
  });

  it('does not hide a newer value under its own older one, and tells what it outran', () => {
    const before = replica.set([{ ...width, value: 6 }]);
    replica.receive(fromBase(9, 500));
    expect(replica.board.value('shelves', 's1', 'width')).toBe(9);
    replica.stored({ n: 1, late: [{ entry: 0, stands: [9, stamp(500), 'p3-1'] }] });
    const [notice] = replica.late.value;
    expect(notice).toMatchObject({ ...width, mine: 6, stands: [9, stamp(500), 'p3-1'] });
    expect(before.kind).toBe('queued');
    expect(notice && [noticeKey(notice), setAt(notice.stands)]).toEqual([
      `shelves/s1/width@${stamp(500)}`,
      MORNING + 500,
    ]);
    // one touch puts it back: an ordinary edit by somebody who has seen what stands
    time = MORNING + 600;
    expect(replica.set([{ ...width, value: 6, seen: stamp(500) }])).toMatchObject({
      edit: { entries: [{ value: 6, seen: stamp(500) }] },
    });
    if (notice) replica.dropLate(notice);
    expect(replica.late.value).toEqual([]);
  });

  it('puts a refused edit into the tray with its reason, and goes on with the next', () => {
    replica.set([{ ...width, value: 6 }]);
    replica.set([{ ...width, value: 7 }]);
    replica.refused({ n: 1, code: 'guard', entries: [{ ...width, reason: 'Not now.' }] });
    expect(replica.tray.value).toMatchObject([
      { code: 'guard', edit: { n: 1 }, reasons: [{ reason: 'Not now.' }] },
    ]);
    expect(replica.waiting.value).toBe(1);
    expect(replica.board.value('shelves', 's1', 'width')).toBe(7);
    replica.stored({ n: 1 });
    expect(replica.waiting.value).toBe(1);
    const [item] = replica.tray.value;
    if (item) replica.dropFromTray(item);
    expect(replica.tray.value).toEqual([]);
  });

  it('sends everything unanswered again after a reconnect, with the same numbers', () => {
    replica.set([{ ...width, value: 6 }]);
    replica.set([{ ...width, value: 7 }]);
    expect(replica.greeted(hello('p2-1', 1)).map((edit) => edit.n)).toEqual([1, 2]);
    replica.set([{ ...width, value: 8 }]);
    expect(replica.outbox.value?.pending.map((edit) => edit.n)).toEqual([1, 2, 3]);
  });

  it('numbers anew what the base never heard of', () => {
    replica.set([{ ...width, value: 6 }]);
    replica.stored({ n: 1 });
    replica.set([{ ...width, value: 7 }]);
    expect(replica.greeted(hello('p2-1', 0)).map((edit) => edit.n)).toEqual([1]);
    expect(replica.refused({ n: 9, code: 'gap', last: 4, entries: [] }).map((edit) => edit.n)).toEqual([1]);
  });

  it('offers what was made under another writer’s name instead of sending it', () => {
    replica.set([{ ...width, value: 6 }]);
    expect(replica.greeted(hello('p2-9', 0))).toEqual([]);
    expect(replica.tray.value).toMatchObject([{ code: 'unsent', edit: { entries: [{ value: 6 }] } }]);
    expect(replica.board.value('shelves', 's1', 'width')).not.toBe(6);
  });

  it('goes on from what an earlier run kept on the device', () => {
    replica.set([{ ...width, value: 6 }]);
    const again = clerkReplica({ updates: [], outbox: replica.outbox.value, tray: [] });
    expect(again.board.value('shelves', 's1', 'width')).toBe(6);
    expect(again.set([{ ...width, value: 7 }])).toMatchObject({ kind: 'queued', edit: { n: 2 } });
  });

  it('cannot be written before the base has ever greeted it', () => {
    expect(() => clerkReplica().set([{ ...width, value: 6 }])).toThrow(/greeted/);
  });

  it('offers all that was never answered when its document is set aside', () => {
    replica.set([{ ...width, value: 6 }]);
    expect(replica.unanswered()).toMatchObject([{ code: 'unsent', edit: { entries: [{ value: 6 }] } }]);
  });
});

describe('records under a part of their ids', () => {
  const state = board(
    cell('shelves', 's1', 'name', 'north'),
    cell('jars', 's1.1', 'content', 'salt'),
    cell('jars', 's1.2', 'content', null),
    cell('jars', 's10.1', 'content', 'rye'),
  );

  it('are those that exist and begin with it, and no others', () => {
    expect([...state.records('jars', 's1')]).toEqual(['s1.1']);
    expect([...state.records('jars', 's2')]).toEqual([]);
    expect([...state.records('shelves', 's1')]).toEqual([]);
    expect([...state.records('jars')].sort()).toEqual(['s1.1', 's10.1']);
  });

  it('count in what lies over the board', () => {
    const [[emptied, none], [filled, salt], [fresh, oats]] = [
      cell('jars', 's1.1', 'content', null, 5),
      cell('jars', 's1.2', 'content', 'salt', 5),
      cell('jars', 's1.3', 'content', 'oats', 5),
    ];
    const over = new Overlay(state, [
      [emptied, none],
      [filled, salt],
      [fresh, oats],
    ]);
    expect([...over.records('jars', 's1')].sort()).toEqual(['s1.2', 's1.3']);
  });
});

describe('a board of signals', () => {
  it('runs again only what read the changed cell, record or list', () => {
    const replica = clerkReplica();
    const doc = newDocument(5);
    const put = (table: string, record: string, field: string, value: string | number | null): void => {
      replica.receive(writeCells(doc, [{ table, record, field, cell: [value, stampAt(MORNING), 'w-1'] }]));
    };
    put('shelves', 's1', 'name', 'north');
    put('shelves', 's2', 'name', 'south');
    const runs = { width: 0, view: 0, list: 0, other: 0 };
    effect(() => {
      replica.board.value('shelves', 's1', 'width');
      runs.width++;
    });
    effect(() => {
      replica.board.view('shelves', 's1');
      runs.view++;
    });
    effect(() => {
      replica.board.records('shelves');
      runs.list++;
    });
    effect(() => {
      replica.board.view('shelves', 's2');
      runs.other++;
    });
    put('shelves', 's1', 'width', 4);
    expect(runs).toEqual({ width: 2, view: 2, list: 1, other: 1 });
    put('shelves', 's1', 'name', 'west');
    expect(runs).toEqual({ width: 2, view: 3, list: 1, other: 1 });
    put('shelves', 's3', 'name', 'new');
    expect(runs).toEqual({ width: 2, view: 3, list: 2, other: 1 });
    expect(replica.board.records('shelves')).toEqual(['s1', 's2', 's3']);
  });

  it('passes over a value that does not fit its field, and a cell that is none', () => {
    const replica = clerkReplica();
    const doc = newDocument(6);
    doc.getMap('shelves').set('s1/width', ['wide', 1, 'w-1']);
    doc.getMap('shelves').set('s1/name', 'not a cell');
    doc.getMap('shelves').set('nonsense', ['x', 1, 'w-1']);
    replica.receive(
      writeCells(doc, [{ table: 'shelves', record: 's1', field: 'sealed', cell: [true, 1, 'w-1'] }]),
    );
    expect(replica.board.view('shelves', 's1')).toEqual({});
  });
});
