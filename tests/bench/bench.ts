import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Database, DataFolder, SqliteLog, shootKind, startBase } from '@plumbline/base';
import { z } from 'zod';
import { createBoard, joinAs, type Member, type NewBoard, type Reachable } from '../support/base.ts';
import { runWorker, type ServerProcess, startServer } from './children.ts';
import type { Findings } from './figures.ts';

/** The client number that all documents of the bench are written under. */
export const CLIENT = 4_310_001;
const ADMIN_KEY = 'bench-admin-key-0123456789';

const documentsSchema = z.array(
  z.object({ days: z.number(), path: z.string(), bytes: z.int(), written: z.int() }),
);

/** An encoded board of an invented shoot. */
export type ShootDocument = z.infer<typeof documentsSchema>[number];

/** What every measure is given. */
export interface Bench {
  /** A folder of its own that goes away with the run. */
  readonly folder: string;
  readonly isSmoke: boolean;
  /** The board of a shoot of so many days or the beginning of one; made once. */
  document(days: number): Promise<ShootDocument>;
  /** Boards of so many days in a new data folder of a base. */
  dataFolder(name: string, boards: readonly ShootDocument[]): Promise<PlacedBoards>;
}

/** One measure of the bench. */
export interface Measure {
  readonly name: string;
  readonly title: string;
  run(bench: Bench): Promise<Findings>;
}

/** A base's data folder with boards in it. */
export interface PlacedBoards {
  readonly dataFolder: string;
  readonly boards: readonly NewBoard[];
  /** A producer on each board: somebody who reads. */
  readonly readers: readonly Member[];
  /** Starts a base on it. */
  start(limits: 'usual' | 'raised'): Promise<BaseServer>;
}

/** A base in a process of its own, as a server and as something that answers calls. */
export interface BaseServer extends ServerProcess, Reachable {}

export function createBench(folder: string, isSmoke: boolean): Bench {
  const documents = new Map<number, ShootDocument>();
  return {
    folder,
    isSmoke,
    document: async (days) => {
      const known = documents.get(days);
      if (known) return known;
      const [made] = await runWorker(
        'workers/documents.js',
        { folder, client: CLIENT, days: [days] },
        documentsSchema,
      );
      if (!made) throw new Error(`no document of ${days} days`);
      documents.set(days, made);
      return made;
    },
    dataFolder: (name, boards) => place(join(folder, name), boards),
  };
}

async function place(dataFolder: string, documents: readonly ShootDocument[]): Promise<PlacedBoards> {
  mkdirSync(dataFolder);
  const start: PlacedBoards['start'] = async (limits) => {
    const argument = { dataFolder, adminKey: ADMIN_KEY, limits };
    return { ...(await startServer('servers/base.js', argument, 'base')), adminKey: ADMIN_KEY };
  };
  // Only to make the boards: what is measured runs in a process of its own.
  const kind = shootKind();
  const base = await startBase({
    kind,
    dataFolder,
    adminKey: ADMIN_KEY,
    tabletFolder: dataFolder,
    version: 'bench',
  });
  const boards: NewBoard[] = [];
  const readers: Member[] = [];
  for (const { days } of documents) {
    const board = await createBoard(base, `${days} days`);
    boards.push(board);
    readers.push(await joinAs(base, board, 'producer'));
  }
  await base.stop();
  const database = new Database(new DataFolder(dataFolder).database);
  for (const [index, { boardId }] of boards.entries()) {
    await putDocument(database, boardId, readFileSync(documents[index]?.path ?? ''));
  }
  database.close();
  return { dataFolder, boards, readers, start };
}

/** Puts a document in the place of a board's own, as if a base had written it and kept a snapshot. */
async function putDocument(database: Database, board: string, bytes: Uint8Array): Promise<void> {
  const log = new SqliteLog(database);
  const epoch = database.one(z.object({ id: z.string() }), 'SELECT id FROM epochs WHERE board = ?', [board]);
  if (!epoch) throw new Error(`no board ${board}`);
  database.run('UPDATE epochs SET client = ? WHERE board = ?', [CLIENT, board]);
  await log.saveSnapshot(board, { epoch: epoch.id, seq: (await log.end(board)).seq, bytes });
}
