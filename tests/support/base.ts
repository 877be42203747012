import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Base, type BaseOptions, startBase } from '@plumbline/base';
import { z } from 'zod';
import { toyKind } from './toyKind.ts';

/** A folder that goes away with the test. */
export function temporaryFolder(name = 'plumbline'): { path: string; remove(): void } {
  const path = mkdtempSync(join(tmpdir(), `${name}-`));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

/** Somebody who has joined. */
export interface Member {
  readonly boardId: string;
  readonly personId: string;
  readonly role: string;
  readonly session: string;
  readonly expiresAt: number;
}

const boardSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });
const memberSchema = z.object({
  boardId: z.string(),
  personId: z.string(),
  role: z.string(),
  session: z.string(),
  expiresAt: z.number(),
});

export interface NewBoard {
  readonly boardId: string;
  readonly invites: Readonly<Record<string, string>>;
}

/** Anything that answers like a base, in this process or another. */
export interface Reachable {
  readonly url: string;
  readonly adminKey: string;
}

/** A JSON request; the answer is read as JSON where it is some. */
export async function call(
  base: Reachable,
  method: string,
  path: string,
  options: {
    readonly token?: string | undefined;
    readonly body?: unknown;
    readonly headers?: Record<string, string>;
  } = {},
): Promise<{ status: number; headers: Headers; body: unknown }> {
  const { token, body, headers } = options;
  const response = await fetch(base.url + path, {
    method,
    headers: {
      ...(token === undefined ? {} : { authorization: `Bearer ${token}` }),
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      // a connection that is kept may be closed by the base, as idle, in the moment that it is used again
      connection: 'close',
      ...headers,
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  const text = await response.text();
  const isJson = /json/.test(response.headers.get('content-type') ?? '');
  return { status: response.status, headers: response.headers, body: isJson ? JSON.parse(text) : text };
}

/** Makes a board as the admin. */
export async function createBoard(base: Reachable, title = 'A test'): Promise<NewBoard> {
  const { status, body } = await call(base, 'POST', '/api/boards', { token: base.adminKey, body: { title } });
  if (status !== 201) throw new Error(`POST /api/boards answered ${status}`);
  return boardSchema.parse(body);
}

/** Joins a board. */
export async function joinWith(base: Reachable, invite: string, name: string): Promise<Member> {
  const { status, body } = await call(base, 'POST', '/api/join', { body: { invite, name } });
  if (status !== 200) throw new Error(`POST /api/join answered ${status}: ${JSON.stringify(body)}`);
  return memberSchema.parse(body);
}

/** Joins a board in a role. */
export function joinAs(base: Reachable, board: NewBoard, role: string, name = `A ${role}`): Promise<Member> {
  const invite = board.invites[role];
  if (invite === undefined) throw new Error(`The board has no invite for ${role}`);
  return joinWith(base, invite, name);
}

/** Everything on a board as its view call tells it. */
export async function viewOf(
  base: Reachable,
  member: Member,
): Promise<Record<string, Record<string, Record<string, unknown>>>> {
  const { body } = await call(base, 'GET', `/api/boards/${member.boardId}/view`, { token: member.session });
  return z
    .object({ tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), z.unknown()))) })
    .parse(body).tables;
}

/** Starts a base in this process, on a free port of this machine, in a folder of its own; of toys where nothing is said. */
export async function startTestBase(
  options: Partial<BaseOptions> = {},
): Promise<Base & { readonly dataFolder: string; restart(changes?: Partial<BaseOptions>): Promise<Base> }> {
  const folder = options.dataFolder === undefined ? temporaryFolder() : null;
  const all: BaseOptions = {
    kind: toyKind,
    dataFolder: folder?.path ?? '',
    tabletFolder: join(tmpdir(), 'no-tablet-here'),
    version: '0.0.0',
    ...options,
  };
  const base = await startBase(all);
  return {
    ...base,
    dataFolder: all.dataFolder,
    stop: async () => {
      await base.stop();
      folder?.remove();
    },
    restart: async (changes = {}) => {
      await base.stop();
      const again = await startBase({ ...all, ...changes });
      return {
        ...again,
        stop: async () => {
          await again.stop();
          folder?.remove();
        },
      };
    },
  };
}
