import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';
import { readDocumentation } from '../../packages/craft/scripts/docs.ts';
import { INNER_MODULES, SUBJECTS } from '../../packages/craft/scripts/subjects.ts';
import { withTables } from '../../packages/craft/scripts/tables.ts';

const SOURCE = 'packages/craft/src';
const readme = readFileSync('packages/craft/README.md', 'utf8');
const documentation = readDocumentation(SOURCE);
const open = documentation.functions.filter(
  ({ name }) => !name.startsWith('require') && name !== 'runBiquad',
);

describe('the package’s page', () => {
  it('is what the comments make of it: `npm run docs -w packages/craft` brings it up to date', () => {
    expect(withTables(readme, documentation)).toBe(readme);
  });

  it('would change with a comment', () => {
    const [first, ...others] = documentation.functions.filter(({ module }) => module === 'exposure');
    if (!first) {
      throw new Error('no function in exposure');
    }
    const changed = { ...first, tags: { ...first.tags, source: ['somebody said so'] } };
    const functions = [changed, ...others];
    expect(withTables(readme, { ...documentation, functions })).toContain('somebody said so');
  });

  it('shows the example that runs, with the answers that it gives', async () => {
    const example = readFileSync('tests/craft/example.ts', 'utf8').trim();
    expect(readme).toContain(example);
    const said: string[] = [];
    const log = vi.spyOn(console, 'log').mockImplementation((text) => said.push(String(text)));
    await import('./example.ts');
    log.mockRestore();
    const answers = [...example.matchAll(/console\.log\(.*\); \/\/ (\S+)/g)].map((match) =>
      match[1]?.replace(/,$/, ''),
    );
    expect(said).toEqual(answers);
  });

  it('names each caution', () => {
    for (const caution of ['POWER_CAUTION', 'SUN_CAUTION', 'RADIO_CAUTION', 'LITHIUM_CAUTION']) {
      expect(readme).toContain(caution);
    }
  });
});

describe('every public function', () => {
  it.each(open.map((one) => [one.name, one] as const))(
    '%s says its unit and its source',
    (_name, { text, tags }) => {
      expect(text).toMatch(/[.?]$/);
      expect(tags.unit?.[0] ?? '').not.toBe('');
      expect(tags.source?.[0] ?? '').not.toBe('');
    },
  );

  it('describes each of its parameters', () => {
    for (const { name, parameters, tags } of open) {
      const names = parameters
        .split(/,\s*(?![^{<]*[}>])/)
        .map((one) => /^(\w+)/.exec(one)?.[1] ?? '')
        .filter(Boolean);
      const described = (tags.param ?? []).map((line) => line.split(' ')[0]);
      expect(described, name).toEqual(names);
    }
  });

  it('belongs to a subject', () => {
    const modules = readdirSync(SOURCE).map((file) => file.replace(/\.ts$/, ''));
    const listed = [...SUBJECTS.flatMap((subject) => subject.modules), ...INNER_MODULES];
    expect([...modules].sort()).toEqual([...listed].sort());
  });
});
