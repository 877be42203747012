import { type ChildProcess, fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import type { z } from 'zod';
import { type Ask, type Tell, tellSchema, type Usage } from './ipc.ts';

/** A server in a process of its own. */
export interface ServerProcess {
  readonly url: string;
  /** What it has used so far; `collect` runs its garbage collector first. */
  usage(collect?: boolean): Promise<Usage>;
  /** Does something and tells how long the server's event loop was held up meanwhile, ms. */
  longestWhile(act: () => Promise<void>): Promise<number>;
  stop(): Promise<void>;
}

/** Every process that this run has started and that has not ended. */
const running = new Set<ChildProcess>();

/** Where profiles go, if any are wanted. */
let profileFolder: string | null = null;

/** From here on every server writes a CPU profile when it stops. */
export function writeProfiles(folder: string): void {
  profileFolder = folder;
}

function start(script: string, argument: unknown, name: string): ChildProcess {
  const path = fileURLToPath(new URL(script, import.meta.url));
  const profile =
    profileFolder === null
      ? []
      : [
          '--cpu-prof',
          `--cpu-prof-dir=${profileFolder}`,
          `--cpu-prof-name=${name}-${process.hrtime.bigint()}.cpuprofile`,
        ];
  const child = fork(path, [JSON.stringify(argument)], { execArgv: profile, stdio: 'inherit' });
  watchOver(child);
  return child;
}

/** Sees to it that a process does not outlive the run. */
export function watchOver(child: ChildProcess): void {
  running.add(child);
  child.once('exit', () => running.delete(child));
}

/** Ends what is still running, if the run itself is cut short. */
export function endAll(): void {
  for (const child of running) child.kill('SIGKILL');
}

/** Starts a server and waits until it listens. */
export async function startServer(script: string, argument: unknown, name: string): Promise<ServerProcess> {
  const child = start(script, argument, name);
  const waiting = new Map<number, (told: Tell) => void>();
  let asked = 0;
  const ended = new Promise<never>((_, reject) => {
    child.once('exit', (code, signal) => reject(new Error(`${name} ended with ${signal ?? code}`)));
  });
  ended.catch(() => {});
  const ready = new Promise<string>((resolve) => {
    child.on('message', (message) => {
      const told = tellSchema.parse(message);
      if (told.tell === 'ready') resolve(told.url);
      else {
        waiting.get(told.id)?.(told);
        waiting.delete(told.id);
      }
    });
  });
  const url = await Promise.race([ready, ended]);
  const ask = async (
    question: Omit<Ask, 'id'> & Partial<Pick<Extract<Ask, { ask: 'usage' }>, 'collect'>>,
  ) => {
    const id = ++asked;
    const told = new Promise<Tell>((resolve) => waiting.set(id, resolve));
    child.send({ ...question, id });
    return Promise.race([told, ended]);
  };
  return {
    url,
    usage: async (collect = false) => {
      const told = await ask({ ask: 'usage', collect });
      if (told.tell !== 'usage') throw new Error(`${name} told something else`);
      return told.usage;
    },
    longestWhile: async (act) => {
      await ask({ ask: 'watch' });
      await act();
      const told = await ask({ ask: 'longest' });
      if (told.tell !== 'longest') throw new Error(`${name} told something else`);
      return told.milliseconds;
    },
    stop: async () => {
      const exited = new Promise((resolve) => child.once('exit', resolve));
      await ask({ ask: 'stop' });
      await exited;
    },
  };
}

/** Runs a script to its end and reads the one message that it sends. */
export async function runWorker<T>(script: string, argument: unknown, schema: z.ZodType<T>): Promise<T> {
  const child = start(script, argument, script.replace(/\W+/g, '-'));
  return new Promise((resolve, reject) => {
    child.once('message', (message) => resolve(schema.parse(message)));
    child.once('exit', (code, signal) => reject(new Error(`${script} ended with ${signal ?? code}`)));
  });
}
