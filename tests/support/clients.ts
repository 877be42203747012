import {
  type BoardDefinition,
  ClockOffset,
  Link,
  messageFrame,
  Replica,
  readFrame,
  type Tables,
} from '@plumbline/replica';
import { WebSocket } from 'ws';
import type { Member, Reachable } from './base.ts';

/** Resolves when `holds` does, asked again whenever something may have changed; rejects after a long while. */
export async function until(
  holds: () => boolean | Promise<boolean>,
  what = 'it',
  milliseconds = 120_000,
): Promise<void> {
  const end = Date.now() + milliseconds;
  for (let asked = 0; ; asked++) {
    const held = holds();
    if (await held) return;
    if (Date.now() > end) throw new Error(`waited ${milliseconds} ms for ${what}`);
    // What is near comes within a few turns of the event loop; for the rest there is no hurry, and a server that has to
    // be asked has better things to do than to answer.
    const isNear = typeof held === 'boolean';
    const pause = isNear ? 5 : Math.min(50, 5 + asked);
    await new Promise((resolve) =>
      isNear && asked < 200 ? setImmediate(resolve) : setTimeout(resolve, pause),
    );
  }
}

/** The address of a board's socket. */
export function syncUrl(base: Reachable, boardId: string, tab?: string): string {
  const query = tab === undefined ? '' : `?tab=${encodeURIComponent(tab)}`;
  return `${base.url.replace(/^http/, 'ws')}/sync/${boardId}${query}`;
}

/** A tablet without a screen: the package's own replica and link over a real socket. */
export interface TestTablet<S extends Tables> {
  readonly replica: Replica<S>;
  readonly link: Link<S>;
  /** The codes that its sockets were closed with, in order. */
  readonly closes: readonly number[];
  /** Sets a value and sends it; throws where this tablet itself refuses it. */
  set(
    table: string,
    record: string,
    field: string,
    value: Parameters<Replica<S>['set']>[0][number]['value'],
    seen?: number,
  ): number;
  /** Resolves when everything that was set has been answered. */
  settled(): Promise<void>;
  value(table: string, record: string, field: string): unknown;
  /** Drops the network without a word. */
  cut(): void;
  close(): void;
}

/** Opens a tablet on its member's board; resolves when it is greeted and has the document. */
export async function openTablet<S extends Tables>(
  base: Reachable,
  member: Member,
  definition: BoardDefinition<S>,
  options: { readonly tab?: string; readonly now?: () => number } = {},
): Promise<TestTablet<S>> {
  const { tab = `tab-${Math.random().toString(36).slice(2)}`, now = Date.now } = options;
  const clock = new ClockOffset();
  const replica = new Replica({
    definition,
    now: () => now() + clock.offset,
    person: { id: member.personId, role: member.role },
  });
  let epoch: string | null = null;
  let socket: WebSocket | null = null;
  let differences = 0;
  const closes: number[] = [];
  const link = new Link({
    replica,
    clock,
    epoch: () => epoch,
    onEpoch: (given) => {
      epoch = given;
    },
    ports: {
      now,
      random: () => 0.1,
      after: (milliseconds, act) => {
        const timer = setTimeout(act, milliseconds);
        return () => clearTimeout(timer);
      },
      open: (events) => {
        const opened = openSocket(base, member.boardId, member.session, tab);
        socket = opened;
        opened.on('open', () => events.opened());
        opened.on('message', (data: Buffer) => {
          const frame = readFrame(data);
          events.received(data);
          if (frame?.type === 'sync' && frame.step === 'difference') differences++;
        });
        opened.on('close', (code) => {
          closes.push(code);
          events.closed(code);
        });
        return {
          send: (bytes) => opened.readyState === WebSocket.OPEN && opened.send(bytes),
          close: () => opened.close(),
        };
      },
    },
  });
  link.connect();
  await until(() => differences > 0 || link.status.peek().kind === 'ended', 'the first difference');
  return {
    replica,
    link,
    closes,
    set: (table, record, field, value, seen) => {
      const outcome = replica.set([{ table, record, field, value, ...(seen === undefined ? {} : { seen }) }]);
      if (outcome.kind === 'refused') throw new Error(`refused here: ${outcome.decision.code}`);
      if (outcome.kind === 'unchanged') return 0;
      link.send(outcome.edit);
      return outcome.edit.n;
    },
    settled: () => until(() => replica.waiting.peek() === 0, 'an empty outbox'),
    value: (table, record, field) => replica.shown.cell(table, record, field)?.[0],
    cut: () => socket?.terminate(),
    close: () => link.disconnect(),
  };
}

function openSocket(base: Reachable, boardId: string, session: string | undefined, tab?: string): WebSocket {
  const socket = new WebSocket(syncUrl(base, boardId, tab), {
    ...(session === undefined ? {} : { headers: { authorization: `Bearer ${session}` } }),
  });
  socket.on('error', () => {});
  return socket;
}

/** A socket that a test speaks over byte by byte. */
export class RawSocket {
  readonly frames: Uint8Array[] = [];
  readonly texts: string[] = [];
  /** The code that the socket was closed with. */
  readonly closed: Promise<number>;
  readonly opened: Promise<void>;
  readonly socket: WebSocket;
  isClosed = false;

  constructor(url: string, headers: Record<string, string> = {}) {
    this.socket = new WebSocket(url, { headers });
    this.socket.on('message', (data: Buffer, isBinary: boolean) => {
      if (isBinary) this.frames.push(new Uint8Array(data));
      else this.texts.push(data.toString());
    });
    this.opened = new Promise((resolve, reject) => {
      this.socket.on('open', () => resolve());
      this.socket.on('error', reject);
    });
    this.opened.catch(() => {});
    this.closed = new Promise((resolve) =>
      this.socket.on('close', (code) => {
        this.isClosed = true;
        resolve(code);
      }),
    );
  }

  send(bytes: Uint8Array | string): void {
    this.socket.send(bytes);
  }

  /** Sends an edit as JSON, whatever it holds. */
  edit(edit: unknown): void {
    this.send(messageFrame('edit', edit));
  }

  /** All messages of a kind that have come, parsed. */
  messages(type: 'hello' | 'stored' | 'refused' | 'clock'): Record<string, unknown>[] {
    return this.frames.flatMap((bytes) => {
      const frame = readFrame(bytes);
      return frame?.type === type ? [JSON.parse(frame.text) as Record<string, unknown>] : [];
    });
  }

  /** Resolves to the first message of a kind that fits. */
  async message(
    type: 'hello' | 'stored' | 'refused' | 'clock',
    fits: (message: Record<string, unknown>) => boolean = () => true,
  ): Promise<Record<string, unknown>> {
    await until(() => this.isClosed || this.messages(type).some(fits), `a message ${type}`);
    const found = this.messages(type).find(fits);
    if (!found) throw new Error(`closed with ${await this.closed} before a message ${type}`);
    return found;
  }

  close(): void {
    this.socket.close();
  }
}

/** Opens a raw socket as somebody who has joined; resolves when it is greeted. */
export async function openRaw(
  base: Reachable,
  member: Member,
  tab?: string,
  headers: Record<string, string> = {},
): Promise<RawSocket> {
  const raw = new RawSocket(syncUrl(base, member.boardId, tab), {
    authorization: `Bearer ${member.session}`,
    ...headers,
  });
  await raw.opened;
  await raw.message('hello');
  return raw;
}
