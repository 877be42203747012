import {
  awarenessFrame,
  type CellAddress,
  encodePresence,
  FRAME,
  type Json,
  messageFrame,
  StampClock,
  syncFrame,
} from '@plumbline/replica';
import * as encoding from 'lib0/encoding';
import * as Y from 'yjs';
import { call, joinAs, type Member } from '../../support/base.ts';
import { type BaseServer, CLIENT, type Measure } from '../bench.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { cellOf, openOnBase } from '../clients/contestants.ts';
import type { LightSocket } from '../clients/socket.ts';
import type { Figure } from '../figures.ts';

const AIM_MS = 50;
const LONG_TEXT = 'The swell comes round the mole at half tide, and the gulls with it. '.repeat(7);

/** How long one client, honest or not, keeps everybody else waiting. */
export const blocking: Measure = {
  name: 'blocking',
  title: 'Longest time that one client holds up the base’s event loop, at its usual limits',
  async run(bench) {
    const days = bench.isSmoke ? [1] : [1, 10, 50];
    const documents = [];
    for (const count of days) documents.push(await bench.document(count));
    const placed = await bench.dataFolder('blocking', documents);
    const base = await placed.start('usual');
    const figures: Figure[] = [];
    for (const [index, count] of days.entries()) {
      const board = placed.boards[index];
      const reader = placed.readers[index];
      if (!board || !reader) throw new Error('a board is missing');
      const of = `${count} ${count === 1 ? 'day' : 'days'}`;
      const watch = async (name: string, act: () => Promise<void>, isOneClient = true): Promise<void> => {
        const value = await base.longestWhile(act);
        figures.push({ name, of, unit: 'ms', value, ...(isOneClient ? { aim: { most: AIM_MS } } : {}) });
      };
      await watch('nobody does anything, 1 s', () => sleep(1000), false);
      await watch('the first one reads the board from disk', async () => {
        await (await openOnBase(base, reader.boardId, reader.session, null)).close();
      });
      const camera = await joinAs(base, board, 'camera', `Camera ${of}`);
      await runOn({ base, watch, reader, camera });
    }
    await base.stop();
    return {
      figures,
      notes: [
        'measured inside the base by how late a timer of 1 ms is, less what the machine gave to other processes meanwhile; the first line is what the machine alone does to it',
        'each line stands for one socket or one call; the limits on frames and turns are those that a base is shipped with',
      ],
    };
  },
};

interface Scene {
  readonly base: BaseServer;
  readonly watch: (name: string, act: () => Promise<void>) => Promise<void>;
  readonly reader: Member;
  readonly camera: Member;
}

async function runOn({ base, watch, reader, camera }: Scene): Promise<void> {
  const read = async (vector?: Uint8Array): Promise<void> => {
    await (await openOnBase(base, reader.boardId, reader.session, null, vector)).close();
  };
  await watch('somebody new opens the board', () => read());
  await watch('16 of them at once', async () => {
    await Promise.all(Array.from({ length: 16 }, () => read()));
  });
  await watch('somebody back asks for what is new', () => read(knows(1_000_000)));
  await watch('somebody who has next to nothing asks for the rest', () => read(knows(1)));
  await watch('the same question 20 times in a row', async () => {
    const socket = await openOnBase(base, reader.boardId, reader.session, null);
    for (let asked = 0; asked < 20; asked++) socket.send(syncFrame('stateVector', knows(1)));
    await answeredClock(base, socket);
  });
  for (const path of ['view', 'findings', 'history?limit=500']) {
    await watch(`GET ${path}`, async () => {
      const answer = await call(base, 'GET', `/api/boards/${reader.boardId}/${path}`, {
        token: reader.session,
      });
      if (answer.status !== 200) throw new Error(`GET ${path} was answered ${answer.status}`);
    });
  }
  await watch('250 edits of one value in one go', () => burst(base, camera, 250, 1));
  await watch('50 edits of 40 notes in one go', () => burst(base, camera, 50, 40));
  await watch('20 edits of 200 values in one go', () => burst(base, camera, 20, 200));
  await watch('a take is rolled and cut', async () => {
    const socket = await openOnBase(base, camera.boardId, camera.session, 'roll');
    await sendEdits(socket, [
      [{ table: 'takes', record: `${setupId(0, 0)}.99`, field: 'rolledAt', value: Date.now() }],
      [{ table: 'takes', record: `${setupId(0, 0)}.99`, field: 'cutAt', value: Date.now() }],
    ]);
    await socket.close();
  });
  await watch('frames of 60 kB that are no edits, 30 in one go', async () => {
    const socket = await openOnBase(base, camera.boardId, camera.session, 'nonsense');
    const nonsense = textFrame(`{"n":1,"stamp":1,"entries":"${'x'.repeat(60_000)}"}`);
    const deep = textFrame(`${'['.repeat(30_000)}${']'.repeat(30_000)}`);
    for (let sent = 0; sent < 15; sent++) for (const frame of [nonsense, deep]) socket.send(frame);
    await goneOr(socket, sleep(500));
  });
  await watch('a Yjs update of 100 kB, refused', async () => {
    const socket = await openOnBase(base, camera.boardId, camera.session, 'update');
    const doc = new Y.Doc();
    for (let n = 0; n < 2500; n++) doc.getMap('setups').set(`x${n}/label`, ['a', n, 'b']);
    socket.send(syncFrame('update', Y.encodeStateAsUpdate(doc)));
    await goneOr(socket, sleep(2000));
  });
  await watch('presence, 900 times in one go', async () => {
    const socket = await openOnBase(base, camera.boardId, camera.session, 'presence');
    for (let clock = 1; clock <= 900; clock++) {
      socket.send(awarenessFrame(encodePresence([{ client: 5, clock, state: { screen: 'day' } }])));
    }
    await goneOr(socket, sleep(500));
  });
  await watch('writing until the kept bytes are folded', () => writeMuch(base, camera));
}

