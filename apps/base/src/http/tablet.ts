import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { serveStatic } from '@hono/node-server/serve-static';
import { Hono } from 'hono';
import { compress } from 'hono/compress';
import { Problem } from './problem.ts';

/** Names that the bundler puts a hash of the content in never change what they stand for. */
const HASHED = /[/\\]assets[/\\]/;

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
    c.header('cache-control', HASHED.test(path) ? 'public, max-age=31536000, immutable' : 'no-cache');
  pages.use('*', compress());
  pages.get('*', serveStatic({ root: folder, onFound }));
  pages.get('*', async (c, next) => {
    // A place within the app has no file ending; a missing file is missing.
    if (/\.[A-Za-z0-9]+$/.test(c.req.path) || c.req.path.startsWith('/assets/')) return next();
    return serveStatic({ root: folder, path: 'index.html', onFound })(c, next);
  });
  return pages;
}
