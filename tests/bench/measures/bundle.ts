import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { z } from 'zod';
import type { Measure } from '../bench.ts';
import type { Figure } from '../figures.ts';
import { TABLET_FOLDER } from '../paths.ts';

/** The manifest that Vite writes beside a bundle, as far as it is read here. */
const manifestSchema = z.record(
  z.string(),
  z.object({
    file: z.string(),
    imports: z.array(z.string()).optional(),
    css: z.array(z.string()).optional(),
    isEntry: z.boolean().optional(),
  }),
);
type Manifest = z.infer<typeof manifestSchema>;

/** The screen that each role lands on, as `homeOf` in the tablet's `app/places.ts` says. */
const HOMES = {
  director: 'src/screens/day/Day.tsx',
  camera: 'src/screens/setup/Setup.tsx',
  sound: 'src/screens/sound/Sound.tsx',
  producer: 'src/screens/progress/Progress.tsx',
} as const;

const AIM_KB = 120;

/** What a tablet has to fetch before each role sees its first screen. */
export const bundle: Measure = {
  name: 'bundle',
  title: 'The tablet’s bundle, gzipped: everything that the first screen needs',
  async run() {
    const manifest = manifestSchema.parse(
      JSON.parse(readFileSync(join(TABLET_FOLDER, '.vite/manifest.json'), 'utf8')),
    );
    const entries = Object.keys(manifest).filter(
      (key) => manifest[key]?.isEntry || /^_board-.*\.js$/.test(key),
    );
    const sizeOf = (files: Iterable<string>): number => {
      let sum = gzipped('index.html');
      for (const file of files) sum += gzipped(file);
      return sum / 1000;
    };
    const figures = Object.entries(HOMES).map(
      ([role, screen]): Figure => ({
        name: 'first screen',
        of: role,
        unit: 'kB',
        value: sizeOf(filesFor(manifest, [...entries, screen])),
        aim: { most: AIM_KB },
      }),
    );
    const all = new Set(Object.values(manifest).flatMap(({ file, css = [] }) => [file, ...css]));
    return {
      figures: [...figures, { name: 'first screen', of: 'every screen', unit: 'kB', value: sizeOf(all) }],
      notes: [
        'the page, the entry, the board, the role’s own screen, with all that they import, and their styles; kB of 1000 bytes',
      ],
    };
  },
};

/** The files of some modules and of all that they import, styles included. */
function filesFor(manifest: Manifest, keys: readonly string[]): Set<string> {
  const files = new Set<string>();
  const seen = new Set<string>();
  const take = (key: string): void => {
    if (seen.has(key)) return;
    seen.add(key);
    const chunk = manifest[key];
    if (!chunk) throw new Error(`the tablet has no ${key}`);
    files.add(chunk.file);
    for (const file of chunk.css ?? []) files.add(file);
    for (const imported of chunk.imports ?? []) take(imported);
  };
  for (const key of keys) take(key);
  return files;
}

function gzipped(file: string): number {
  return gzipSync(readFileSync(join(TABLET_FOLDER, file)), { level: 9 }).length;
}
