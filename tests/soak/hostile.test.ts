import { get } from 'node:http';
import { deflateRawSync } from 'node:zlib';
import {
  awarenessFrame,
  encodePresence,
  messageFrame,
  REFUSALS,
  stampAt,
  syncFrame,
} from '@plumbline/replica';
import * as encoding from 'lib0/encoding';
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { type Member, type Reachable, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

/** An edit frame around any text. */
const editText = (text: string): Uint8Array =>
  encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, 101);
    encoding.writeVarString(encoder, text);
  });

const now = (): number => stampAt(Date.now());
const cell = (more: object = {}) => ({
  table: 'shelves',
  record: 's1',
  field: 'width',
  value: 5,
  seen: 0,
  ...more,
});
const edit = (more: object = {}, entries: readonly object[] = [cell()]): Uint8Array =>
  messageFrame('edit', { n: 1, stamp: now(), entries, ...more });

const foreign = (): Y.Doc => {
  const doc = new Y.Doc();
  doc.getMap('shelves').set('s1/width', [666, now(), 'p1-1']);
  return doc;
};
/** A document of another writer with every kind of content that Yjs has. */
const everything = (): Y.Doc => {
  const doc = new Y.Doc({ guid: 'a' });
  doc.clientID = 7;
  const map = doc.getMap<unknown>('shelves');
  map.set('s1/a', new Y.Map([['deep', new Y.Array()]]));
  map.set('s1/b', new Uint8Array([1, 2, 3]));
  map.set('s1/c', new Y.Doc({ guid: 'b' }));
  doc.getArray('list').push([1, { a: [undefined] }]);
  const text = doc.getText('words');
  text.insert(0, 'bold and plain', {});
  text.format(0, 4, { bold: true });
  text.insertEmbed(2, { image: 'x' });
  text.delete(5, 4);
  doc.getXmlFragment('page').insert(0, [new Y.XmlElement('p'), new Y.XmlText('x')]);
  return doc;
};
/** What was written after a point that nobody here knows. */
const withoutBeginning = (): Uint8Array => {
  const doc = foreign();
  const vector = Y.encodeStateVector(doc);
  doc.getMap('shelves').set('s1/width', [667, now(), 'p1-1']);
  return Y.encodeStateAsUpdate(doc, vector);
};
/** Deletes ranges of a writer whom nobody here knows. */
const deletions = (client: number, ...ranges: readonly (readonly [number, number])[]): Uint8Array =>
  encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, 0);
    encoding.writeVarUint(encoder, 1);
    encoding.writeVarUint(encoder, client);
    encoding.writeVarUint(encoder, ranges.length);
    for (const [clock, length] of ranges) {
      encoding.writeVarUint(encoder, clock);
      encoding.writeVarUint(encoder, length);
    }
  });
/** Structs that hold nothing: `gc` 0, `skip` 10. */
const hollow = (kind: number, length: number): Uint8Array =>
  encoding.encode((encoder) => {
    for (const part of [1, 1, 99, 0]) encoding.writeVarUint(encoder, part);
    encoding.writeUint8(encoder, kind);
    encoding.writeVarUint(encoder, length);
    encoding.writeVarUint(encoder, 0);
  });
const deep = (levels: number): unknown => (levels === 0 ? 1 : [deep(levels - 1)]);

