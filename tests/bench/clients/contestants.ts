import {
  type Cell,
  type CellAddress,
  type CellWrite,
  cellSchema,
  helloSchema,
  type Json,
  messageFrame,
  newDocument,
  readFrame,
  readMessage,
  StampClock,
  syncFrame,
  writeCells,
} from '@plumbline/replica';
import * as encoding from 'lib0/encoding';
import * as Y from 'yjs';
import { joinAs } from '../../support/base.ts';
import type { Bench, PlacedBoards, ShootDocument } from '../bench.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { type ServerProcess, startServer } from '../children.ts';
import { LightSocket } from './socket.ts';

/** Somebody at a tablet who sets values, one at a time. */
export interface Author {
  readonly socket: LightSocket;
  /** Sets a value of their own; returns the name it will be observed under. */
  write(): string;
  /** Sets several values at once. */
  writeAll(values: readonly (CellAddress & { readonly value: Json })[]): void;
  /** Called when the server has answered a value of this author, or sent it back. */
  onAnswer: () => void;
}

/** A server in the comparison. */
export interface Contestant {
  readonly name: 'base' | 'relay' | 'yjs';
  readonly server: ServerProcess;
  /** Somebody who only reads, on the board at this place in the list. */
  openReader(board: number, vector?: Uint8Array): Promise<LightSocket>;
  /** Somebody who writes. */
  openAuthor(number: number, board?: number): Promise<Author>;
}

/** The fields that authors set, each a number that a person types now and then. */
const TYPED = ['keyLux', 'fillLux', 'focusDistanceM', 'focalLengthMm', 'tint', 'bearingDeg'] as const;

/** Where an author writes: a field of a camera at a setup that nobody else in the bench writes. */
export function cellOf(author: number): CellAddress {
  const cameras = DAY.cameras.length;
  const places = DAY.setups * cameras;
  const place = author % places;
  const camera = DAY.cameras[place % cameras] ?? 'A';
  const field = TYPED[Math.floor(author / places) % TYPED.length] ?? 'keyLux';
  return { table: 'picture', record: `${setupId(0, Math.floor(place / cameras))}.${camera}`, field };
}

/** The name of a value that was set: no two have the same. */
export function cellName([, stamp, writer]: Cell): string {
  return `${writer}@${stamp}`;
}

/** The values that a frame with an update carries, by name. */
export function namesIn(frame: Uint8Array): string[] {
  const read = readFrame(frame);
  if (read?.type !== 'sync') return [];
  return Y.decodeUpdate(read.bytes).structs.flatMap((struct) => {
    if (!(struct instanceof Y.Item) || !(struct.content instanceof Y.ContentAny)) return [];
    const cell = cellSchema.safeParse(struct.content.arr[0]);
    return cell.success ? [cellName(cell.data)] : [];
  });
}

/** The base and both baselines, each in a process of its own, with the same boards. */
export async function startAll(
  bench: Bench,
  name: string,
  documents: readonly ShootDocument[],
): Promise<Contestant[]> {
  const placed = await bench.dataFolder(name, documents);
  const argument = {
    documents: Object.fromEntries(documents.map(({ path }, index) => [room(index), path])),
  };
  return [
    await startBaseline('relay', argument),
    await startBaseline('yjs', argument),
    await startBase(placed),
  ];
}

/** Stops them all. */
export async function stopAll(contestants: readonly Contestant[]): Promise<void> {
  await Promise.all(contestants.map(({ server }) => server.stop()));
}

function room(index: number): string {
  return `/${index}`;
}

async function startBaseline(name: 'relay' | 'yjs', argument: unknown): Promise<Contestant> {
  const server = await startServer(`servers/${name}.js`, argument, name);
  const origin = server.url.replace('http', 'ws');
  const open = async (board: number, vector?: Uint8Array): Promise<LightSocket> => {
    const address = { url: origin + room(board), headers: {} };
    // The relay gives what it has of its own accord: a question would only be passed on to all.
    const socket = name === 'relay' ? new LightSocket(address, null) : new LightSocket(address, vector);
    await socket.joined;
    return socket;
  };
  return {
    name,
    server,
    openReader: open,
    openAuthor: async (number, board = 0) => updateAuthor(await open(board), number),
  };
}

