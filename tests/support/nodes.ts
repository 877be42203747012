import { temporaryFolder } from './base.ts';
import { FLEET_KEY } from './fleetBases.ts';
import { type NatsServers, startNats } from './nats.ts';
import { type BaseProcess, type Program, startBaseProcess } from './process.ts';
import { openRelay, type Relay } from './relay.ts';

const COUNT = 3;

/** A node in a process of its own. */
export interface NodeProcess {
  /** The process that runs now; the same address over restarts. */
  readonly base: BaseProcess;
  /** Its ways to the servers of the engine. */
  readonly ways: readonly Relay[];
  /** Starts it again, or another version of the program in its place, once it has ended. */
  restart(program?: Program): Promise<void>;
}

/** Three servers of the engine and three nodes, with relays between all of them. */
export interface Nodes {
  readonly nats: NatsServers;
  readonly nodes: readonly NodeProcess[];
  /** The ways of one server to and from the others. */
  routesOf(server: number): readonly Relay[];
  stop(): Promise<void>;
}

/** @param programs of the first, second and third node, where it is not this version */
export async function startNodes(programs: readonly Program[] = []): Promise<Nodes> {
  const routes = new Map<string, Relay>();
  const nats = await startNats(COUNT, {
    between: async (from, to, port) => {
      const relay = await openRelay(port);
      routes.set(`${from} ${to}`, relay);
      return relay.port;
    },
  });
  const ending: (() => unknown)[] = [nats.stop];
  for (const relay of routes.values()) ending.push(() => relay.close());
  const stop = async (): Promise<void> => {
    for (const end of ending.splice(0).reverse()) await end();
  };
  try {
    const nodes: NodeProcess[] = [];
    for (let index = 0; index < COUNT; index++) {
      const folder = temporaryFolder('plumbline-node');
      const ways = await Promise.all(nats.urls.map((url) => openRelay(Number(new URL(url).port))));
      const start = (port: string, program?: Program): Promise<BaseProcess> => {
        const settings = {
          PLUMBLINE_CLUSTER: ways.map((way) => `nats://127.0.0.1:${way.port}`).join(','),
          PLUMBLINE_CLUSTER_RISKS: 'accept',
          PLUMBLINE_ADMIN_KEY: FLEET_KEY,
          PLUMBLINE_LOG_LEVEL: 'error',
          PLUMBLINE_PORT: port,
        };
        return startBaseProcess(folder.path, settings, program);
      };
      let base = await start('0', programs[index]);
      ending.push(() => folder.remove());
      for (const way of ways) ending.push(() => way.close());
      nodes.push({
        get base() {
          return base;
        },
        ways,
        restart: async (program) => {
          base = await start(String(base.port), program);
        },
      });
    }
    ending.push(async () => {
      for (const { base } of nodes) {
        base.child.kill('SIGCONT');
        await base.end('SIGKILL');
      }
    });
    const routesOf = (server: number): readonly Relay[] =>
      [...routes].filter(([pair]) => pair.split(' ').includes(String(server))).map(([, relay]) => relay);
    return { nats, nodes, routesOf, stop };
  } catch (error) {
    await stop();
    throw error;
  }
}

/** A figure of a node, summed over its labels where they contain `label`. */
export async function figure(base: { readonly url: string }, name: string, label = ''): Promise<number> {
  const text = await (await fetch(`${base.url}/metrics`)).text();
  return text
    .split('\n')
    .filter((line) => line.startsWith(name) && /^[ {]/.test(line.slice(name.length)) && line.includes(label))
    .reduce((sum, line) => sum + Number(line.slice(line.lastIndexOf(' ') + 1)), 0);
}
