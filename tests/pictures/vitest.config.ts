import { defineConfig } from 'vitest/config';

/** Not a test of anything: it draws every screen for somebody to look at. */
export default defineConfig({
  resolve: { conditions: ['source'] },
  ssr: { resolve: { conditions: ['source'] } },
  test: {
    include: ['tests/pictures/**/*.draw.ts'],
    testTimeout: 300_000,
    hookTimeout: 60_000,
    fileParallelism: false,
  },
});
