import type { Member } from '../../support/base.ts';
import { NATS_SERVER, natsVersion } from '../../support/nats.ts';
import { type Random, randomOf, seedOf } from '../../support/random.ts';
import type { Bench, Measure } from '../bench.ts';
import type { Figure, Findings } from '../figures.ts';
import { dayOf } from './day.ts';
import { manyBoards, oneBoard } from './edits.ts';
import { failover } from './failover.ts';
import { latencyOf } from './latency.ts';
import { logAlone } from './logAlone.ts';
import { memoryOf, VALUES } from './memory.ts';
import { newBoard, newBoards, troubles } from './people.ts';
import { type Running, startRunning } from './running.ts';

/** Whatever has not come to its end by then does not come to one. */
const MOST_MINUTES = 12;
/** After so long nothing is begun that could be done without. */
const TIME_MINUTES = 7;

/** Three nodes on three servers of the engine, beside one base with the same clients. */
export const fleet: Measure = {
  name: 'fleet',
  title: 'A fleet: three nodes on three NATS servers, beside one base',
  async run(bench) {
    if (NATS_SERVER === null) {
      return {
        figures: [],
        notes: ['left out: nats-server is not on this machine (apt-get install nats-server)'],
      };
    }
    const tooLong = setTimeout(() => {
      console.error(`fleet: not at its end after ${MOST_MINUTES} minutes`);
      process.exit(1);
    }, MOST_MINUTES * 60_000);
    try {
      return await measure(bench);
    } finally {
      clearTimeout(tooLong);
    }
  },
};

async function measure(bench: Bench): Promise<Findings> {
  const parts = new Parts();
  const seed = seedOf(60_726);
  await parts.run('log alone', () => logAlone(bench));
  const running = await startRunning(bench);
  try {
    await onThem(bench, running, parts, randomOf(seed));
  } finally {
    await running.stop();
  }
  return {
    figures: parts.figures,
    notes: [
      `nats-server ${natsVersion()}, three servers, three copies of everything; seed ${seed}`,
      'servers before 2.11 confirm before the disk has (they write it out every two minutes), SQLite after: those times do not promise the same',
      'fleet: the author is on the node that decides the board, the other tablet on another; passed on: the author on a node that follows, the other tablet on the third',
      'log alone: SQLite as one base has it, JetStream with three copies as a fleet has it, and on one server',
      'CPU per edit: of all bases and of all NATS servers, every thread',
      `an idle board: ${VALUES} values, nobody is on it any more; held: after two runs of the garbage collector`,
      'a day: the invented one, a value an edit; the data file, a node’s copy, the mean of the NATS servers’ folders as they are right after',
      'without an answer: the longest time between two answers of either of two who write on the nodes that stay',
      'nodes, servers and clients share the cores of one machine: as fast as they can says how much work an edit is, not what several machines would do',
      parts.seconds.join(', '),
      ...parts.missing,
      ...(troubles.length > 0 ? [`tried again ${troubles.length} times, first: ${troubles[0]}`] : []),
    ],
  };
}

async function onThem(bench: Bench, running: Running, parts: Parts, random: Random): Promise<void> {
  const [node] = running.nodes;
  if (!node) throw new Error('no node');
  const onFleet = await newBoard(node);
  const onOne = await newBoard(running.one);
  await parts.run('latency', () => latencyOf(bench, running, onFleet, onOne, random));
  await parts.run('one board', () => oneBoard(bench, running, onFleet, onOne));
  const of = { fleet: [] as Member[], one: [] as Member[] };
  await parts.run('making boards', async () => {
    const count = bench.isSmoke ? 24 : 500;
    of.one = await newBoards(running.one, count);
    of.fleet = await newBoards(node, count);
    return [];
  });
  if (!bench.isSmoke) await running.restart();
  await parts.run('memory', () => memoryOf(running, of.fleet, of.one));
  await running.restart();
  const busy = bench.isSmoke ? 12 : 200;
  await parts.run('many boards', () =>
    manyBoards(bench, running, of.fleet.slice(0, busy), of.one.slice(0, busy)),
  );
  await parts.run('day', () => dayOf(bench, running));
  // Nobody decides anything but the one board that is fallen over.
  await running.restart();
  await parts.run('failover', () => failover(bench, running, onFleet, parts.hasTime));
}

/** The parts of the measure. One that fails does not take the others with it, but is told. */
class Parts {
  readonly figures: Figure[] = [];
  readonly seconds: string[] = [];
  readonly missing: string[] = [];
  readonly #begun = performance.now();

  readonly hasTime = (): boolean => performance.now() - this.#begun < TIME_MINUTES * 60_000;

  async run(name: string, act: () => Promise<readonly Figure[]>): Promise<void> {
    const start = performance.now();
    try {
      this.figures.push(...(await act()));
    } catch (error) {
      this.missing.push(`NOT MEASURED, ${name}: ${error instanceof Error ? error.message : String(error)}`);
    }
    this.seconds.push(`${name} ${Math.round((performance.now() - start) / 1000)} s`);
  }
}