/** Answered as refused, with this code and number; the socket stays. */
const REFUSED: readonly (readonly [what: string, frame: () => Uint8Array, code: string, n: number | null])[] =
  [
    ['a number that is skipped', () => edit({ n: 2 }), 'gap', 2],
    ['a number far off', () => edit({ n: 2 ** 40 }), 'gap', 2 ** 40],
    ['a number that is none', () => edit({ n: 0 }), 'form', null],
    ['a number below nought', () => edit({ n: -1 }), 'form', null],
    ['half a number', () => edit({ n: 1.5 }), 'form', null],
    ['a number as text', () => edit({ n: '1' }), 'form', null],
    ['a number too large to count', () => editText(`{"n":1e400,"stamp":1,"entries":[]}`), 'form', null],
    ['a writer of its own choice', () => edit({ writer: 'p1-1' }), 'form', null],
    ['a person of its own choice', () => edit({}, [cell({ person: 'p1' })]), 'form', null],
    ['a stamp from the future', () => edit({ stamp: stampAt(Date.now() + 60_000) }), 'future', 1],
    ['a stamp below nought', () => edit({ stamp: -5 }), 'form', null],
    ['a stamp that is no whole number', () => edit({ stamp: 0.5 }), 'form', null],
    ['a stamp beyond what counts exactly', () => edit({ stamp: 2 ** 60 }), 'form', null],
    ['a value seen later than it was made', () => edit({}, [cell({ seen: now() * 2 })]), 'form', null],
    ['no entries', () => edit({}, []), 'form', null],
    [
      'too many entries',
      () =>
        edit(
          {},
          Array.from({ length: 201 }, (_, i) => cell({ record: `s${i}` })),
        ),
      'form',
      null,
    ],
    ['a cell twice', () => edit({}, [cell(), cell({ value: 6 })]), 'form', null],
    ['half an edit', () => editText('{"n":1,"stamp":5,"entries":[{"table":"shelves"'), 'form', null],
    ['an entry without a value', () => edit({}, [cell({ value: undefined })]), 'form', null],
    ['a key twice', () => editText(`{"n":1,"n":2,"stamp":${now()},"entries":[]}`), 'form', null],
    [
      'a key that reaches into prototypes',
      () => editText(`{"n":1,"stamp":${now()},"__proto__":{"n":1},"entries":[]}`),
      'form',
      null,
    ],
    [
      'such a key in a value',
      () =>
        editText(
          `{"n":1,"stamp":5,"entries":[{"table":"shelves","record":"s1","field":"name","value":{"constructor":1},"seen":0}]}`,
        ),
      'form',
      null,
    ],
    ['a value nested deep', () => edit({}, [cell({ value: deep(40) })]), 'form', null],
    ['a text nested very deep', () => editText('['.repeat(50_000)), 'form', null],
    [
      'a value that is too long',
      () => edit({}, [cell({ field: 'name', value: 'x'.repeat(5000) })]),
      'form',
      null,
    ],
    ['an edit that is too long', () => editText(' '.repeat(70_000)), 'form', null],
    ['no JSON', () => editText('not json'), 'form', null],
    ['a list', () => editText('[]'), 'form', null],
    ['nothing', () => editText(''), 'form', null],
    ['a table that is none', () => edit({}, [cell({ table: 'walls' })]), 'unknown', 1],
    ['a field that is none', () => edit({}, [cell({ field: 'height' })]), 'unknown', 1],
    ['a table of every object', () => edit({}, [cell({ table: 'constructor' })]), 'unknown', 1],
    ['a record that is no name', () => edit({}, [cell({ record: '../x' })]), 'form', null],
    ['a record whose name has a part too many', () => edit({}, [cell({ record: 's1.2' })]), 'id', 1],
    [
      'a part of something that is not there',
      () => edit({}, [cell({ table: 'jars', record: 'nowhere.1', field: 'content', value: 'x' })]),
      'missing',
      1,
    ],
    ['a field of another role', () => edit({}, [cell({ field: 'name', value: 'x' })]), 'right', 1],
    [
      'a field of the base',
      () => edit({}, [cell({ table: 'people', record: 'p1', field: 'name', value: 'x' })]),
      'right',
      1,
    ],
    [
      'one entry of many without the right',
      () => edit({}, [cell(), cell({ field: 'sealed', value: true })]),
      'right',
      1,
    ],
    ['a value of another kind', () => edit({}, [cell({ value: 'wide' })]), 'value', 1],
    ['a value that is not possible', () => edit({}, [cell({ value: -1 })]), 'value', 1],
    [
      'a signature in another’s name',
      () => edit({}, [cell({ table: 'jars', record: 'first.1', field: 'checkedBy', value: 'p1' })]),
      'signature',
      1,
    ],
    [
      'an entry of a log in another’s name',
      () =>
        edit({}, [
          cell({ table: 'events', record: 'p9-1.1', field: 'what', value: 'x' }),
          cell({ table: 'events', record: 'p9-1.1', field: 'where', value: 'y' }),
        ]),
      'appended',
      1,
    ],
  ];

