import { type ChildProcess, fork, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { z } from 'zod';
import type { Reachable } from './base.ts';

/** The program as `npm start` runs it. */
export const CLI = fileURLToPath(new URL('../../apps/base/dist/cli.js', import.meta.url));

const greetingSchema = z.object({
  url: z.string(),
  publicUrl: z.string(),
  boardId: z.string().optional(),
  links: z.record(z.string(), z.string()).optional(),
});

/** A base in a process of its own. */
export interface BaseProcess extends Reachable {
  readonly port: number;
  readonly greeting: z.infer<typeof greetingSchema>;
  readonly child: ChildProcess;
  /** Sends a signal; resolves to how the process ended. */
  end(signal: 'SIGKILL' | 'SIGTERM' | 'SIGINT'): Promise<number | string | null>;
}

/** What is given to Node to run the program: its file, and what comes before it. */
export type Program = readonly string[];

/** Starts `plumbline serve` and waits until it answers. */
export async function startBaseProcess(
  dataFolder: string,
  environment: Readonly<Record<string, string>> = {},
  program: Program = [CLI],
): Promise<BaseProcess> {
  const child = spawn(process.execPath, [...program, 'serve', '--json'], {
    env: {
      PATH: process.env.PATH,
      PLUMBLINE_DATA: dataFolder,
      PLUMBLINE_PORT: '0',
      PLUMBLINE_DEMO: '0',
      PLUMBLINE_LOG_LEVEL: 'warn',
      ...environment,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let errors = '';
  child.stderr.on('data', (data) => {
    errors += data;
  });
  const exited = new Promise<number | string | null>((resolve) =>
    child.on('exit', (code, signal) => resolve(signal ?? code)),
  );
  const lines = createInterface({ input: child.stdout });
  const greeting = await new Promise<z.infer<typeof greetingSchema>>((resolve, reject) => {
    lines.once('line', (line) => resolve(greetingSchema.parse(JSON.parse(line))));
    void exited.then((how) => reject(new Error(`the base ended with ${how}: ${errors}`)));
  });
  return {
    url: greeting.url,
    port: Number(new URL(greeting.url).port),
    adminKey: environment.PLUMBLINE_ADMIN_KEY ?? readFileSync(join(dataFolder, 'admin-key'), 'utf8').trim(),
    greeting,
    child,
    end: (signal) => {
      child.kill(signal);
      return exited;
    },
  };
}

/** How a command ended, and what it said. */
export interface Ran {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs a command to its end, in a process of its own. */
export async function runCliAlone(
  args: readonly string[],
  environment: Readonly<Record<string, string>>,
): Promise<Ran> {
  const child = spawn(process.execPath, [CLI, ...args], {
    env: { PATH: process.env.PATH, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  child.stdout.on('data', (data) => {
    out += data;
  });
  child.stderr.on('data', (data) => {
    err += data;
  });
  const code = await new Promise<number | null>((resolve) => child.on('close', resolve));
  return { code, out, err };
}

const ranSchema = z.object({ id: z.int(), code: z.int(), out: z.string(), err: z.string() });

/** Runs a command to its end, as whoever types it would have it, in a process that others ran in before. */
export function runCli(args: readonly string[], environment: Readonly<Record<string, string>>): Promise<Ran> {
  commands ??= new Commands();
  return commands.run(args, { PATH: process.env.PATH ?? '', ...environment });
}

let commands: Commands | null = null;

/** The process that commands are run in: most of what one takes is loading the program. */
class Commands {
  readonly #child = fork(fileURLToPath(new URL('commands.mjs', import.meta.url)), {
    // the program as it is built, however the tests themselves are run
    execArgv: [],
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
  });
  readonly #waiting = new Map<number, { resolve(ran: Ran): void; reject(error: Error): void }>();
  #asked = 0;

  constructor() {
    this.#child.on('message', (message) => {
      const { id, ...ran } = ranSchema.parse(message);
      this.#waiting.get(id)?.resolve(ran);
      this.#waiting.delete(id);
    });
    this.#child.on('exit', (code, signal) => {
      for (const { reject } of this.#waiting.values()) reject(new Error(`ended with ${signal ?? code}`));
      if (commands === this) commands = null;
    });
    // It goes when whoever asks it goes, and keeps nobody.
    this.#child.unref();
    this.#child.channel?.unref();
  }

  run(args: readonly string[], environment: Readonly<Record<string, string>>): Promise<Ran> {
    const id = ++this.#asked;
    return new Promise<Ran>((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject });
      this.#child.channel?.ref();
      this.#child.send({ id, args, environment });
    }).finally(() => {
      if (this.#waiting.size === 0) this.#child.channel?.unref();
    });
  }
}
