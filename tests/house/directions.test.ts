import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';

const root = resolve(import.meta.dirname, '../..');
const written: string[] = [];

/** Puts a file into the tree, lints it as `npm run check` does, and gives the names of the rules it breaks. */
function rulesBrokenBy(files: Readonly<Record<string, string>>): string[] {
  for (const [path, text] of Object.entries(files)) {
    const full = join(root, path);
    mkdirSync(dirname(full), { recursive: true });
    writeFileSync(full, text);
    written.push(full);
  }
  const run = spawnSync('npx', ['biome', 'lint', '--reporter=json', ...Object.keys(files)], {
    cwd: root,
    encoding: 'utf8',
  });
  return [...new Set([...run.stdout.matchAll(/"category":"(lint\/[^"]+)"/g)].map((match) => match[1] ?? ''))];
}

afterEach(() => {
  for (const file of written.splice(0)) rmSync(file);
});

const RESTRICTED = 'lint/style/noRestrictedImports';

describe('imports point one way: apps, shared, packages', () => {
  it.each([
    ['a package', 'packages/craft/src/probe-a.ts', '@plumbline/shared'],
    ['a package', 'packages/replica/src/probe-b.ts', '@plumbline/craft/exposure'],
    ['a package by a path', 'packages/replica/src/probe-c.ts', '../../../shared/src/index.ts'],
    ['shared', 'shared/src/probe-d.ts', '@plumbline/base'],
    ['shared by a path', 'shared/src/probe-e.ts', '../../apps/tablet/src/main.ts'],
    ['the base', 'apps/base/src/probe-f.ts', '@plumbline/tablet'],
    ['the tablet', 'apps/tablet/src/probe-g.ts', '@plumbline/base'],
  ])('%s may not import against it (%s)', (_, path, wanted) => {
    expect(rulesBrokenBy({ [path]: `import '${wanted}';\n` })).toContain(RESTRICTED);
  });

  it('along it is allowed', () => {
    expect(rulesBrokenBy({ 'apps/base/src/probe-h.ts': "import '@plumbline/replica';\n" })).not.toContain(
      RESTRICTED,
    );
  });

  it('a circle of imports is refused', () => {
    const broken = rulesBrokenBy({
      'shared/src/probe-i.ts':
        "import { two } from './probe-j.ts';\nexport const one = (): number => two();\n",
      'shared/src/probe-j.ts':
        "import { one } from './probe-i.ts';\nexport const two = (): number => one();\n",
    });
    expect(broken).toContain('lint/suspicious/noImportCycles');
  });
});