/** Closes the socket with this code. */
const CLOSED: readonly (readonly [what: string, frame: () => Uint8Array | string, code: number])[] = [
  ['text', () => 'hello', 4400],
  ['an empty frame', () => new Uint8Array(), 4400],
  ['an unknown kind', () => new Uint8Array([77]), 4400],
  ['a kind that only the base sends', () => messageFrame('stored', { n: 1 }), 4400],
  [
    'a greeting',
    () => messageFrame('hello', { wire: 1, schema: '', epoch: '', writer: null, last: 0, time: 0 }),
    4400,
  ],
  ['more behind the end', () => new Uint8Array([...edit(), 0]), 4400],
  ['a state vector that is none', () => syncFrame('stateVector', new Uint8Array([5, 255, 255])), 4400],
  ['a presence that is none', () => awarenessFrame(new Uint8Array([255, 255, 255])), 4400],
  ['a clock question that is none', () => messageFrame('clock', { t0: 'now' } as never), 4400],
  ['an update of its own', () => syncFrame('update', Y.encodeStateAsUpdate(foreign())), 4409],
  ['a difference of its own', () => syncFrame('difference', Y.encodeStateAsUpdate(foreign())), 4409],
  [
    'an update with every kind of content',
    () => syncFrame('update', Y.encodeStateAsUpdate(everything())),
    4409,
  ],
  ['an update in the second format', () => syncFrame('update', Y.encodeStateAsUpdateV2(everything())), 4409],
  ['an update without its beginning', () => syncFrame('update', withoutBeginning()), 4409],
  [
    'two updates in one',
    () => syncFrame('update', Y.mergeUpdates([withoutBeginning(), withoutBeginning()])),
    4409,
  ],
  ['a deletion of what nobody wrote', () => syncFrame('update', deletions(99, [0, 5])), 4409],
  ['a deletion beyond all counting', () => syncFrame('difference', deletions(99, [0, 2 ** 50])), 4409],
  ['a struct that was cleared away', () => syncFrame('update', hollow(0, 3)), 4409],
  ['a struct that skips', () => syncFrame('update', hollow(10, 3)), 4409],
  ['an update that is none', () => syncFrame('update', new Uint8Array([9, 9, 9])), 4400],
  ['a frame over the limit', () => new Uint8Array(200 * 1024), 1009],
];

