import { defineConfig } from 'vitest/config';

/** Tests read our own packages as source, so that a failing line is the line in the editor. */
export default defineConfig({
  resolve: { conditions: ['source'] },
  ssr: { resolve: { conditions: ['source'] } },
  test: {
    include: ['tests/**/*.test.ts'],
    exclude: ['tests/pictures/**', 'tests/bench/**'],
    testTimeout: 120_000,
    hookTimeout: 120_000,
    // much of the time is waiting for browsers and disks, so two files go side by side also on two cores
    maxWorkers: 2,
  },
});
