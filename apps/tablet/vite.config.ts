import { fileURLToPath } from 'node:url';
import { defaultClientConditions, defineConfig, type Plugin } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';
import { packed } from './packed.ts';

/**
 * Addresses that are never a page of the app: the base’s own, the build’s files, and any file at the top. The base
 * decides the same in `http/tablet.ts`. What stands after a `#`, an invite, reaches no request and so no cache.
 */
const NOT_PAGES = [
  /^\/(api|sync|assets)(\/|\?|$)/,
  /^\/(healthz|readyz|metrics)(\?|$)/,
  /^\/[^/?]+\.[A-Za-z0-9]+(\?|$)/,
];

/** The page names the door beside the small file that would ask for it, so that they come together. */
function doorAhead(): Plugin {
  return {
    name: 'door-ahead',
    transformIndexHtml: {
      order: 'post',
      handler: (_html, { bundle = {} }) =>
        Object.values(bundle)
          .filter(({ name, type }) => type === 'chunk' && (name === 'door' || name === 'rolldown-runtime'))
          .map(({ fileName }) => ({
            tag: 'link',
            attrs: { rel: 'modulepreload', crossorigin: true, href: `/${fileName}` },
            injectTo: 'head' as const,
          })),
    },
  };
}

/**
 * The tablet's page. Our own packages are read as source; the page carries no inline script or style, so that the
 * base can forbid both. The service worker is made here; `src/app/versions.ts` registers it.
 */
export default defineConfig({
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  resolve: {
    conditions: ['source', ...defaultClientConditions],
    dedupe: ['preact', '@preact/signals-core'],
    // Yjs logs only when it is asked to: Node’s way of it is 3 kB lighter than the one in colours for a browser
    // and a page shows a board before it has Yjs at all
    alias: [
      { find: 'lib0/logging', replacement: fileURLToPath(import.meta.resolve('lib0/logging')) },
      {
        find: /^\.\/yjs\.ts$/,
        replacement: fileURLToPath(new URL('../../packages/replica/src/yjsLate.ts', import.meta.url)),
      },
    ],
  },
  plugins: [
    VitePWA({
      // a newer version waits until it is asked to take over
      registerType: 'prompt',
      injectRegister: false,
      includeManifestIcons: false,
      filename: 'sw.js',
      manifestFilename: 'app.webmanifest',
      manifest: {
        id: '/',
        name: 'Plumbline',
        short_name: 'Plumbline',
        description: 'A live board for a small video unit on location',
        start_url: '/',
        scope: '/',
        display: 'standalone',
        orientation: 'any',
        lang: 'en',
        dir: 'ltr',
        background_color: '#0e1214',
        theme_color: '#101416',
        categories: ['productivity', 'photo'],
        launch_handler: { client_mode: ['navigate-existing', 'auto'] },
        icons: [
          { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
          { src: '/icon-192.png', sizes: '192x192', type: 'image/png', purpose: 'any' },
          { src: '/icon-512.png', sizes: '512x512', type: 'image/png', purpose: 'any' },
          { src: '/icon-full-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
      workbox: {
        // every file of the build, so that any screen opens with the base gone; nothing is kept at run time
        globPatterns: ['**/*.{html,js,css,svg,png,woff2,wasm,webmanifest}'],
        // 2 MB that reads recorded files: fetched when it is wanted, where the base is reached
        globIgnores: ['**/MediaInfoModule*.wasm'],
        maximumFileSizeToCacheInBytes: 8 * 1024 * 1024,
        navigateFallback: '/index.html',
        navigateFallbackDenylist: NOT_PAGES,
        cleanupOutdatedCaches: true,
        clientsClaim: true,
        inlineWorkboxRuntime: true,
        sourcemap: false,
      },
    }),
    doorAhead(),
    packed(),
  ],
  worker: { format: 'es' },
  build: {
    target: 'es2022',
    outDir: 'dist',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    sourcemap: true,
    manifest: true,
    rolldownOptions: {
      output: {
        // Few pieces instead of twenty, which pack 12 kB tighter: what is wanted before all else, what the door needs, then
        // what every board needs.
        // The door comes with `jitless.ts` before anything that makes a schema.
        codeSplitting: {
          groups: [
            {
              name: 'first',
              test: /\/tablet\/src\/(first|board\/(ahead|socket)|app\/(keys|places))\.ts$/,
              priority: 3,
            },
            { name: 'door', test: /\/tablet\/src\/(main|app\/App)\.tsx$/, priority: 2 },
            {
              name: 'board',
              test: /\/tablet\/src\/(app\/BoardPage|parts\/Field|board\/acts)\.tsx?$/,
              priority: 1,
            },
          ],
        },
      },
    },
  },
});
