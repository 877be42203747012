import { spawnSync } from 'node:child_process';
import { rmSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';

const root = resolve(import.meta.dirname, '../..');

/** Files that would stand against the way things point, and those that would not. */
const AGAINST: Readonly<Record<string, readonly [string, string]>> = {
  'packages/craft/src/probe-a.ts': ['a package', '@plumbline/shared'],
  'packages/replica/src/probe-b.ts': ['a package', '@plumbline/craft/exposure'],
  'packages/replica/src/probe-c.ts': ['a package by a path', '../../../shared/src/index.ts'],
  'shared/src/probe-d.ts': ['shared', '@plumbline/base'],
  'shared/src/probe-e.ts': ['shared by a path', '../../apps/tablet/src/main.ts'],
  'apps/base/src/probe-f.ts': ['the base', '@plumbline/tablet'],
  'apps/tablet/src/probe-g.ts': ['the tablet', '@plumbline/base'],
};
const ALONG = 'apps/base/src/probe-h.ts';
const CIRCLE = ['shared/src/probe-i.ts', 'shared/src/probe-j.ts'] as const;

const FILES: Readonly<Record<string, string>> = {
  ...Object.fromEntries(Object.entries(AGAINST).map(([path, [, wanted]]) => [path, `import '${wanted}';\n`])),
  [ALONG]: "import '@plumbline/replica';\n",
  [CIRCLE[0]]: "import { two } from './probe-j.ts';\nexport const one = (): number => two();\n",
  [CIRCLE[1]]: "import { one } from './probe-i.ts';\nexport const two = (): number => one();\n",
};

const reportSchema = z.object({
  diagnostics: z.array(z.object({ category: z.string(), location: z.object({ path: z.string() }) })),
});

/** The rules that each of the files breaks, linted as `npm run check` does. */
const broken = new Map<string, string[]>();

beforeAll(() => {
  for (const [path, text] of Object.entries(FILES)) writeFileSync(join(root, path), text);
  try {
    const { stdout } = spawnSync('npx', ['biome', 'lint', '--reporter=json', ...Object.keys(FILES)], {
      cwd: root,
      encoding: 'utf8',
    });
    for (const { category, location } of reportSchema.parse(JSON.parse(stdout)).diagnostics)
      broken.set(location.path, [...(broken.get(location.path) ?? []), category]);
  } finally {
    for (const path of Object.keys(FILES)) rmSync(join(root, path));
  }
});

const RESTRICTED = 'lint/style/noRestrictedImports';

describe('imports point one way: apps, shared, packages', () => {
  it.each(Object.entries(AGAINST))('%s may not import against it (%s)', (path) => {
    expect(broken.get(path)).toContain(RESTRICTED);
  });

  it('along it is allowed', () => {
    expect(broken.get(ALONG) ?? []).not.toContain(RESTRICTED);
  });

  it('a circle of imports is refused', () => {
    for (const path of CIRCLE) expect(broken.get(path)).toContain('lint/suspicious/noImportCycles');
  });
});
