import {
  BoardState,
  type CellAddress,
  type CellWrite,
  cutUpdate,
  DocumentPieces,
  GradualEncoding,
  type Json,
  newDocument,
  writeCells,
} from '@plumbline/replica';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { randomOf, seedOf } from '../support/random.ts';

const SEED = seedOf(20_300_611);
const TABLES = ['one', 'two', 'three'];

/** Every kind of value that JSON has, long and short. */
function someValue(random: ReturnType<typeof randomOf>): Json {
  const { next } = random;
  const kinds: readonly (() => Json)[] = [
    () => null,
    () => next() < 0.5,
    () => Math.floor(next() * 1e6) - 5e5,
    () => next() * 1e9,
    () => 2 ** 40 + Math.floor(next() * 1000),
    () => 0.5,
    () => 'für die Mühle 潮車 '.repeat(Math.floor(next() * 20)),
    () => [1, 'a', null, [2.5, { deep: true }]],
    () => ({ x: next(), text: 'y', list: [] }),
  ];
  return kinds[Math.floor(next() * kinds.length)]?.() ?? null;
}

function someWrites(random: ReturnType<typeof randomOf>, stamp: number): CellWrite[] {
  const count = 1 + Math.floor(random.next() * 12);
  return Array.from({ length: count }, (_, index) => ({
    table: TABLES[Math.floor(random.next() * TABLES.length)] ?? 'one',
    record: `r${Math.floor(random.next() * 30)}`,
    field: `f${Math.floor(random.next() * 4)}`,
    cell: [someValue(random), stamp + index, 'p1-1'],
  }));
}

/** What somebody has who was given a document up to a clock. */
function prefixOf(doc: Y.Doc, clock: number): Y.Doc {
  const copy = new Y.Doc();
  const [[client, structs] = [0, []]] = [...doc.store.clients];
  const update = Y.encodeStateAsUpdate(doc);
  const cut = Y.diffUpdate(update, Y.encodeStateVector(new Map([[client, 0]])));
  for (const piece of cutUpdate(cut, 1)) {
    if (Y.getState(copy.store, client) >= clock || structs.length === 0) break;
    Y.applyUpdate(copy, piece);
  }
  return copy;
}

function contents(doc: Y.Doc): unknown {
  return TABLES.map((table) => [...doc.getMap(table).entries()].sort(([a], [b]) => (a < b ? -1 : 1)));
}

describe(`an update cut into pieces (seed ${SEED})`, () => {
  it('comes to the same when they are applied in order, and nothing waits for another', () => {
    const random = randomOf(SEED);
    for (let turn = 0; turn < 40; turn++) {
      const doc = newDocument(1 + Math.floor(random.next() * 2 ** 31));
      for (let edit = 0; edit < 60; edit++) writeCells(doc, someWrites(random, edit * 20));
      const update = Y.encodeStateAsUpdate(doc);
      const copy = new Y.Doc();
      let pieces = 0;
      for (const piece of cutUpdate(update, 200 + Math.floor(random.next() * 3000))) {
        Y.applyUpdate(copy, piece);
        expect(copy.store.pendingStructs).toBeNull();
        expect(copy.store.pendingDs).toBeNull();
        pieces++;
      }
      expect(pieces).toBeGreaterThan(2);
      expect(Buffer.compare(Y.encodeStateAsUpdate(copy), update)).toBe(0);
    }
  });

  it('is left whole where several have written it, or where it holds what no board holds', () => {
    const one = newDocument(1);
    writeCells(one, [{ table: 'one', record: 'r', field: 'f', cell: ['x'.repeat(500), 1, 'p1-1'] }]);
    const two = newDocument(2);
    Y.applyUpdate(two, Y.encodeStateAsUpdate(one));
    writeCells(two, [{ table: 'one', record: 'r', field: 'g', cell: ['y'.repeat(500), 1, 'p1-1'] }]);
    const text = newDocument(3);
    writeCells(text, [{ table: 'one', record: 'r', field: 'f', cell: ['x'.repeat(500), 1, 'p1-1'] }]);
    text.getText('notes').insert(0, 'words '.repeat(200));
    for (const doc of [two, text]) {
      const update = Y.encodeStateAsUpdate(doc);
      const copy = new Y.Doc();
      for (const piece of cutUpdate(update, 100)) Y.applyUpdate(copy, piece);
      expect(Buffer.compare(Y.encodeStateAsUpdate(copy), update)).toBe(0);
    }
  });
});

