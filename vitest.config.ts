import { readdirSync, readFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';

/** What stands in a test that changes what all modules share, or that must not be changed by others: their clock, their memory. */
const CHANGES_ALL = /vi\.(?:mock|doMock|spyOn|stubGlobal|useFakeTimers)|globalThis|global\.gc|memoryUsage/;

const files = readdirSync('tests', { recursive: true, encoding: 'utf8' })
  .map((name) => `tests/${name.replaceAll('\\', '/')}`)
  .filter((name) => name.endsWith('.test.ts') && !/^tests\/(?:pictures|bench)\//.test(name));
const changesAll = (name: string): boolean => CHANGES_ALL.test(readFileSync(name, 'utf8'));

/** Tests read our own packages as source, so that a failing line is the line in the editor. */
export default defineConfig({
  resolve: { conditions: ['source'] },
  ssr: { resolve: { conditions: ['source'] } },
  test: {
    testTimeout: 300_000,
    hookTimeout: 300_000,
    // much of the time is waiting for browsers and disks, so three files go side by side also on two cores
    maxWorkers: 3,
    projects: [
      { extends: true, test: { name: 'alone', include: files.filter(changesAll) } },
      // all others share a process, one after another, so that our sources are loaded once and not for each of them
      {
        extends: true,
        test: { name: 'together', isolate: false, include: files.filter((name) => !changesAll(name)) },
      },
    ],
  },
});
