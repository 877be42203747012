import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';

/** What a test reads when it starts something of its own (a base, a browser, a process) or changes what all share. */
const STARTS_SOMETHING =
  /support\/(?:axe|base|browser|clients|faultyLog|fleet|nats|network|process|toyBase|unit)|@plumbline\/base|node:(?:child_process|worker_threads)|fake-indexeddb|globalThis|useFakeTimers|stubGlobal/;

const files = readdirSync('tests', { recursive: true, encoding: 'utf8' })
  .map((name) => `tests/${name.replaceAll('\\', '/')}`)
  .filter((name) => name.endsWith('.test.ts') && !/^tests\/(?:pictures|bench)\//.test(name));
const startsSomething = (name: string): boolean => STARTS_SOMETHING.test(readFileSync(name, 'utf8'));

/** Tests read our own packages as source, so that a failing line is the line in the editor. */
export default defineConfig({
  resolve: { conditions: ['source'] },
  ssr: { resolve: { conditions: ['source'] } },
  test: {
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // much of the time is waiting for browsers and disks, so two files go side by side also on two cores
    maxWorkers: 2,
    projects: [
      { extends: true, test: { name: 'alone', include: files.filter(startsSomething) } },
      // what starts nothing leaves nothing behind: such files share a process, and our sources are loaded once for all
      {
        extends: true,
        test: { name: 'together', isolate: false, include: files.filter((name) => !startsSomething(name)) },
      },
    ],
  },
});
