import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import { expect, it, onTestFinished } from 'vitest';
import { startTestBase, temporaryFolder } from '../support/base.ts';

async function baseWithTablet(within = 'tablet') {
  const outer = temporaryFolder('tablet');
  onTestFinished(outer.remove);
  const folder = { path: join(outer.path, within) };
  mkdirSync(folder.path);
  mkdirSync(join(folder.path, 'assets'));
  writeFileSync(join(folder.path, 'index.html'), '<!doctype html><title>the tablet</title>');
  writeFileSync(join(folder.path, 'assets', 'index-4f2a.js'), `export const text = '${'x'.repeat(5000)}';`);
  writeFileSync(join(folder.path, 'assets', 'board-7c1d.js'), 'export {};');
  writeFileSync(join(folder.path, 'assets', 'board-7c1d.js.br'), brotliCompressSync('export {};'));
  mkdirSync(join(folder.path, '.vite'));
  const chunks = {
    'index.html': { file: 'assets/index-4f2a.js', isEntry: true },
    '_board.js': { file: 'assets/board-7c1d.js', name: 'board', imports: ['index.html', '_small.js'] },
    '_small.js': { file: 'assets/small-11aa.js' },
    'src/Kit.tsx': { file: 'assets/Kit-3e3e.js', name: 'Kit', imports: ['_board.js'] },
  };
  writeFileSync(join(folder.path, '.vite', 'manifest.json'), JSON.stringify(chunks));
  writeFileSync(join(folder.path, 'manifest.webmanifest'), '{}');
  writeFileSync(join(folder.path, 'sw.js'), '// the service worker');
  writeFileSync(join(folder.path, '..', 'secret.txt'), 'secret');
  const base = await startTestBase({ tabletFolder: folder.path });
  onTestFinished(base.stop);
  return base;
}

it('every place within the app is its one page, which is asked for anew each time', async () => {
  const base = await baseWithTablet();
  for (const path of ['/', '/join', '/board/b1/setup/12a', '/board/b1/match/yard.2', '/match?group=3']) {
    const answer = await fetch(base.url + path);
    expect(answer.status, path).toBe(200);
    expect(answer.headers.get('content-type')).toMatch(/^text\/html/);
    expect(answer.headers.get('cache-control')).toBe('no-cache');
    expect(answer.headers.get('content-security-policy')).toContain("default-src 'self'");
    expect(await answer.text()).toContain('the tablet');
  }
});

it('whoever opens a board is told of the files that all its screens need, and nobody else is', async () => {
  const base = await baseWithTablet();
  const at = async (path: string): Promise<string | null> =>
    (await fetch(base.url + path)).headers.get('link');
  expect(await at('/board/b1/setup/12a')).toBe(
    '</assets/small-11aa.js>; rel=modulepreload, </assets/board-7c1d.js>; rel=modulepreload',
  );
  for (const path of ['/', '/join', '/assets/board-7c1d.js']) expect(await at(path), path).toBeNull();
});

it('files named by their content are kept for good, and come compressed', async () => {
  const base = await baseWithTablet();
  const answer = await fetch(`${base.url}/assets/index-4f2a.js`, { headers: { 'accept-encoding': 'gzip' } });
  expect(answer.status).toBe(200);
  expect(answer.headers.get('content-type')).toMatch(/javascript/);
  expect(answer.headers.get('cache-control')).toBe('public, max-age=31536000, immutable');
  expect(answer.headers.get('content-encoding')).toBe('gzip');
  expect((await answer.text()).length).toBeGreaterThan(5000);
  const manifest = await fetch(`${base.url}/manifest.webmanifest`);
  expect(manifest.headers.get('cache-control')).toBe('no-cache');
  expect(manifest.headers.get('content-type')).toMatch(/^application\/manifest\+json/);
});

it('a file that was packed when it was made is given so to who takes it, and as it is to who does not', async () => {
  const base = await baseWithTablet();
  const asked = async (encoding: string): Promise<Response> =>
    fetch(`${base.url}/assets/board-7c1d.js`, { headers: { 'accept-encoding': encoding } });
  const packed = await asked('gzip, deflate, br');
  expect(packed.headers.get('content-encoding')).toBe('br');
  expect(packed.headers.get('vary')).toMatch(/accept-encoding/i);
  expect(packed.headers.get('content-type')).toMatch(/javascript/);
  expect(packed.headers.get('cache-control')).toBe('public, max-age=31536000, immutable');
  expect(await packed.text()).toBe('export {};');
  const plain = await asked('identity');
  expect(plain.headers.get('content-encoding')).toBeNull();
  expect(await plain.text()).toBe('export {};');
});

it('the service worker is asked for anew each time, wherever the program is installed', async () => {
  const base = await baseWithTablet('assets');
  const worker = await fetch(`${base.url}/sw.js`);
  expect(worker.status).toBe(200);
  expect(worker.headers.get('content-type')).toMatch(/javascript/);
  expect(worker.headers.get('cache-control')).toBe('no-cache');
});

it('a file that is not there is not there, and none outside the folder is', async () => {
  const base = await baseWithTablet();
  for (const path of [
    '/assets/index-0000.js',
    '/nothing.css',
    '/assets/',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/..%2f..%2fsecret.txt',
  ]) {
    const answer = await fetch(base.url + path);
    expect(await answer.text(), path).not.toContain('secret');
    expect([404, 400], `${path} ${answer.status}`).toContain(answer.status);
  }
  expect((await fetch(`${base.url}/join`, { method: 'POST' })).status).toBe(404);
});