describe('hostile messages, byte by byte to a running base', () => {
  it.each(REFUSED)('%s is refused and changes nothing', async (_, frame, code, n) => {
    const { base, clerk, guest } = await startUnit();
    const socket = await openRaw(base, clerk, 'hostile');
    const bystander = await openTablet(base, guest, toyKind.definition);
    const before = await viewOf(base, guest);
    socket.send(frame());
    const refused = await socket.message('refused');
    expect(refused).toMatchObject({ n, code });
    expect(await viewOf(base, guest)).toEqual(before);
    // The socket goes on: the next edit in turn is stored. Only a gap, and what could not be read, use no number up.
    const next = n === 1 && code !== 'gap' ? 2 : 1;
    socket.edit({ n: next, stamp: now(), entries: [cell()] });
    expect(await socket.message('stored')).toMatchObject({ n: next });
    await until(() => bystander.value('shelves', 's1', 'width') === 5, 'the bystander');
    expect(bystander.closes).toEqual([]);
    bystander.close();
  });

  it.each(CLOSED)('%s closes the socket and changes nothing', async (_, frame, code) => {
    const { base, clerk, guest } = await startUnit();
    const socket = await openRaw(base, clerk, 'hostile');
    const bystander = await openTablet(base, guest, toyKind.definition);
    const before = await viewOf(base, guest);
    socket.send(frame());
    expect(await socket.closed).toBe(code);
    expect(await viewOf(base, guest)).toEqual(before);
    expect(bystander.closes).toEqual([]);
    bystander.close();
  });

  it('a guard’s refusal leaves everything as it is', async () => {
    const { base, keeper, guest } = await startUnit();
    const socket = await openRaw(base, keeper, 'hostile');
    socket.send(edit({}, [cell({ field: 'sealed', value: true })]));
    await socket.message('stored');
    const before = await viewOf(base, guest);
    socket.send(edit({ n: 2 }, [cell({ field: 'sealed', value: false })]));
    expect(await socket.message('refused')).toMatchObject({ n: 2, code: 'guard' });
    expect(await viewOf(base, guest)).toEqual(before);
  });

  it('every reason for refusing is among them', () => {
    const reached = new Set([...REFUSED.map(([, , code]) => code), 'guard']);
    expect([...reached].sort()).toEqual(Object.keys(REFUSALS).sort());
  });

  it('a deletion of what the board holds closes the socket with 4409', async () => {
    const { base, keeper, clerk, guest } = await startUnit();
    const tablet = await openTablet(base, keeper, toyKind.definition);
    tablet.set('shelves', 's1', 'name', 'here');
    await tablet.settled();
    const copy = new Y.Doc();
    Y.applyUpdate(copy, Y.encodeStateAsUpdate(tablet.replica.doc));
    const vector = Y.encodeStateVector(copy);
    copy.getMap('shelves').delete('s1/name');
    const socket = await openRaw(base, clerk, 'hostile');
    socket.send(syncFrame('update', Y.encodeStateAsUpdate(copy, vector)));
    expect(await socket.closed).toBe(4409);
    expect((await viewOf(base, guest)).shelves?.s1).toEqual({ name: 'here' });
    tablet.close();
  });

  it('presence in another’s name is told in one’s own', async () => {
    const { base, clerk, guest } = await startUnit();
    const socket = await openRaw(base, clerk, 'hostile');
    const bystander = await openTablet(base, guest, toyKind.definition);
    socket.send(
      awarenessFrame(encodePresence([{ client: 77, clock: 1, state: { person: 'p1', screen: 'day' } }])),
    );
    await until(() => bystander.link.present.peek().has(77), 'the presence');
    expect(bystander.link.present.peek().get(77)?.person).toBe(clerk.personId);
    bystander.close();
  });

  it.each([
    ['bytes that unpack to a thousand times as much', () => deflateRawSync(Buffer.alloc(100_000_000))],
    ['an honest edit, packed', () => deflateRawSync(edit())],
  ])(
    '%s are not unpacked: the base agrees on no compression, and the socket closes with 1002',
    async (_, packed) => {
      const { base, clerk, guest } = await startUnit();
      const bystander = await openTablet(base, guest, toyKind.definition);
      const bytes = packed();
      expect(bytes.length).toBeLessThan(128 * 1024);
      const before = await viewOf(base, guest);
      const memory = process.memoryUsage().rss;
      const { extensions, answer } = await sendPacked(base, clerk, bytes);
      expect(extensions).toBeUndefined();
      // FIN and close, two bytes of code (RFC 6455, 5.2, 7.4.1): a bit was set that nothing was agreed on for.
      expect([answer[0], answer.readUInt16BE(2)]).toEqual([0x88, 1002]);
      expect(process.memoryUsage().rss - memory).toBeLessThan(50_000_000);
      expect(await viewOf(base, guest)).toEqual(before);
      expect(bystander.closes).toEqual([]);
      bystander.close();
    },
  );
});

/** Opens a socket that offers compression, and sends one frame with the bit set that says it is (RFC 7692, 6). */
function sendPacked(
  base: Reachable,
  member: Member,
  bytes: Uint8Array,
): Promise<{ extensions: string | undefined; answer: Buffer }> {
  return new Promise((resolve, reject) => {
    const opening = get(`${base.url}/sync/${member.boardId}?tab=packed`, {
      headers: {
        authorization: `Bearer ${member.session}`,
        connection: 'Upgrade',
        upgrade: 'websocket',
        'sec-websocket-version': '13',
        'sec-websocket-key': 'AAAAAAAAAAAAAAAAAAAAAA==',
        'sec-websocket-extensions': 'permessage-deflate; client_max_window_bits',
      },
    });
    opening.on('error', reject);
    opening.on('upgrade', (response, socket) => {
      const head = Buffer.alloc(14);
      head[0] = 0b1100_0010;
      head[1] = 0xff;
      head.writeBigUInt64BE(BigInt(bytes.length), 2);
      // A mask of nought leaves the bytes as they are.
      socket.write(head);
      socket.write(bytes);
      socket.on('data', (chunk: Buffer) => {
        // The greeting comes first, where it comes at all.
        const at = chunk.lastIndexOf(Buffer.from([0x88]));
        if (at < 0 || at + 4 > chunk.length) return;
        resolve({ extensions: response.headers['sec-websocket-extensions'], answer: chunk.subarray(at) });
        socket.destroy();
      });
    });
  });
}
