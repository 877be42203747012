import { readFileSync } from 'node:fs';
import { readFrame, syncFrame } from '@plumbline/replica';
import * as Y from 'yjs';
import { z } from 'zod';
import { listen, Rooms, roomOf } from './listen.ts';
import { answerRun } from './probe.ts';

/**
 * A Yjs server as one writes it first: a document per room, every update applied and passed on, whoever comes in
 * answered by encoding what they lack. It checks nothing and keeps nothing on disk.
 */
const { documents } = z
  .object({ documents: z.record(z.string(), z.string()) })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const docs = new Map<string, Y.Doc>();
const rooms = new Rooms();

function docOf(room: string): Y.Doc {
  let doc = docs.get(room);
  if (!doc) {
    doc = new Y.Doc();
    const path = documents[room];
    if (path !== undefined) Y.applyUpdate(doc, readFileSync(path));
    doc.on('update', (update: Uint8Array) => rooms.say(room, syncFrame('update', update)));
    docs.set(room, doc);
  }
  return doc;
}

const { url, sockets, stop } = await listen();
sockets.on('connection', (socket, request) => {
  const room = roomOf(request.url);
  const doc = docOf(room);
  rooms.enter(room, socket);
  socket.send(syncFrame('stateVector', Y.encodeStateVector(doc)));
  socket.on('message', (data: Buffer) => {
    const frame = readFrame(data);
    if (frame?.type !== 'sync') return;
    if (frame.step !== 'stateVector') Y.applyUpdate(doc, frame.bytes, socket);
    else socket.send(syncFrame('difference', Y.encodeStateAsUpdate(doc, frame.bytes)));
  });
});
answerRun(url, stop);