describe(`a document encoded bit by bit (seed ${SEED})`, () => {
  it('is the same bytes as in one go', () => {
    const random = randomOf(SEED + 1);
    for (let turn = 0; turn < 12; turn++) {
      const doc = newDocument(77);
      for (let edit = 0; edit < turn * 5; edit++) writeCells(doc, someWrites(random, edit * 20));
      const encoding = new GradualEncoding(doc);
      while (encoding.step(1 + Math.floor(random.next() * 40)));
      expect(Buffer.compare(encoding.finish(), Y.encodeStateAsUpdate(doc))).toBe(0);
    }
  });

  it('from a clock on it is the same bytes as in one go, and so it is when more is written and it is asked again', () => {
    const random = randomOf(SEED + 4);
    for (let turn = 0; turn < 30; turn++) {
      const doc = newDocument(77);
      let edit = 0;
      const write = (edits: number): void => {
        for (const until = edit + edits; edit < until; edit++) writeCells(doc, someWrites(random, edit * 20));
      };
      write(30);
      const whole = Y.getState(doc.store, 77);
      const from = turn === 0 ? whole : Math.floor(random.next() * whole);
      const inOneGo = (): Uint8Array =>
        Y.encodeStateAsUpdate(doc, Y.encodeStateVector(new Map([[77, from]])));
      const encoding = new GradualEncoding(doc, from);
      while (encoding.step(1 + Math.floor(random.next() * 40)));
      expect(Buffer.compare(encoding.finish(), inOneGo())).toBe(0);
      // What was overwritten since is told once more in one go, and as deleted here: the documents are the same.
      write(5);
      const [before, copy] = [new Y.Doc(), new Y.Doc()];
      for (const each of [before, copy]) {
        if (from > 0) Y.applyUpdate(each, Y.encodeStateAsUpdate(prefixOf(doc, from)));
      }
      Y.applyUpdate(before, inOneGo());
      Y.applyUpdate(copy, encoding.finish());
      expect(contents(copy)).toEqual(contents(doc));
      expect(Y.encodeStateAsUpdate(copy)).toEqual(Y.encodeStateAsUpdate(before));
    }
  });

  it('is the whole of it as it stands in the end, whatever was written meanwhile', () => {
    const random = randomOf(SEED + 2);
    for (let turn = 0; turn < 40; turn++) {
      const doc = newDocument(77);
      for (let edit = 0; edit < 40; edit++) writeCells(doc, someWrites(random, edit * 20));
      const encoding = new GradualEncoding(doc);
      let edit = 40;
      while (encoding.step(1 + Math.floor(random.next() * 40)) && edit < 200) {
        if (random.next() < 0.5) writeCells(doc, someWrites(random, edit++ * 20));
      }
      const copy = new Y.Doc();
      Y.applyUpdate(copy, encoding.finish());
      expect(copy.store.pendingStructs).toBeNull();
      expect(copy.store.pendingDs).toBeNull();
      expect(contents(copy)).toEqual(contents(doc));
      expect(Y.encodeStateVector(copy)).toEqual(Y.encodeStateVector(doc));
    }
  });
});

