import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { TABLET_FOLDER } from '../offline/built.ts';

/** The screen that each role lands on, as `homeOf` in the tablet's `app/places.ts` says. */
const HOMES = {
  director: 'src/screens/day/Day.tsx',
  camera: 'src/screens/setup/Setup.tsx',
  sound: 'src/screens/sound/Sound.tsx',
  producer: 'src/screens/progress/Progress.tsx',
} as const;

const MOST_KB = 120;

const manifestSchema = z.record(
  z.string(),
  z.object({
    file: z.string(),
    imports: z.array(z.string()).default([]),
    css: z.array(z.string()).default([]),
    isEntry: z.boolean().default(false),
  }),
);

const manifest = manifestSchema.parse(
  JSON.parse(readFileSync(join(TABLET_FOLDER, '.vite/manifest.json'), 'utf8')),
);

/** The files of some modules and of all that they import at once, styles included. */
function filesFor(keys: readonly string[]): Set<string> {
  const files = new Set<string>(['index.html']);
  const open = [...keys];
  const seen = new Set<string>();
  for (let key = open.pop(); key !== undefined; key = open.pop()) {
    if (seen.has(key)) continue;
    seen.add(key);
    const chunk = manifest[key];
    if (!chunk) throw new Error(`the build has no ${key}`);
    for (const file of [chunk.file, ...chunk.css]) files.add(file);
    open.push(...chunk.imports);
  }
  return files;
}

/** Where the board's own module went: into a piece of its own name, or one that is called so. */
const board =
  Object.keys(manifest).find((key) => key === 'src/app/BoardPage.tsx') ??
  Object.keys(manifest).find((key) => /^_board-.*\.js$/.test(key)) ??
  'the board';

const entries = Object.keys(manifest).filter((key) => manifest[key]?.isEntry);

it.each(Object.entries(HOMES))(
  `the first screen of the %s weighs at most ${MOST_KB} kB over the air`,
  (role, screen) => {
    const files = filesFor([...entries, board, screen]);
    const kilobytes =
      [...files].reduce((sum, file) => sum + gzipSync(readFileSync(join(TABLET_FOLDER, file))).length, 0) /
      1000;
    expect(kilobytes, `${role}: ${kilobytes.toFixed(1)} kB`).toBeLessThanOrEqual(MOST_KB);
  },
);

it('the service worker keeps every file that the app can ask for', () => {
  const worker = readFileSync(join(TABLET_FOLDER, 'sw.js'), 'utf8');
  const files = Object.values(manifest).flatMap(({ file, css }) => [file, ...css]);
  expect(files.length).toBeGreaterThan(20);
  const missing = ['index.html', 'app.webmanifest', 'icon.svg', ...files].filter(
    (file) => !worker.includes(`"${file}"`),
  );
  expect(missing).toEqual([]);
});
