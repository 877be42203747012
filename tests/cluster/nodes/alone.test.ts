import { readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';

const BASE = fileURLToPath(new URL('../../../apps/base/src/', import.meta.url));

/** All that is loaded with a file: what it and what it imports import, dynamic imports and mere types left out. */
function loadedWith(
  file: string,
  met = new Map<string, readonly string[]>(),
): Map<string, readonly string[]> {
  if (met.has(file)) return met;
  const text = readFileSync(file, 'utf8');
  const from = [...text.matchAll(/^(?:import|export)\s(?!type\s)[^;]*?from '([^']+)';/gms)].map(
    ([, name = '']) => name,
  );
  met.set(file, from);
  for (const name of from) if (name.startsWith('.')) loadedWith(resolve(dirname(file), name), met);
  return met;
}

it('a base by itself loads nothing of the engine’s libraries, a node of a fleet does', () => {
  for (const file of ['start.ts', 'program.ts', 'cli/serve.ts']) {
    const loaded = [...loadedWith(BASE + file).values()].flat();
    expect(loaded.length, file).toBeGreaterThan(0);
    expect(
      loaded.filter((name) => name.startsWith('@nats-io/')),
      file,
    ).toEqual([]);
  }
  const cluster = [...loadedWith(`${BASE}cluster/open.ts`).values()].flat();
  expect(cluster).toContain('@nats-io/jetstream');
});
