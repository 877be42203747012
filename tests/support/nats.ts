import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { delimiter, join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { z } from 'zod';
import { temporaryFolder } from './base.ts';

/** Where the engine's server is on this machine; `null` where it is not. */
export const NATS_SERVER: string | null =
  [...(process.env.PATH ?? '').split(delimiter), '/usr/sbin', '/usr/bin']
    .map((folder) => join(folder, 'nats-server'))
    .find((path) => existsSync(path)) ?? null;

/** For the names of tests that are skipped without it. */
export const NEEDS_NATS =
  NATS_SERVER === null ? ' (skipped: nats-server is not on this machine; apt-get install nats-server)' : '';

/** The server's version; empty where there is none. */
export function natsVersion(): string {
  if (NATS_SERVER === null) return '';
  return /v(\d+\.\d+\.\d+)/.exec(execFileSync(NATS_SERVER, ['-v'], { encoding: 'utf8' }))?.[1] ?? '';
}

/** One server of the engine. */
export interface NatsServer {
  readonly url: string;
  /** Where it tells of itself over HTTP. */
  readonly monitoring: string;
  /** Ends it as a power cut would, or stands it still. */
  signal(signal: 'SIGKILL' | 'SIGSTOP' | 'SIGCONT'): Promise<void>;
  /** Starts it again on what it had stored. */
  restart(): Promise<void>;
}

/** Servers of the engine that belong together. */
export interface NatsServers {
  readonly servers: readonly NatsServer[];
  readonly urls: readonly string[];
  /** Resolves once every server that runs takes part. */
  ready(): Promise<void>;
  stop(): Promise<void>;
}

export interface NatsOptions {
  /** How often a server makes sure that what it confirmed is on disk; `always` with every write, from 2.11 on. */
  readonly sync?: string;
  /** The port by which one server reaches another, where something stands between them; given the other's own. */
  readonly between?: (from: number, to: number, port: number) => Promise<number>;
}

const jsz = z.object({
  meta_cluster: z.object({ leader: z.string().optional(), cluster_size: z.int() }).optional(),
});

/** Starts one server, or three that keep everything thrice, on ports that are free. Waits until they take orders. */
export async function startNats(count: 1 | 3, options: NatsOptions = {}): Promise<NatsServers> {
  const binary = NATS_SERVER;
  if (binary === null) throw new Error('nats-server is not on this machine');
  const folder = temporaryFolder('plumbline-nats');
  const ports = await freePorts(count * 3);
  const routes = Array.from({ length: count }, (_, index) => `nats://127.0.0.1:${ports[index * 3 + 1]}`);
  const routesOf = async (from: number): Promise<readonly string[]> => {
    const { between } = options;
    if (!between) return routes;
    const others = Array.from({ length: count }, (_, to) => to).filter((to) => to !== from);
    const ways = others.map((to) => between(from, to, ports[to * 3 + 1] ?? 0));
    return (await Promise.all(ways)).map((port) => `nats://127.0.0.1:${port}`);
  };
  const routesOfAll = await Promise.all(Array.from({ length: count }, (_, index) => routesOf(index)));
  // What stands between two servers must not be passed by.
  const advertise = options.between ? ', advertise: "127.0.0.1:1", no_advertise: true' : '';
  const servers = Array.from({ length: count }, (_, index) => {
    const [client = 0, route = 0, http = 0] = ports.slice(index * 3, index * 3 + 3);
    const store = join(folder.path, `store${index}`);
    mkdirSync(store);
    const config = join(folder.path, `server${index}.conf`);
    writeFileSync(
      config,
      [
        `server_name: s${index}`,
        `listen: "127.0.0.1:${client}"`,
        `http: "127.0.0.1:${http}"`,
        `jetstream { store_dir: "${store}", max_mem: 64MB, max_file: 2GB${options.sync ? `, sync_interval: ${options.sync}` : ''} }`,
        ...(count > 1
          ? [
              `cluster { name: test, listen: "127.0.0.1:${route}", routes: [${(routesOfAll[index] ?? []).map((each) => `"${each}"`).join(', ')}]${advertise} }`,
            ]
          : []),
      ].join('\n'),
    );
    return new Server(binary, config, client, http);
  });
  const ready = async (): Promise<void> => {
    const running = servers.filter(({ isRunning }) => isRunning);
    for (const server of running) await server.ready(count);
  };
  const stop = async (): Promise<void> => {
    await Promise.all(servers.map((server) => server.end()));
    folder.remove();
  };
  try {
    for (const server of servers) server.start();
    await ready();
  } catch (error) {
    await stop();
    throw error;
  }
  return { servers, urls: servers.map(({ url }) => url), ready, stop };
}

class Server implements NatsServer {
  readonly url: string;
  readonly monitoring: string;
  readonly #binary: string;
  readonly #config: string;
  #child: ChildProcess | null = null;
  #errors = '';

  constructor(binary: string, config: string, client: number, http: number) {
    this.#binary = binary;
    this.#config = config;
    this.url = `nats://127.0.0.1:${client}`;
    this.monitoring = `http://127.0.0.1:${http}`;
  }

  get isRunning(): boolean {
    return this.#child !== null;
  }

  start(): void {
    const child = spawn(this.#binary, ['-c', this.#config], { stdio: ['ignore', 'ignore', 'pipe'] });
    child.stderr.on('data', (data) => {
      this.#errors = (this.#errors + String(data)).slice(-4000);
    });
    // A run that ends early takes its servers with it.
    const endWithRun = (): boolean => child.kill('SIGKILL');
    process.once('exit', endWithRun);
    child.on('exit', () => {
      process.off('exit', endWithRun);
      if (this.#child === child) this.#child = null;
    });
    this.#child = child;
  }

  /** Waits until it says that it is well and, where there are several, knows who leads. */
  async ready(count: number): Promise<void> {
    for (let attempt = 0; attempt < 600; attempt++) {
      if (!this.#child) throw new Error(`a server of the engine ended: ${this.#errors}`);
      if (await this.#isReady(count)) return;
      await wait(50);
    }
    throw new Error(`a server of the engine does not get ready: ${this.#errors}`);
  }

  async #isReady(count: number): Promise<boolean> {
    try {
      const health = await fetch(`${this.monitoring}/healthz`);
      if (!health.ok) return false;
      if (count === 1) return true;
      const state = jsz.parse(await (await fetch(`${this.monitoring}/jsz`)).json());
      return Boolean(state.meta_cluster?.leader) && state.meta_cluster?.cluster_size === count;
    } catch {
      return false;
    }
  }

  async signal(signal: 'SIGKILL' | 'SIGSTOP' | 'SIGCONT'): Promise<void> {
    const child = this.#child;
    if (!child) return;
    const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
    child.kill(signal);
    if (signal === 'SIGKILL') await ended;
    while (signal === 'SIGSTOP' && !standsStill(child.pid)) await wait(5);
  }

  async restart(): Promise<void> {
    await this.signal('SIGKILL');
    this.start();
  }

  async end(): Promise<void> {
    await this.signal('SIGCONT');
    await this.signal('SIGKILL');
  }
}

/** Whether every thread of a process has been stopped, where the system can say so: the signal alone takes a moment. */
function standsStill(pid: number | undefined): boolean {
  const threads = `/proc/${pid}/task`;
  if (!existsSync(threads)) return true;
  return readdirSync(threads).every((id) => {
    try {
      return /\) [TtZX] /.test(readFileSync(join(threads, id, 'stat'), 'utf8'));
    } catch {
      return true;
    }
  });
}

/** Ports that nobody listens on right now. */
async function freePorts(count: number): Promise<readonly number[]> {
  const holders = await Promise.all(
    Array.from({ length: count }, async () => {
      const holder = createServer();
      await new Promise<void>((resolve) => holder.listen(0, '127.0.0.1', resolve));
      return holder;
    }),
  );
  const ports = holders.map((holder) => {
    const address = holder.address();
    return typeof address === 'object' && address ? address.port : 0;
  });
  await Promise.all(holders.map((holder) => new Promise((resolve) => holder.close(resolve))));
  return ports;
}
