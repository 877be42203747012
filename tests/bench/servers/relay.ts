import { readFileSync } from 'node:fs';
import { syncFrame } from '@plumbline/replica';
import { z } from 'zod';
import { listen, Rooms, roomOf } from './listen.ts';
import { answerRun } from './probe.ts';

/**
 * The least that any server can do: hands whoever comes in the bytes that it was given for the room, and passes every
 * frame on as it is. It reads nothing, keeps nothing and answers for nothing.
 */
const { documents } = z
  .object({ documents: z.record(z.string(), z.string()) })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const kept = new Map<string, Uint8Array>();
const empty = syncFrame('difference', new Uint8Array([0, 0]));
const rooms = new Rooms();

function keptOf(room: string): Uint8Array {
  const path = documents[room];
  const frame = kept.get(room) ?? (path === undefined ? empty : syncFrame('difference', readFileSync(path)));
  kept.set(room, frame);
  return frame;
}

const { url, sockets, stop } = await listen();
sockets.on('connection', (socket, request) => {
  const room = roomOf(request.url);
  rooms.enter(room, socket);
  socket.send(keptOf(room));
  socket.on('message', (data: Buffer) => rooms.say(room, data));
});
answerRun(url, stop);