/** Yjs client numbers given out: a server that has heard of one takes nothing older from it. */
let clientNumbers = 10_000_000;

/** Writes a document of their own, as Yjs clients do, and knows their updates when they come back. */
function updateAuthor(socket: LightSocket, number: number): Author {
  const client = ++clientNumbers;
  const doc = newDocument(client);
  const address = cellOf(number);
  const clock = new StampClock(Date.now);
  const writer = `a${client}-1`;
  const mine = encoding.encode((encoder) => encoding.writeVarUint(encoder, client));
  const author: Author = {
    socket,
    onAnswer: () => {},
    write: () => {
      author.writeAll([{ ...address, value: typedValue(clock.highest) }]);
      return `${writer}@${clock.highest}`;
    },
    writeAll: (values) => {
      const stamp = clock.next();
      const writes = values.map(({ value, ...at }): CellWrite => ({ ...at, cell: [value, stamp, writer] }));
      socket.send(syncFrame('update', writeCells(doc, writes)));
    },
  };
  socket.onUpdate = (frame) => {
    if (startsWithClient(frame, mine)) author.onAnswer();
  };
  return author;
}

/** Whether an update's first struct is of this client: frame type, step, length, one client, so many structs, client. */
function startsWithClient(frame: Uint8Array, client: Uint8Array): boolean {
  let at = 2;
  while ((frame[at] ?? 0) > 127) at++;
  at += 3;
  return client.every((byte, index) => frame[at + index] === byte);
}

function typedValue(seed: number): number {
  return 1 + (seed % 100);
}

/** A base as a contestant; its authors are of the camera department. */
async function startBase({ boards, readers, start }: PlacedBoards): Promise<Contestant> {
  const server = await start('raised');
  let opened = 0;
  const at = <T>(list: readonly T[], board: number): T => {
    const found = list[board];
    if (found === undefined) throw new Error(`no board ${board}`);
    return found;
  };
  return {
    name: 'base',
    server,
    openReader: (board, vector) => {
      const { boardId, session } = at(readers, board);
      return openOnBase(server, boardId, session, null, vector);
    },
    openAuthor: async (number, board = 0) => {
      const member = await joinAs(server, at(boards, board), 'camera', `Camera ${++opened}`);
      const socket = await openOnBase(server, member.boardId, member.session, `tab${opened}`);
      return editAuthor(socket, number);
    },
  };
}

/** Opens a socket of a session and waits for the board. */
export async function openOnBase(
  server: { readonly url: string },
  boardId: string,
  session: string,
  tab: string | null,
  vector?: Uint8Array,
): Promise<LightSocket> {
  const query = tab === null ? '' : `?tab=${tab}`;
  const url = `${server.url.replace('http', 'ws')}/sync/${boardId}${query}`;
  const socket = new LightSocket({ url, headers: { authorization: `Bearer ${session}` } }, vector);
  await socket.joined;
  return socket;
}

/** The base's name for who writes over this socket, and the last edit that it has of them. */
export function greetingOf(socket: LightSocket): { writer: string; last: number } {
  const frame = socket.greeting && readFrame(socket.greeting);
  const hello = frame?.type === 'hello' ? readMessage(helloSchema, frame.text) : null;
  if (!hello?.writer) throw new Error('the base greeted no writer');
  return { writer: hello.writer, last: hello.last };
}

/** Sends edits as a tablet does. */
function editAuthor(socket: LightSocket, number: number): Author {
  const { writer, last } = greetingOf(socket);
  const address = cellOf(number);
  const clock = new StampClock(Date.now);
  let n = last;
  const author: Author = {
    socket,
    onAnswer: () => {},
    write: () => {
      author.writeAll([{ ...address, value: typedValue(clock.highest) }]);
      return `${writer}@${clock.highest}`;
    },
    writeAll: (values) => {
      const stamp = clock.next();
      const entries = values.map((value) => ({ ...value, seen: stamp - 1 }));
      socket.send(messageFrame('edit', { n: ++n, stamp, entries }));
    },
  };
  socket.onAnswered = () => author.onAnswer();
  return author;
}
