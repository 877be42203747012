import { randomUUID } from 'node:crypto';
import {
  type BoardReader,
  type Change,
  ClockOffset,
  Link,
  type LinkStatus,
  Replica,
  readFrame,
  sameJson,
} from '@plumbline/replica';
import { boardDefinition } from '@plumbline/shared';
import type { Actor, Step } from '@plumbline/shared/rehearsal';
import { type ClientOptions, WebSocket } from 'ws';
import * as z from 'zod';
import { CommandError } from './commandError.ts';

/** The way into a base. */
export interface Door {
  /** `http://127.0.0.1:PORT`, or https. */
  readonly url: string;
  readonly ask: (request: Request) => Promise<Response>;
  /** What a socket to it needs beside its address, such as how its certificate is known. */
  readonly socket?: ClientOptions;
}

/** Somebody at a tablet without a screen, over the public wire. */
export interface Player {
  readonly name: string;
  readonly actor: Actor;
  readonly now: () => number;
  /** The board as this tablet shows it now. */
  readonly reader: () => BoardReader;
  /**
   * Makes an edit; resolves when the base has it on disk, to its stamp: 0 where all of it stood already, `null` where it
   * was not taken, since somebody else did something meanwhile.
   */
  make(changes: readonly Change[]): Promise<number | null>;
  /** Resolves when this tablet shows what was set, or what was set after it. */
  sees(changes: readonly Change[], stamp: number): Promise<void>;
  goTo(place: Step['at']): void;
  close(): void;
}

/** A tablet asks this often whether what it waits for has come, ms. */
const ASK_EVERY_MS = 5;
const LONGEST_WAIT_MS = 30_000;

const joinAnswer = z.object({
  boardId: z.string(),
  personId: z.string(),
  role: z.string(),
  session: z.string(),
});

const problemAnswer = z.object({ detail: z.string() });

async function joined(door: Door, invite: string, name: string): Promise<z.infer<typeof joinAnswer>> {
  const answer = await door.ask(
    new Request(`${door.url}/api/join`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ invite, name }),
    }),
  );
  const told: unknown = await answer.json();
  if (answer.ok) return joinAnswer.parse(told);
  const problem = problemAnswer.safeParse(told);
  throw new CommandError(problem.success ? problem.data.detail : `The base answered ${answer.status}.`);
}

/** Joins a board and opens a tablet on it; resolves when it is greeted and has the board. */
export async function enter(
  door: Door,
  { invite, name }: { readonly invite: string; readonly name: string },
): Promise<Player> {
  const member = await joined(door, invite, name);
  const clock = new ClockOffset();
  const now = (): number => Date.now() + clock.offset;
  const replica = new Replica({
    definition: boardDefinition,
    now,
    person: { id: member.personId, role: member.role },
  });
  let epoch: string | null = null;
  let hasBoard = false;
  const url = `${door.url.replace(/^http/, 'ws')}/sync/${member.boardId}?tab=${randomUUID()}`;
  const link = new Link({
    replica,
    clock,
    epoch: () => epoch,
    onEpoch: (given) => {
      epoch = given;
    },
    ports: {
      now: Date.now,
      random: Math.random,
      after: (milliseconds, act) => {
        const timer = setTimeout(act, milliseconds);
        return () => clearTimeout(timer);
      },
      open: (events) => {
        const socket = new WebSocket(url, {
          ...door.socket,
          headers: { authorization: `Bearer ${member.session}` },
        });
        // the close that follows an error is what counts
        socket.on('error', () => {});
        socket.on('open', () => events.opened());
        socket.on('message', (data) => {
          if (!Buffer.isBuffer(data)) return;
          const frame = readFrame(data);
          events.received(data);
          if (frame?.type === 'sync' && frame.step === 'difference') hasBoard = true;
        });
        socket.on('close', (code) => events.closed(code));
        return {
          send: (bytes) => {
            if (socket.readyState === WebSocket.OPEN) socket.send(bytes);
          },
          close: () => socket.close(),
        };
      },
    },
  });
  const until = async (holds: () => boolean, what: string): Promise<void> => {
    for (const end = Date.now() + LONGEST_WAIT_MS; !holds(); ) {
      const status: LinkStatus = link.status.peek();
      if (status.kind === 'ended' || status.kind === 'outdated' || status.kind === 'epoch')
        throw new CommandError(`${name} was sent away by the base.`);
      if (Date.now() > end) throw new CommandError(`${name} waited too long for ${what}.`);
      await new Promise((resolve) => setTimeout(resolve, ASK_EVERY_MS));
    }
  };
  link.connect();
  await until(() => hasBoard && replica.writer !== null, 'the board');
  const actor: Actor = {
    person: member.personId,
    writer: replica.writer?.id ?? member.personId,
    role: member.role,
  };
  return {
    name,
    actor,
    now,
    reader: () => replica.shown,
    make: async (changes) => {
      const outcome = replica.set(changes);
      if (outcome.kind === 'refused') return null;
      if (outcome.kind === 'unchanged') return 0;
      link.send(outcome.edit);
      await until(() => replica.waiting.peek() === 0, 'the base to store an edit');
      const refused = replica.tray.peek();
      for (const item of refused) replica.dropFromTray(item);
      return refused.length > 0 ? null : outcome.edit.stamp;
    },
    sees: (changes, stamp) =>
      until(
        () =>
          changes.every(({ table, record, field, value }) => {
            const cell = replica.shown.cell(table, record, field);
            // what stood already was not written again
            return (cell?.[1] ?? 0) >= stamp || sameJson(cell?.[0] ?? null, value);
          }),
        'what another set',
      ),
    goTo: ({ screen, record }) => link.setPresence(record === undefined ? { screen } : { screen, record }),
    close: () => link.disconnect(),
  };
}
