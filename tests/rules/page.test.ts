import { readFileSync } from 'node:fs';
import { ruleCatalogue } from '@plumbline/shared/rules';
import { describe, expect, test } from 'vitest';
import { rulesPage } from '../../shared/scripts/page.ts';

describe('the page that lists the rules', () => {
  test('is current: `npm run docs -w shared` brings it up to date', () => {
    expect(readFileSync('shared/RULES.md', 'utf8')).toBe(rulesPage());
  });

  test('would change with a rule, and leaves none out', () => {
    const [first, ...others] = ruleCatalogue;
    if (!first) throw new Error('no rules');
    expect(rulesPage([{ ...first, why: 'For another reason.' }, ...others])).not.toBe(rulesPage());
    for (const { id } of ruleCatalogue) expect(rulesPage()).toContain(`\`${id}\``);
    expect(() => rulesPage([{ ...first, id: 'weather-rain' }])).toThrow('chapter');
  });
});
