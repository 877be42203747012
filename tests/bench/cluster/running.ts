import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { z } from 'zod';
import type { Reachable } from '../../support/base.ts';
import { startNats } from '../../support/nats.ts';
import { figure } from '../../support/nodes.ts';
import type { BaseServer, Bench } from '../bench.ts';
import { type ServerProcess, startServer } from '../children.ts';
import { type EngineProcess, engineProcesses } from './engineUse.ts';

const ADMIN_KEY = 'bench-fleet-key-0123456789';
const COUNT = 3;

/** A node in a process of its own. */
export interface BenchNode extends Reachable {
  /** The process that runs now. */
  readonly server: ServerProcess;
  readonly dataFolder: string;
  signal(signal: 'SIGKILL' | 'SIGSTOP' | 'SIGCONT'): void;
  /** Starts it again on what it had, and waits until the others know of it. */
  restart(): Promise<void>;
}

/** Three servers of the engine, three nodes, and beside them one base by itself. */
export interface Running {
  readonly engine: readonly string[];
  readonly engineProcesses: readonly EngineProcess[];
  readonly nodes: readonly BenchNode[];
  readonly one: BaseServer & { readonly dataFolder: string };
  /** Starts all bases again on what they had, the engine left as it is. */
  restart(): Promise<void>;
  stop(): Promise<void>;
}

export async function startRunning(bench: Bench): Promise<Running> {
  const nats = await startNats(COUNT);
  try {
    const processes = engineProcesses();
    const start = (index: number): Promise<BenchNode> =>
      startNode(join(bench.folder, `node${index}`), nats.urls);
    // The first makes the streams, which the others find.
    const nodes = [await start(0), ...(await Promise.all([start(1), start(2)]))];
    await allKnown(nodes);
    const dataFolder = join(bench.folder, 'fleet-one');
    const startOne = async (): Promise<Running['one']> => {
      const server = await startServer('cluster/fleetNode.js', argumentOf(dataFolder, []), 'one');
      return { ...server, adminKey: ADMIN_KEY, dataFolder };
    };
    let one = await startOne();
    return {
      engine: nats.urls,
      engineProcesses: processes,
      nodes,
      get one() {
        return one;
      },
      restart: async () => {
        for (const node of nodes) node.signal('SIGKILL');
        await one.stop();
        one = await startOne();
        await Promise.all(nodes.map((node) => node.restart()));
        await allKnown(nodes);
      },
      stop: async () => {
        // Nobody needs what is on them any more, and handing hundreds of boards over takes time.
        for (const node of nodes) node.signal('SIGKILL');
        await one.stop();
        await nats.stop();
      },
    };
  } catch (error) {
    await nats.stop();
    throw error;
  }
}

function argumentOf(dataFolder: string, engine: readonly string[]) {
  return { dataFolder, adminKey: ADMIN_KEY, engine };
}

const announced = z.object({ pid: z.int() });

async function startNode(dataFolder: string, engine: readonly string[]): Promise<BenchNode> {
  const argument = argumentOf(dataFolder, engine);
  const start = (): Promise<ServerProcess> => startServer('cluster/fleetNode.js', argument, 'node');
  const pidOf = (): number =>
    announced.parse(JSON.parse(readFileSync(join(dataFolder, 'running.json'), 'utf8'))).pid;
  let server = await start();
  let pid = pidOf();
  return {
    dataFolder,
    adminKey: ADMIN_KEY,
    get server() {
      return server;
    },
    get url() {
      return server.url;
    },
    signal: (signal) => {
      process.kill(pid, signal);
    },
    restart: async () => {
      server = await start();
      pid = pidOf();
    },
  };
}

/** Waits until every node knows of all others. */
export async function allKnown(nodes: readonly BenchNode[]): Promise<void> {
  await until('nodes that know of each other', async () => {
    const others = await Promise.all(nodes.map((node) => figure(node, 'plumbline_fleet_nodes')));
    return others.every((count) => count >= nodes.length - 1);
  });
}

/** The node that decides the one board that is open. */
export async function decidingOf(nodes: readonly BenchNode[]): Promise<BenchNode> {
  for (const node of nodes) if ((await figure(node, 'plumbline_fleet_deciding')) > 0) return node;
  throw new Error('nobody decides');
}

/** Looks again and again. @throws Error where it has not come about in time */
export async function until(
  what: string,
  isSo: () => boolean | Promise<boolean>,
  withinMs = 60_000,
  everyMs = 20,
): Promise<void> {
  const end = performance.now() + withinMs;
  while (!(await isSo())) {
    if (performance.now() > end) throw new Error(`waited in vain for ${what}`);
    await wait(everyMs);
  }
}
