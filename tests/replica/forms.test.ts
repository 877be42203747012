import {
  bringsNothingNew,
  ClockOffset,
  cellKey,
  clientsOf,
  contestId,
  decodePresence,
  encodePresence,
  FRAME,
  fitsCell,
  isRecordId,
  jsonBytes,
  messageFrame,
  newDocument,
  parseStrictJson,
  personOfWriter,
  presenceSchema,
  REFUSALS,
  readEdit,
  readFrame,
  readMessage,
  refusedSchema,
  StampClock,
  sameJson,
  splitKey,
  stampAt,
  stampMilliseconds,
  syncFrame,
  writeCells,
  writerId,
} from '@plumbline/replica';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';

const SEED = 20_300_601;

describe('text from outside', () => {
  it.each([
    ['a repeated key', '{"a":1,"a":2}', /repeated/],
    ['a repeated key written with an escape', '{"a":1,"\\u0061":2}', /repeated/],
    ['a key into the prototype', '{"__proto__":{}}', /forbidden/],
    ['a key into the constructor', '{"x":{"constructor":1}}', /forbidden/],
    ['too deep', `${'['.repeat(13)}${']'.repeat(13)}`, /deep/],
    ['not JSON', '{a:1}', /JSON/],
    ['nothing', '', /JSON/],
  ])('%s is refused', (_, text, reason) => {
    expect(() => parseStrictJson(text)).toThrow(reason);
  });

  it('reads every JSON text without such keys just as JSON.parse does', () => {
    console.log('seed', SEED);
    fc.assert(
      fc.property(fc.json({ maxDepth: 5 }), (text) => {
        fc.pre(!/"(__proto__|constructor|prototype)"/.test(text));
        expect(parseStrictJson(text)).toEqual(JSON.parse(text));
      }),
      { seed: SEED },
    );
  });

  const good = { n: 1, stamp: 5, entries: [{ table: 't', record: 'a.b', field: 'f', value: 1, seen: 0 }] };
  const [one] = good.entries;
  it.each([
    ['not JSON', 'x'],
    ['a number below 1', { ...good, n: 0 }],
    ['half a number', { ...good, n: 1.5 }],
    ['a negative stamp', { ...good, stamp: -1 }],
    ['a stamp past the safe integers', { ...good, stamp: 2 ** 53 }],
    ['no entries', { ...good, entries: [] }],
    [
      '201 entries',
      { ...good, entries: Array.from({ length: 201 }, (_, i) => ({ ...one, record: `r${i}` })) },
    ],
    ['a cell twice', { ...good, entries: [one, one] }],
    ['a key nobody knows', { ...good, extra: 1 }],
    ['an entry with a key nobody knows', { ...good, entries: [{ ...one, extra: 1 }] }],
    ['seen later than the stamp', { ...good, entries: [{ ...one, seen: 6 }] }],
    ['an id with a slash', { ...good, entries: [{ ...one, record: 'a/b' }] }],
    ['an id of 41 characters', { ...good, entries: [{ ...one, record: 'a'.repeat(41) }] }],
    ['a value over 4 kB', { ...good, entries: [{ ...one, value: 'x'.repeat(4095) }] }],
    ['a value over 4 kB in UTF-8', { ...good, entries: [{ ...one, value: 'é'.repeat(2048) }] }],
    ['a value five levels deep', { ...good, entries: [{ ...one, value: [[[[[1]]]]] }] }],
    ['no value', { ...good, entries: [{ table: 't', record: 'a', field: 'f', seen: 0 }] }],
    [
      'more than 64 kB',
      {
        ...good,
        entries: Array.from({ length: 17 }, (_, i) => ({ ...one, record: `r${i}`, value: 'x'.repeat(4000) })),
      },
    ],
  ])('an edit with %s has no form', (_, message) => {
    expect(typeof readEdit(typeof message === 'string' ? message : JSON.stringify(message))).toBe('string');
  });

  it('an edit at the limits has', () => {
    const full = {
      ...good,
      entries: Array.from({ length: 200 }, (_, i) => ({ ...one, record: `r${i}`, value: 'x'.repeat(200) })),
    };
    expect(readEdit(JSON.stringify(full))).toEqual(full);
    expect(readEdit(JSON.stringify({ ...good, entries: [{ ...one, value: [[[[1]]]] }] }))).toBeTypeOf(
      'object',
    );
  });
});

describe('values', () => {
  it('are measured in bytes of UTF-8', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme' }), (text) => {
        expect(jsonBytes(text)).toBe(new TextEncoder().encode(JSON.stringify(text)).length);
      }),
      { seed: SEED },
    );
  });

  it('are the same whatever the order of their keys', () => {
    expect(sameJson({ a: [1, { b: 2, c: 3 }] }, { a: [1, { c: 3, b: 2 }] })).toBe(true);
    expect(sameJson({ a: 1 }, { a: 1, b: undefined as never })).toBe(false);
    expect(sameJson([], {})).toBe(false);
    expect(fitsCell([[[[1]]]]) && !fitsCell([[[[[1]]]]])).toBe(true);
  });
});