describe(`a document taken in pieces (seed ${SEED})`, () => {
  it('comes to the whole of it as it stands in the end, whatever was written meanwhile', () => {
    const random = randomOf(SEED + 5);
    for (let turn = 0; turn < 40; turn++) {
      const doc = newDocument(77);
      // as a tablet has it: received, not written there
      const received = new Y.Doc();
      doc.on('update', (update: Uint8Array) => Y.applyUpdate(received, update));
      for (let edit = 0; edit < 40; edit++) writeCells(doc, someWrites(random, edit * 20));
      const taken = new DocumentPieces(received);
      const pieces: Uint8Array[] = [];
      let edit = 40;
      for (;;) {
        const piece = taken.next(1 + Math.floor(random.next() * 40));
        if (!piece) break;
        pieces.push(piece);
        if (edit < 200 && random.next() < 0.7) writeCells(doc, someWrites(random, edit++ * 20));
      }
      if (random.next() < 0.5) writeCells(doc, someWrites(random, edit++ * 20));
      pieces.push(...taken.rest());
      expect(pieces.length).toBeGreaterThan(2);
      const copy = new Y.Doc();
      for (const piece of pieces) {
        Y.applyUpdate(copy, piece);
        expect(copy.store.pendingStructs).toBeNull();
        expect(copy.store.pendingDs).toBeNull();
      }
      expect(contents(copy)).toEqual(contents(doc));
      expect(Buffer.compare(Y.encodeStateAsUpdate(copy), Y.encodeStateAsUpdate(received))).toBe(0);
    }
  });

  it('comes whole where several have written it, and where something waits for what is not here', () => {
    const one = newDocument(1);
    writeCells(one, [{ table: 'one', record: 'r', field: 'f', cell: [1, 1, 'p1-1'] }]);
    const two = newDocument(2);
    Y.applyUpdate(two, Y.encodeStateAsUpdate(one));
    writeCells(two, [{ table: 'one', record: 'r', field: 'g', cell: [2, 1, 'p1-1'] }]);
    const gap = new Y.Doc();
    const source = newDocument(3);
    const updates = [1, 2].map((value) =>
      writeCells(source, [{ table: 'one', record: 'r', field: 'f', cell: [value, value, 'p1-1'] }]),
    );
    Y.applyUpdate(gap, updates[1] ?? new Uint8Array());
    for (const doc of [two, gap]) {
      const taken = new DocumentPieces(doc);
      const pieces: Uint8Array[] = [];
      for (let piece = taken.next(5); piece; piece = taken.next(5)) pieces.push(piece);
      const copy = new Y.Doc();
      for (const piece of [...pieces, ...taken.rest()]) Y.applyUpdate(copy, piece);
      if (doc === gap) Y.applyUpdate(copy, updates[0] ?? new Uint8Array());
      expect(contents(copy)).toEqual(contents(doc === gap ? source : two));
    }
  });
});

describe(`a board as it stood at one moment (seed ${SEED})`, () => {
  it('reads as it did then, whatever is set afterwards', () => {
    const random = randomOf(SEED + 3);
    for (let turn = 0; turn < 40; turn++) {
      const state = new BoardState();
      const set = (edits: number, from: number): void => {
        for (let edit = 0; edit < edits; edit++)
          for (const { cell, ...at } of someWrites(random, from + edit * 20)) {
            const record = random.next() < 0.3 ? `${at.record}.part` : at.record;
            state.set({ ...at, record }, cell);
          }
      };
      set(10, 0);
      const before = read(state);
      const pinned = state.pin();
      expect(read(pinned)).toEqual(before);
      set(10, 1000);
      expect(read(pinned)).toEqual(before);
      expect(read(state)).not.toEqual(before);
      pinned.release();
    }
  });
});

function read(state: Pick<BoardState, 'cell' | 'exists' | 'records' | 'fields'>): unknown {
  const addresses: CellAddress[] = TABLES.flatMap((table) =>
    Array.from({ length: 30 }, (_, r) => `r${r}`).flatMap((base) =>
      [base, `${base}.part`].flatMap((record) =>
        ['f0', 'f1', 'f2', 'f3'].map((field) => ({ table, record, field })),
      ),
    ),
  );
  return {
    cells: addresses.map(({ table, record, field }) => state.cell(table, record, field)),
    exists: addresses.map(({ table, record }) => state.exists(table, record)),
    records: TABLES.map((table) => [...state.records(table)].sort()),
    under: TABLES.map((table) => [...state.records(table, 'r3')].sort()),
    fields: TABLES.map((table) =>
      [...state.records(table)]
        .sort()
        .map((record) => [...state.fields(table, record)].sort(([a], [b]) => (a < b ? -1 : 1))),
    ),
  };
}
