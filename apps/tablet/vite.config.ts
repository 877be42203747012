import { defaultClientConditions, defineConfig } from 'vite';

/**
 * The tablet's page. Our own packages are read as source; the page carries no inline script or style, so that the
 * base can forbid both.
 */
export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  resolve: { conditions: ['source', ...defaultClientConditions], dedupe: ['preact', '@preact/signals-core'] },
  build: {
    target: 'es2022',
    outDir: 'dist',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    sourcemap: true,
    manifest: true,
  },
});
