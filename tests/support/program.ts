import { type ChildProcess, spawn } from 'node:child_process';
import { resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { z } from 'zod';
import type { Reachable } from './base.ts';

const CLI = resolve(import.meta.dirname, '../../apps/base/dist/cli.js');
const ADMIN_KEY = 'an admin key for tests only';

const startedSchema = z.object({
  url: z.string(),
  boardId: z.string().optional(),
  links: z.record(z.string(), z.string()).optional(),
});

/** The base as a user starts it: a process of its own, over a folder that outlives it. */
export interface Program extends Reachable {
  /** The demo's board and its join links by role, where it was asked for. */
  readonly boardId: string | null;
  readonly invites: Readonly<Record<string, string>>;
  /** Ends the process and waits until it is gone. */
  end(signal: 'SIGKILL' | 'SIGTERM'): Promise<void>;
}

/** Starts `plumbline serve` on a port of this machine, 0 for any, and waits until it answers. */
export async function startProgram(
  dataFolder: string,
  options: { readonly port?: number; readonly demo?: boolean } = {},
): Promise<Program> {
  const child = spawn(process.execPath, [CLI, 'serve', '--json'], {
    env: {
      ...process.env,
      PLUMBLINE_DATA: dataFolder,
      PLUMBLINE_PORT: String(options.port ?? 0),
      PLUMBLINE_ADMIN_KEY: ADMIN_KEY,
      PLUMBLINE_DEMO: options.demo ? '1' : '0',
      PLUMBLINE_LOG_LEVEL: 'error',
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const { url, boardId, links } = startedSchema.parse(JSON.parse(await firstLine(child)));
  return {
    url,
    adminKey: ADMIN_KEY,
    boardId: boardId ?? null,
    invites: Object.fromEntries(
      Object.entries(links ?? {}).map(([role, link]) => [role, link.split('#')[1] ?? '']),
    ),
    end: (signal) =>
      new Promise((done) => {
        if (child.exitCode !== null || child.signalCode !== null) {
          done();
          return;
        }
        child.once('exit', () => done());
        child.kill(signal);
      }),
  };
}

function firstLine(child: ChildProcess): Promise<string> {
  return new Promise((done, fail) => {
    if (child.stdout) createInterface({ input: child.stdout }).once('line', done);
    child.once('exit', (code) => fail(new Error(`the base ended with ${code} before it answered`)));
  });
}
