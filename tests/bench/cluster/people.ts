import { setTimeout as wait } from 'node:timers/promises';
import { type CellAddress, messageFrame, StampClock } from '@plumbline/replica';
import { createBoard, joinAs, type Member, type Reachable } from '../../support/base.ts';
import { type Author, greetingOf, openOnBase } from '../clients/contestants.ts';
import type { LightSocket } from '../clients/socket.ts';

/** How many boards are being made or opened at one moment. */
const AT_ONCE = 16;

let tabs = 0;

/** What had to be tried again, since a base did not take it. */
export const troubles: string[] = [];

const ATTEMPTS = 5;
const AGAIN_MS = 500;

/** Does something as people do: where it does not work they try again a little later. */
async function patiently<T>(what: string, act: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await act();
    } catch (error) {
      if (attempt === ATTEMPTS) throw error;
      troubles.push(`${what}: ${error instanceof Error ? error.message : String(error)}`);
      await wait(AGAIN_MS);
    }
  }
}

/** Somebody of the camera department on a new board. */
export async function newBoard(base: Reachable): Promise<Member> {
  const board = await patiently('a new board', () => createBoard(base, 'The tide tables'));
  return patiently('joining', () => joinAs(base, board, 'camera'));
}

export function newBoards(base: Reachable, count: number): Promise<Member[]> {
  return eachOf(Array.from({ length: count }), () => newBoard(base));
}

/** Where an author writes: nobody else in the bench writes there. */
export function noteOf(author: number): CellAddress {
  return { table: 'cards', record: `k${author}`, field: 'note' };
}

/** Opens a tablet that sets the note of one card, again and again. */
export async function openAuthor(
  base: Reachable,
  { boardId, session }: Member,
  number: number,
): Promise<Author> {
  const tab = `tab${++tabs}`;
  const socket = await patiently('opening', () => openOnBase(base, boardId, session, tab));
  const { writer, last } = greetingOf(socket);
  const clock = new StampClock(Date.now);
  let n = last;
  const author: Author = {
    socket,
    onAnswer: () => {},
    write: () => {
      author.writeAll([{ ...noteOf(number), value: `full at ${clock.highest}` }]);
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

/** A socket that only reads. */
export function openReader(base: Reachable, { boardId, session }: Member): Promise<LightSocket> {
  return patiently('opening', () => openOnBase(base, boardId, session, null));
}

/** Does something for each of a list, some at once. */
export async function eachOf<T, R>(
  list: readonly T[],
  act: (each: T, index: number) => Promise<R>,
): Promise<R[]> {
  const results: R[] = [];
  for (let at = 0; at < list.length; at += AT_ONCE) {
    results.push(
      ...(await Promise.all(list.slice(at, at + AT_ONCE).map((each, index) => act(each, at + index)))),
    );
  }
  return results;
}

export async function closeAll(authors: readonly Author[]): Promise<void> {
  await Promise.all(authors.map(({ socket }) => socket.close()));
}

/** Writes, and resolves to when the author's next answer came. */
export function answered(author: Author, write: () => void): Promise<number> {
  return new Promise((resolve, reject) => {
    author.socket.onClosed = () => reject(new Error(`closed with ${author.socket.closeCode}`));
    author.onAnswer = () => resolve(performance.now());
    write();
  });
}