/** A frame of the kind that edits come in, whatever its text. */
function textFrame(text: string): Uint8Array {
  return encoding.encode((encoder) => {
    encoding.writeVarUint(encoder, FRAME.edit);
    encoding.writeVarString(encoder, text);
  });
}

/** The state vector of somebody who has the board's writing up to a clock. */
function knows(clock: number): Uint8Array {
  return Y.encodeStateVector(new Map([[CLIENT, clock]]));
}

type Values = readonly (CellAddress & { readonly value: Json })[];

/** Sends edits of a new tab, the next of its own, in one go and waits until all are answered. */
async function sendEdits(socket: LightSocket, edits: readonly Values[]): Promise<void> {
  const clock = new StampClock(Date.now);
  let n = socket.stored + socket.refused;
  const due = socket.stored + socket.refused + edits.length;
  const answered = new Promise<void>((resolve, reject) => {
    socket.onAnswered = () => {
      if (socket.stored + socket.refused >= due) resolve();
    };
    socket.onClosed = () => reject(new Error(`closed with ${socket.closeCode}`));
  });
  for (const values of edits) {
    const stamp = clock.next();
    const entries = values.map((value) => ({ ...value, seen: stamp - 1 }));
    socket.send(messageFrame('edit', { n: ++n, stamp, entries }));
  }
  await answered;
  socket.onClosed = () => {};
  if (socket.refused > 0) throw new Error(`${socket.refused} edits were refused`);
}

let tabs = 0;

async function burst(base: BaseServer, member: Member, edits: number, entries: number): Promise<void> {
  const socket = await openOnBase(base, member.boardId, member.session, `burst${++tabs}`);
  await sendEdits(
    socket,
    Array.from({ length: edits }, (_, edit) => valuesOf(entries, edit)),
  );
  await socket.close();
}

/** So many values for one edit: one number, a note for each camera, or more fields of each. */
function valuesOf(count: number, turn: number): Values {
  if (count === 1) return [{ ...cellOf(turn % 40), value: 1 + (turn % 90) }];
  const fields = count <= 40 ? ['note'] : ['tint', 'focalLengthMm', 'keyLux', 'fillLux', 'bearingDeg'];
  return Array.from({ length: count }, (_, index) => {
    const place = Math.floor(index / fields.length) % (DAY.setups * DAY.cameras.length);
    const camera = DAY.cameras[place % DAY.cameras.length] ?? 'A';
    const field = fields[index % fields.length] ?? 'note';
    return {
      table: 'picture',
      record: `${setupId(0, Math.floor(place / DAY.cameras.length))}.${camera}`,
      field,
      value: field === 'note' ? `${turn} ${LONG_TEXT}` : 1 + ((turn + index) % 90),
    };
  });
}

/** Writes until more has been written than a base keeps beside its snapshot of the board. */
async function writeMuch(base: BaseServer, member: Member): Promise<void> {
  const socket = await openOnBase(base, member.boardId, member.session, `much${++tabs}`);
  const whole = (await socket.joined).reduce((sum, frame) => sum + frame.length, 0);
  const enough = Math.max(300_000, whole / 6);
  const before = socket.updateBytes;
  for (let turn = 0; socket.updateBytes - before < enough; turn += 4) {
    await sendEdits(
      socket,
      [0, 1, 2, 3].map((edit) => valuesOf(40, turn + edit)),
    );
  }
  await socket.close();
}

/** Resolves when the base has answered a question for the time: all that was sent before it is handled. */
async function answeredClock(base: BaseServer, socket: LightSocket): Promise<void> {
  const before = socket.clocks;
  socket.askClock();
  while (socket.clocks === before && socket.closeCode === null) await sleep(5);
  await base.usage();
}

function goneOr(socket: LightSocket, otherwise: Promise<void>): Promise<void> {
  const gone = new Promise<void>((resolve) => {
    socket.onClosed = resolve;
    if (socket.closeCode !== null) resolve();
  });
  return Promise.race([gone, otherwise]).then(() => socket.close());
}

function sleep(milliseconds: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, milliseconds));
}