describe('names', () => {
  it('a key splits into what it was built from', () => {
    expect(splitKey(cellKey('12a.R1.3', 'level'))).toEqual({ record: '12a.R1.3', field: 'level' });
    expect(splitKey('nothing')).toBeNull();
  });
  it('a writer belongs to its person', () => {
    expect(personOfWriter(writerId('p12', 3))).toBe('p12');
    expect(personOfWriter('base')).toBeNull();
  });
  it('a contest’s name is a legal id however long the cell’s is', () => {
    const long = {
      table: 't'.repeat(40),
      record: Array(6).fill('r'.repeat(40)).join('.'),
      field: 'f'.repeat(40),
    };
    expect(isRecordId(contestId(long))).toBe(true);
  });
  it('every refusal has a sentence', () => {
    for (const sentence of Object.values(REFUSALS)) expect(sentence).toMatch(/^[A-Z].*\.$/);
  });
});

describe('clocks', () => {
  it('stamps only grow, though the clock runs back', () => {
    const times = [1000, 1000, 999, 5, 2000];
    const clock = new StampClock(() => times.shift() ?? 0);
    const stamps = Array.from({ length: 5 }, () => clock.next());
    expect(stamps).toEqual([
      stampAt(1000),
      stampAt(1000) + 1,
      stampAt(1000) + 2,
      stampAt(1000) + 3,
      stampAt(2000),
    ]);
    expect(stampMilliseconds(stampAt(1234))).toBe(1234);
  });

  it('an own stamp is later than any seen', () => {
    const clock = new StampClock(() => 1);
    clock.see(stampAt(90));
    expect(clock.next()).toBe(stampAt(90) + 1);
  });

  // RFC 5905 section 8: offset = ((T2 - T1) + (T3 - T4)) / 2, delay = (T4 - T1) - (T3 - T2); the figures are ours
  it('the exchange with the least delay is believed', () => {
    const offset = new ClockOffset();
    offset.add({ t0: 0, t1: 1300, t2: 1300, t3: 400 });
    offset.add({ t0: 1000, t1: 2102, t2: 2104, t3: 1206 });
    expect(offset.estimate()).toEqual({ offset: 1000, uncertainty: 102 });
    offset.add({ t0: 2000, t1: 3010, t2: 3010, t3: 2018 });
    expect(offset.estimate()).toEqual({ offset: 1001, uncertainty: 9 });
    offset.add({ t0: 9000, t1: 1, t2: 2, t3: 8000 });
    expect(offset.offset).toBe(1001);
  });

  it('a hint serves until the first exchange', () => {
    const offset = new ClockOffset();
    offset.guess(70);
    expect([offset.offset, offset.estimate()]).toEqual([70, null]);
    offset.add({ t0: 0, t1: 55, t2: 55, t3: 10 });
    expect(offset.offset).toBe(50);
  });
});

describe('frames', () => {
  it('come apart as they were put together', () => {
    expect(readFrame(syncFrame('update', Uint8Array.of(1, 2)))).toEqual({
      type: 'sync',
      step: 'update',
      bytes: Uint8Array.of(1, 2),
    });
    const frame = readFrame(messageFrame('refused', { n: null, code: 'form', entries: [] }));
    expect(frame?.type === 'refused' && readMessage(refusedSchema, frame.text)).toEqual({
      n: null,
      code: 'form',
      entries: [],
    });
  });

  it('a frame cut short, run over or of unknown type is none', () => {
    const frame = messageFrame('clock', { t0: 1 });
    expect(readFrame(frame.slice(0, -1))).toBeNull();
    expect(readFrame(Uint8Array.of(...frame, 0))).toBeNull();
    expect(readFrame(Uint8Array.of(77))).toBeNull();
    expect(readFrame(Uint8Array.of(FRAME.sync, 9, 0))).toBeNull();
    expect(readFrame(new Uint8Array())).toBeNull();
  });

  it('no bytes make the reader throw', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (bytes) => {
        readFrame(bytes);
        decodePresence(bytes);
      }),
      { seed: SEED, numRuns: 2000 },
    );
  });

  it('presence reads back, and a stranger’s is not taken for one', () => {
    const entries = [{ client: 7, clock: 2, state: { screen: 'day' } }];
    expect(decodePresence(encodePresence(entries))).toEqual(entries);
    expect(presenceSchema.safeParse({ screen: 'day', mood: 'fine' }).success).toBe(false);
  });
});

describe('a reader’s sync answer', () => {
  const doc = newDocument(4242);
  writeCells(doc, [{ table: 't', record: 'r', field: 'f', cell: [1, 1, 'w'] }]);
  writeCells(doc, [{ table: 't', record: 'r', field: 'f', cell: [2, 2, 'w'] }]);
  const replica = new Y.Doc();
  Y.applyUpdate(replica, Y.encodeStateAsUpdate(doc));

  it('that only repeats what the base has is no write', () => {
    const answer = Y.encodeStateAsUpdate(replica, Y.encodeStateVector(doc));
    expect(bringsNothingNew(doc, answer)).toBe(true);
    expect(bringsNothingNew(doc, Y.encodeStateAsUpdate(replica))).toBe(true);
  });

  it('with a value or a deletion of its own is one', () => {
    const forged = new Y.Doc();
    Y.applyUpdate(forged, Y.encodeStateAsUpdate(doc));
    forged.getMap('t').set('r/f', [3, 3, 'w']);
    expect(bringsNothingNew(doc, Y.encodeStateAsUpdate(forged))).toBe(false);
    expect(clientsOf(Y.encodeStateAsUpdate(forged, Y.encodeStateVector(doc)))).toEqual([forged.clientID]);
    const wiped = new Y.Doc();
    Y.applyUpdate(wiped, Y.encodeStateAsUpdate(doc));
    wiped.getMap('t').delete('r/f');
    expect(bringsNothingNew(doc, Y.encodeStateAsUpdate(wiped, Y.encodeStateVector(wiped)))).toBe(false);
  });
});
