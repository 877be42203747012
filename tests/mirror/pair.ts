import { type Base, type BaseOptions, Database, verifyDatabase } from '@plumbline/base';
import { expect, onTestFinished } from 'vitest';
import { z } from 'zod';
import { documentAtEnd } from '../../apps/base/src/backup/boardReplay.ts';
import { call, joinWith, type Member, type Reachable, startTestBase } from '../support/base.ts';
import { until } from '../support/clients.ts';
import { startUnit, type Unit } from '../support/unit.ts';
import { type MirrorLine, openMirrorLine } from './line.ts';

type TestBase = Awaited<ReturnType<typeof startTestBase>>;

/** Quick enough for tests; what is waited for is the same. */
export const MIRROR_LIMITS: NonNullable<BaseOptions['mirrorLimits']> = {
  kbits: 1_000_000,
  pace: { gatherMs: 3, heartbeatMs: 60, firstPauseMs: 4, longestPauseMs: 30, refusedPauseMs: 60 },
  lookMs: 20,
};

/** What a base tells of mirrors, to its admin. */
const listSchema = z.object({
  kept: z.array(
    z.looseObject({
      id: z.string(),
      board: z.string().nullable(),
      asOf: z.number().nullable(),
      behindMs: z.number().nullable(),
      rowsBehind: z.int(),
    }),
  ),
  sent: z.array(
    z.looseObject({
      state: z.looseObject({ kind: z.string(), why: z.string().optional(), words: z.string().optional() }),
      seq: z.int().nullable(),
      rowsBehind: z.int(),
      photosWaiting: z.int(),
    }),
  ),
});

export async function listed(base: Reachable): Promise<z.infer<typeof listSchema>> {
  return listSchema.parse((await call(base, 'GET', '/api/mirrors', { token: base.adminKey })).body);
}

const acceptedSchema = z.object({ id: z.string(), key: z.string(), directorKey: z.string() });
export type Accepted = z.infer<typeof acceptedSchema>;

/** Makes a mirror on a base. */
export async function accept(base: Reachable, title = 'A mirror'): Promise<Accepted> {
  const { body } = await call(base, 'POST', '/api/mirrors', { token: base.adminKey, body: { title } });
  return acceptedSchema.parse(body);
}

/** Sends a board to a mirror. */
export async function sendTo(base: Reachable, board: string, url: string, key: string): Promise<number> {
  const { status } = await call(base, 'PUT', `/api/boards/${board}/mirror`, {
    token: base.adminKey,
    body: { url, key },
  });
  return status;
}

/** A base on location with a board, another far away, and the line between them. */
export interface Pair extends Unit {
  readonly base: TestBase;
  readonly far: TestBase;
  readonly line: MirrorLine;
  readonly keys: Accepted;
  readonly boardId: string;
}

/** Starts both and lets one follow the other; all ends with the test. */
export async function startPair(
  options: {
    readonly near?: Partial<BaseOptions>;
    readonly far?: Partial<BaseOptions>;
    readonly kbits?: number;
    readonly isPaired?: boolean;
  } = {},
): Promise<Pair> {
  const unit = await startUnit({ mirrorLimits: MIRROR_LIMITS, ...options.near });
  const far = await startTestBase({ mirrorLimits: MIRROR_LIMITS, ...options.far });
  onTestFinished(far.stop);
  const line = await openMirrorLine(far.port, options.kbits);
  onTestFinished(line.close);
  const keys = await accept(far);
  const boardId = unit.board.boardId;
  if (options.isPaired ?? true) expect(await sendTo(unit.base, boardId, line.url, keys.key)).toBe(204);
  return { ...unit, base: unit.base as TestBase, far, line, keys, boardId };
}

/** Two bases, and the board that one keeps for the other. */
export interface Ends {
  readonly base: Pick<Base, 'url' | 'adminKey' | 'folder'>;
  readonly far: Pick<Base, 'url' | 'adminKey' | 'folder'>;
  readonly boardId: string;
}

/** Resolves when the far base has every row of the near one. */
export async function caughtUp({
  base,
  boardId,
}: {
  readonly base: Reachable;
  readonly boardId: string;
}): Promise<void> {
  await until(
    async () => {
      const [sent] = (await listed(base)).sent;
      return sent?.state.kind === 'following' && sent.rowsBehind === 0;
    },
    `the mirror of ${boardId} to have caught up`,
    60_000,
  );
}

/** Somebody who reads along at the far base. */
export async function visitor(far: Reachable, boardId: string, name = 'Pia'): Promise<Member> {
  const { status, body } = await call(far, 'PUT', `/api/boards/${boardId}/invites/guest`, {
    token: far.adminKey,
  });
  expect(status).toBe(200);
  return joinWith(far, z.object({ invite: z.string() }).parse(body).invite, name);
}

/** Every row of a board as the data file holds it, and the end of its chain. */
export function rowsIn(base: Ends['base'], board: string): { rows: string; sum: string; flaws: unknown } {
  const database = new Database(base.folder.database, null);
  try {
    const rows = database.all(
      z.record(z.string(), z.unknown()),
      `SELECT seq, epoch, at, person, writer, n, stamp, edit, outcome, hex(bytes) AS bytes, hex(sum) AS sum
       FROM rows WHERE board = ? ORDER BY seq`,
      [board],
    );
    const { boards, flaws } = verifyDatabase(database);
    const sum = boards.find(({ id }) => id === board)?.sum ?? '';
    return { rows: rows.map((row) => JSON.stringify(row)).join('\n'), sum, flaws };
  } finally {
    database.close();
  }
}

/** The document of a board as its log tells it, as bytes of Yjs. */
export async function documentIn(base: Ends['base'], board: string): Promise<Uint8Array> {
  const { encodeStateAsUpdate } = await import('yjs');
  const database = new Database(base.folder.database, null);
  try {
    return encodeStateAsUpdate(documentAtEnd(database, board).doc);
  } finally {
    database.close();
  }
}

/** Both ends hold the same rows and the same document, to the last byte, and no check finds anything wrong. */
export async function expectEqualEnds({ base, far, boardId }: Ends): Promise<void> {
  const here = rowsIn(base, boardId);
  const there = rowsIn(far, boardId);
  expect(there.rows).toBe(here.rows);
  expect(there.sum).toBe(here.sum);
  expect(there.flaws).toEqual([]);
  expect(Buffer.compare(await documentIn(far, boardId), await documentIn(base, boardId))).toBe(0);
}
