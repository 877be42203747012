import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { Measure } from '../bench.ts';
import { watchOver } from '../children.ts';
import { median } from '../figures.ts';
import { CLI } from '../paths.ts';

/** How long it takes from starting the program to its links being printed. */
export const start: Measure = {
  name: 'start',
  title: 'Start of `serve` to ready',
  async run(bench) {
    const first: number[] = [];
    const again: number[] = [];
    for (let run = 0; run < (bench.isSmoke ? 1 : 4); run++) {
      const dataFolder = join(bench.folder, `start-${run}`);
      first.push(await startOnce(dataFolder));
      again.push(await startOnce(dataFolder));
    }
    const of = 'base';
    return {
      figures: [
        { name: 'first start, the demo loaded', of, unit: 'ms', value: median(first), samples: first.length },
        { name: 'a later start', of, unit: 'ms', value: median(again), samples: again.length },
      ],
      notes: [
        'from starting the process to the links on its standard output; the build that `npm start` does before is not in it',
      ],
    };
  },
};

async function startOnce(dataFolder: string): Promise<number> {
  const begun = performance.now();
  const child = spawn(process.execPath, [CLI, 'serve', '--json'], {
    env: {
      PATH: process.env.PATH,
      PLUMBLINE_DATA: dataFolder,
      PLUMBLINE_PORT: '0',
      PLUMBLINE_LOG_LEVEL: 'error',
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  watchOver(child);
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  const lines = createInterface({ input: child.stdout });
  await new Promise<void>((resolve, reject) => {
    lines.once('line', () => resolve());
    void ended.then(() => reject(new Error('the base ended before it was ready')));
  });
  const milliseconds = performance.now() - begun;
  child.kill('SIGTERM');
  await ended;
  return milliseconds;
}
