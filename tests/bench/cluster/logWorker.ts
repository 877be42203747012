import { join } from 'node:path';
import { Database, Engine, JetStreamLog, type Log, type LogRow, SqliteLog } from '@plumbline/base';
import { newDocument, stampAt, writeCells } from '@plumbline/replica';
import { z } from 'zod';
import { quantile } from '../figures.ts';
import { BOARDS, type LogFigures } from './logAlone.ts';
import { noteOf } from './people.ts';

/**
 * Appends rows of one value to three logs in turn: SQLite in a file, JetStream on one server, JetStream on three. First
 * a row at a time on one board, then one of each of several boards at once, as a base's turn does it.
 */
const { folder, one, three, turns, milliseconds } = z
  .object({
    folder: z.string(),
    one: z.array(z.string()),
    three: z.array(z.string()),
    turns: z.int(),
    milliseconds: z.number(),
  })
  .parse(JSON.parse(process.argv[2] ?? '{}'));

const MORNING = Date.UTC(2031, 2, 1, 7);
const EPOCH = 'bench';
const doc = newDocument(7);

interface Subject {
  readonly of: string;
  readonly log: Log;
  readonly single: number[];
  readonly together: number[];
  /** The last row of each board. */
  readonly ends: Map<string, number>;
}

function nextRow({ ends }: Subject, board: string): LogRow {
  const seq = (ends.get(board) ?? 0) + 1;
  ends.set(board, seq);
  const stamp = stampAt(MORNING) + seq;
  const address = noteOf(0);
  const value = `full at ${stamp}`;
  const update = writeCells(doc, [{ ...address, cell: [value, stamp, 'p1-1'] }]);
  return {
    seq,
    at: MORNING + seq,
    person: 'p1',
    writer: 'p1-1',
    n: seq,
    stamp,
    edit: { n: seq, stamp, entries: [{ ...address, value, seen: stamp - 1 }] },
    outcome: { kind: 'stored', late: [], previous: [null], derived: [] },
    update,
  };
}

async function append(subject: Subject, boards: readonly string[]): Promise<number> {
  const batches = boards.map((board) => ({ board, epoch: EPOCH, rows: [nextRow(subject, board)] }));
  const start = performance.now();
  await subject.log.append(batches);
  return performance.now() - start;
}

async function forAWhile(subject: Subject, boards: readonly string[], samples: number[]): Promise<void> {
  const end = performance.now() + milliseconds;
  while (performance.now() < end) samples.push(await append(subject, boards));
}

const single = ['b0'];
const several = Array.from({ length: BOARDS }, (_, index) => `b${index + 1}`);

async function jetStream(of: string, servers: readonly string[], replicas: 1 | 3): Promise<Subject> {
  const name = `log${replicas}`;
  const engine = await Engine.open({ servers, name });
  const database = new Database(join(folder, `${name}.db`), undefined, 'NORMAL');
  let ids = 0;
  const log = await JetStreamLog.open({
    engine,
    database,
    node: name,
    prefix: 'alone',
    replicas,
    shards: 4,
    newId: () => `${name}-${++ids}`,
    random: Math.random,
  });
  for (const board of [...single, ...several]) {
    if (!(await log.claim(board, name))) throw new Error(`${board} is another's`);
  }
  return { of, log, single: [], together: [], ends: new Map() };
}

const subjects: readonly Subject[] = [
  {
    of: 'one base',
    log: new SqliteLog(new Database(join(folder, 'log.db'))),
    single: [],
    together: [],
    ends: new Map(),
  },
  await jetStream('one server', one, 1),
  await jetStream('fleet', three, 3),
];

// Code that has run a little is slower than it will be for the rest of the day.
for (const subject of subjects) {
  await forAWhile(subject, single, []);
  await forAWhile(subject, several, []);
}
for (let turn = 0; turn < turns; turn++) {
  for (const subject of subjects) {
    await forAWhile(subject, single, subject.single);
    await forAWhile(subject, several, subject.together);
  }
}
for (const { log, ends } of subjects) {
  for (const [board, seq] of ends) {
    if ((await log.end(board)).seq !== seq) throw new Error(`${board} does not end with row ${seq}`);
  }
}
const told = (samples: readonly number[], boards: number) => ({
  medianMs: quantile(samples, 0.5),
  p99Ms: quantile(samples, 0.99),
  rowsPerSecond: (samples.length * boards * 1000) / samples.reduce((sum, sample) => sum + sample, 0),
  samples: samples.length,
});
const figures: LogFigures = subjects.map(({ of, single: one, together }) => ({
  of,
  single: told(one, 1),
  together: told(together, BOARDS),
}));
process.send?.(figures, () => process.exit());
