import { type ChildProcess, fork } from 'node:child_process';
import { connect, type Socket } from 'node:net';
import { fileURLToPath } from 'node:url';
import { boardDefinition } from '@plumbline/shared';
import { expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import {
  call,
  createBoard,
  joinAs,
  type Member,
  type NewBoard,
  type Reachable,
  temporaryFolder,
} from '../support/base.ts';
import { openTablet, RawSocket, syncUrl, until } from '../support/clients.ts';
import { PATIENCE_MS, size, tell } from './size.ts';

const HANDSHAKES = size(10_000, 200);
const HALF_OPEN = size(1000, 60);
const STALLED = size(50, 5);
/** Edits of nine hundred bytes each that the stalled readers do not read. */
const EDITS = size(10_000, 300);

interface Measured extends Reachable {
  readonly board: NewBoard;
  readonly director: Member;
  /** Bytes that its heap and buffers hold, after collecting what is not in use. */
  held(): Promise<number>;
  figure(name: string): Promise<number>;
}

async function measuredBase(): Promise<Measured> {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const script = fileURLToPath(new URL('measuredBase.mjs', import.meta.url));
  const child: ChildProcess = fork(script, [folder.path], {
    execArgv: ['--expose-gc'],
    stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
  });
  onTestFinished(async () => {
    const ended = new Promise((resolve) => child.on('exit', resolve));
    child.send('stop');
    await ended;
  });
  const answer = <T>(schema: z.ZodType<T>): Promise<T> =>
    new Promise((resolve) => child.once('message', (message) => resolve(schema.parse(message))));
  const reachable = await answer(z.object({ url: z.string(), adminKey: z.string() }));
  const board = await createBoard(reachable);
  const director = await joinAs(reachable, board, 'director');
  return {
    ...reachable,
    board,
    director,
    held: async () => {
      const told = answer(z.object({ held: z.number() }));
      child.send('memory');
      return (await told).held;
    },
    figure: async (name) =>
      Number(
        new RegExp(`^${name}(?:\\{[^}]*\\})? (\\d+)$`, 'm').exec(
          String((await call(reachable, 'GET', '/metrics')).body),
        )?.[1] ?? 0,
      ),
  };
}

/** What the base holds once it has done the thing a few times, so that only what grows is told. */
async function growth(base: Measured, act: () => Promise<void>): Promise<number> {
  await act();
  await until(async () => (await base.figure('plumbline_sockets')) === 0, 'no socket to be left');
  const before = await base.held();
  await act();
  await until(async () => (await base.figure('plumbline_sockets')) === 0, 'no socket to be left');
  const after = await base.held();
  tell(`held before ${(before / 1e6).toFixed(1)} MB, after ${(after / 1e6).toFixed(1)} MB`);
  return after / before;
}

it(
  `${HANDSHAKES} refused handshakes leave nothing behind`,
  async () => {
    const base = await measuredBase();
    const refuse = async (): Promise<void> => {
      for (let done = 0; done < HANDSHAKES; done += 20) {
        const sockets = Array.from({ length: 20 }, (_, index) =>
          index % 2
            ? new RawSocket(syncUrl(base, base.board.boardId, 'a'))
            : new RawSocket(syncUrl(base, 'nowhere', 'a'), {
                authorization: `Bearer ${base.director.session}`,
              }),
        );
        for (const [index, socket] of sockets.entries())
          expect(await socket.closed).toBe(index % 2 ? 4401 : 4403);
      }
    };
    expect(await growth(base, refuse)).toBeLessThan(1.1);
  },
  PATIENCE_MS,
);

it(
  `${HALF_OPEN} half-open connections hinder nobody, and leave nothing behind when they go`,
  async () => {
    const base = await measuredBase();
    const port = Number(new URL(base.url).port);
    const open = async (): Promise<void> => {
      const halves: Socket[] = [];
      for (let i = 0; i < HALF_OPEN; i++) {
        const half = connect(port, '127.0.0.1');
        half.on('error', () => {});
        await new Promise((resolve) => half.once('connect', resolve));
        halves.push(half);
        // Some say nothing, some half of what they want, some all of a handshake that nobody ends.
        if (i % 3 === 1) half.write(`GET /sync/${base.board.boardId} HTTP/1.1\r\nHost: x\r\n`);
        if (i % 3 === 2) {
          half.write(
            `GET /sync/${base.board.boardId} HTTP/1.1\r\nHost: x\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n` +
              'Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n',
          );
        }
      }
      const tablet = await openTablet(base, base.director, boardDefinition);
      tablet.set('crew', 'c1', 'name', `among ${HALF_OPEN}`);
      await tablet.settled();
      tablet.close();
      for (const half of halves) half.destroy();
    };
    expect(await growth(base, open)).toBeLessThan(1.1);
  },
  PATIENCE_MS,
);

it(
  `${STALLED} readers that stop reading cost a bounded amount, hinder nobody, and leave nothing behind`,
  async () => {
    const base = await measuredBase();
    const stall = async (): Promise<void> => {
      const stalled = await Promise.all(
        Array.from({ length: STALLED }, async () => {
          const member = await joinAs(base, base.board, 'camera');
          const raw = new RawSocket(syncUrl(base, base.board.boardId, 'stalled'), {
            authorization: `Bearer ${member.session}`,
          });
          await raw.message('hello');
          raw.send(new Uint8Array([0, 0, 1, 0]));
          await until(() => raw.frames.some(([type]) => type === 0), 'the document');
          raw.socket.pause();
          return raw;
        }),
      );
      const loader = await joinAs(base, base.board, 'camera');
      const writer = await openTablet(base, loader, boardDefinition);
      for (let i = 0; i < EDITS; i++) {
        // One cell, so that the document itself does not grow with what was overwritten.
        writer.set('cards', 'k1', 'note', `${i} ${'\u6f22'.repeat(290)}`);
        if (i % 50 === 49) await writer.settled();
      }
      await writer.settled();
      // Each reader may keep 8 MB waiting at the very most; of small edits it is far less.
      expect(await base.figure('plumbline_socket_buffered_bytes')).toBeLessThan(STALLED * 8e6);
      writer.close();
      for (const raw of stalled) raw.socket.terminate();
    };
    expect(await growth(base, stall)).toBeLessThan(1.1);
  },
  PATIENCE_MS,
);
