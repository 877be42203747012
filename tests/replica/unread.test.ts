import {
  type BoardReader,
  type BoardState,
  type CellWrite,
  cutUpdate,
  DocumentPieces,
  type Json,
  newDocument,
  UnreadBoard,
  watchDocument,
  writeCells,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { type Random, randomOf, seedOf } from '../support/random.ts';

const SEED = seedOf(20_300_717);
const TABLES = ['one', 'two', 'three'];

/** Every kind of value that a document can hold, long and short; some that no JSON has. */
function someValue({ next, pick }: Random): unknown {
  return pick<() => unknown>([
    () => null,
    () => next() < 0.5,
    () => Math.floor(next() * 1e6) - 5e5,
    () => next() * -1e9,
    () => 2 ** 40 + Math.floor(next() * 1000),
    () => 0.5,
    () => '',
    () => 'a short one',
    () => 'Mühle 潮車 '.repeat(Math.floor(next() * 20)),
    () => 'ü',
    () => '\uFEFFmarked',
    () => [1, 'a', null, [2.5, { deep: true }]],
    () => ({ x: next(), text: 'y', ключ: [] }),
    () => undefined,
    () => Number.POSITIVE_INFINITY,
    () => new Uint8Array([1, 2]),
    () => 12n,
    () => ({ constructor: 1 }),
  ])();
}

function somePlace({ pick, below }: Random): { table: string; record: string; field: string } {
  const record = pick([`r${below(20)}`, `r${below(9)}.part`, `a.very.long.name.of-a-record.${below(5)}`]);
  return { table: pick(TABLES), record, field: `f${below(4)}` };
}

/** A document of one writer, and what was sent of it: an update for each time it was written. */
function written(random: Random, edits: number) {
  const doc = newDocument(1 + random.below(2 ** 31));
  const updates: Uint8Array[] = [];
  doc.on('update', (update: Uint8Array) => updates.push(update));
  const write = (times: number): void => {
    for (let turn = 0; turn < times; turn++) {
      doc.transact(() => {
        for (let left = 1 + random.below(12); left > 0; left--) {
          const { table, record, field } = somePlace(random);
          const stamp = random.pick([random.below(2 ** 31), 2 ** 50 + random.below(1e6), 2 ** 48]);
          const odd = random.next();
          if (odd < 0.02) doc.getMap(table).set('no place', [1, 2, 'p1-1']);
          else if (odd < 0.04)
            doc.getMap(table).set(`${record}/${field}`, random.pick([5, [1, 2], 'x', [1, -1, 'p']]));
          else if (odd < 0.06) doc.getMap(table).delete(`${record}/${field}`);
          else doc.getMap(table).set(`${record}/${field}`, [someValue(random), stamp, 'p1-1']);
        }
      });
    }
  };
  write(edits);
  return { doc, updates, write };
}

function read(board: BoardReader): unknown {
  return TABLES.map((table) => {
    const records = [...board.records(table)].sort();
    return {
      records: records.map((record) => [
        record,
        [...board.fields(table, record)].sort(([a], [b]) => (a < b ? -1 : 1)),
        ['f0', 'f3', 'none'].map((field) => board.cell(table, record, field)),
      ]),
      exists: ['r1', 'r2.part', 'none', ...records].map((record) => board.exists(table, record)),
      under: ['r1', 'r2', 'a', 'none'].map((first) => [...board.records(table, first)].sort()),
    };
  });
}

/** The board by way of a document, as Yjs makes it. */
function byYjs(updates: readonly Uint8Array[]): BoardState {
  const doc = new Y.Doc();
  for (const update of updates) Y.applyUpdate(doc, update);
  return watchDocument(doc, TABLES).state;
}

describe(`a board read out of updates (seed ${SEED})`, () => {
  it('says what the document says that they make, in whatever form they come', () => {
    const random = randomOf(SEED);
    for (let turn = 0; turn < 24; turn++) {
      const { doc, updates, write } = written(random, 1 + random.below(40));
      const whole = Y.encodeStateAsUpdate(doc);
      const taken = new DocumentPieces(doc);
      const pieces: Uint8Array[] = [];
      const since = updates.length;
      for (let piece = taken.next(30); piece; piece = taken.next(30)) {
        pieces.push(piece);
        if (updates.length < since + 20) write(1);
      }
      const folded = [...pieces, ...taken.rest()];
      const beforeMore = updates.length;
      write(3);
      const more = updates.slice(beforeMore);
      const middle = random.below(updates.length);
      const forms: readonly (readonly Uint8Array[])[] = [
        [whole],
        [...cutUpdate(whole, 50 + random.below(2000))],
        updates,
        // what a device may have kept: the whole of it, and then rows that are in it already
        [Y.encodeStateAsUpdate(doc), ...updates],
        [whole, ...updates.slice(Math.min(middle, since))],
        [...folded, ...more],
        [...folded, Y.mergeUpdates([...more])],
        [Y.mergeUpdates([...updates.slice(0, middle + 1)]), ...updates.slice(middle + 1)],
        [...updates, Y.encodeStateAsUpdate(doc)],
      ];
      for (const [form, some] of forms.entries()) {
        const board = UnreadBoard.of(some, TABLES);
        expect(board, `form ${form} of turn ${turn}`).not.toBeNull();
        if (board) expect(read(board), `form ${form} of turn ${turn}`).toEqual(read(byYjs(some)));
      }
    }
  });

  it('has no cell that is later than the stamp that it says, and tables that nobody asked for are not in it', () => {
    const doc = newDocument(5);
    const write = (table: string, stamp: number): CellWrite => ({
      table,
      record: `r${stamp}`,
      field: 'f',
      cell: ['x' as Json, stamp, 'p1-1'],
    });
    writeCells(doc, [write('one', 2 ** 50), write('two', 2 ** 33 + 1), write('other', 3)]);
    const board = UnreadBoard.of([Y.encodeStateAsUpdate(doc)], TABLES);
    expect(board?.newest).toBe(2 ** 50);
    expect(board?.cell('other', 'r3', 'f')).toBeUndefined();
    expect([...(board?.records('other') ?? ['some'])]).toEqual([]);
  });

  it('is left to Yjs where several have written it, where something is missing, and where it holds what no board holds', () => {
    const one = newDocument(1);
    const [first, second, third] = [1, 2, 3].map((value) =>
      writeCells(one, [{ table: 'one', record: 'r', field: 'f', cell: [value, value, 'p1-1'] }]),
    ) as [Uint8Array, Uint8Array, Uint8Array];
    const two = newDocument(2);
    Y.applyUpdate(two, Y.encodeStateAsUpdate(one));
    const other = writeCells(two, [{ table: 'one', record: 'r', field: 'g', cell: [4, 4, 'p1-1'] }]);
    // their clocks go on where those of the first end
    const apart = newDocument(2);
    const further = ['a', 'b', 'c', 'd'].map((field, clock) =>
      writeCells(apart, [{ table: 'one', record: 'r', field, cell: [clock, 5, 'p1-1'] }]),
    );
    const text = newDocument(3);
    text.getText('notes').insert(0, 'words');
    const nested = newDocument(4);
    nested.getMap('one').set('r/f', new Y.Map([['a', 1]]));
    const list = newDocument(5);
    list.getArray('one').push([[1, 1, 'p1-1']]);
    const name = newDocument(6);
    name.getMap('one').set('Mühle/f', [1, 1, 'p1-1']);
    const cases: Record<string, readonly Uint8Array[]> = {
      'two writers at once': [Y.encodeStateAsUpdate(two)],
      'another writer later': [first, second, third, other],
      'another writer whose clock fits': [first, second, third, ...further.slice(3)],
      'one of other keys missing': [...further.slice(0, 1), ...further.slice(2)],
      'one missing in between': [first, third],
      'the end alone': [second, third],
      text: [Y.encodeStateAsUpdate(text)],
      nested: [Y.encodeStateAsUpdate(nested)],
      list: [Y.encodeStateAsUpdate(list)],
      'a name of other letters': [Y.encodeStateAsUpdate(name)],
      'bytes of nothing': [new Uint8Array()],
    };
    for (const [what, updates] of Object.entries(cases))
      expect(UnreadBoard.of(updates, TABLES), what).toBeNull();
    expect(UnreadBoard.of([first, second, third], TABLES)?.cell('one', 'r', 'f')).toEqual([3, 3, 'p1-1']);
    expect(UnreadBoard.of([], TABLES)?.exists('one', 'r')).toBe(false);
  });

  it('of bytes cut short or changed either says nothing or can be read: none makes it throw', () => {
    const random = randomOf(SEED + 1);
    let read = 0;
    for (let turn = 0; turn < 200; turn++) {
      const { doc } = written(random, 3);
      const whole = Y.encodeStateAsUpdate(doc);
      const bytes = turn % 2 === 0 ? whole.slice(0, random.below(whole.length)) : whole.slice();
      if (turn % 2 === 1)
        for (let left = 3; left > 0; left--) bytes[random.below(bytes.length)] = random.below(256);
      const board = UnreadBoard.of([bytes], TABLES);
      for (const table of board ? TABLES : [])
        for (const record of board?.records(table) ?? [])
          read += [...(board?.fields(table, record) ?? [])].length;
    }
    expect(read).toBeGreaterThan(0);
  });
});
