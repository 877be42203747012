import { existsSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { serveStatic } from '@hono/node-server/serve-static';
import { Hono } from 'hono';
import { compress } from 'hono/compress';
import { z } from 'zod';
import { Problem } from './problem.ts';

/**
 * Names that the bundler puts a hash of the content in never change what they stand for. Everything else is asked for
 * anew each time, the service worker above all: it is how a tablet hears of a newer version.
 */
const HASHED = /^assets[/\\]/;

/**
 * Whether an address is a place within the app rather than a file that is missing. A file at the top has an ending; the
 * name of a record may hold a dot. The service worker decides the same (`vite.config.ts` of the tablet).
 */
function isPlace(path: string): boolean {
  return !path.startsWith('/assets/') && !/^\/[^/]+\.[A-Za-z0-9]+$/.test(path);
}

const manifestSchema = z.record(
  z.string(),
  z.object({
    file: z.string(),
    name: z.string().optional(),
    imports: z.array(z.string()).default([]),
    isEntry: z.boolean().default(false),
  }),
);

/**
 * Tells whoever opens a board of the large file that all its screens need and of what that one needs, so that they come
 * beside the small ones that would ask for them: half a second on a narrow line. `null` where the bundler made none by
 * that name.
 */
function boardAhead(folder: string): string | null {
  const path = join(folder, '.vite/manifest.json');
  if (!existsSync(path)) return null;
  const chunks = manifestSchema.parse(JSON.parse(readFileSync(path, 'utf8')));
  const board = Object.values(chunks).find(({ name }) => name === 'board');
  if (!board) return null;
  const needed = board.imports.flatMap((key) => chunks[key] ?? []).filter(({ isEntry }) => !isEntry);
  return [...needed, board].map(({ file }) => `</${file}>; rel=modulepreload`).join(', ');
}

/** Serves the built tablet: its files, and its one page for every address that is a place within it. */
export function tabletPages(folder: string): Hono {
  const pages = new Hono();
  if (!existsSync(join(folder, 'index.html'))) {
    pages.get('*', () => {
      throw new Problem(404, 'The tablet app is not built here: npm run build makes it.');
    });
    return pages;
  }
  const onFound = (path: string, c: { header(name: string, value: string): void }): void =>
    c.header(
      'cache-control',
      HASHED.test(relative(folder, path)) ? 'public, max-age=31536000, immutable' : 'no-cache',
    );
  const ahead = boardAhead(folder);
  pages.use('*', compress());
  pages.get('*', serveStatic({ root: folder, onFound, precompressed: true }));
  pages.get('*', async (c, next) => {
    if (!isPlace(c.req.path)) return next();
    if (ahead !== null && c.req.path.startsWith('/board/')) c.header('link', ahead);
    return serveStatic({ root: folder, path: 'index.html', onFound })(c, next);
  });
  return pages;
}
