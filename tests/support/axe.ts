import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import * as z from 'zod';

const SOURCE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const violationsSchema = z.array(
  z.object({
    id: z.string(),
    nodes: z.array(z.object({ html: z.string(), failureSummary: z.string().optional() })),
  }),
);

/** The rules of WCAG 2.0, 2.1 and 2.2 at levels A and AA, as axe-core knows them. */
const STANDARD = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/**
 * Rules that axe-core itself calls experimental and that find nothing here but their own way of joining the words of
 * neighbouring boxes (`Mains` above `50 Hz` becomes `Mains50 Hz`, which the name `Mains: 50 Hz` does not hold).
 */
const EXPERIMENTAL = { 'label-content-name-mismatch': { enabled: false } };

/** What a page does that WCAG 2.2 AA does not allow, one line each. */
export async function faultsOf(page: Page, of = 'body'): Promise<string[]> {
  await page.evaluate(`window.axe ? undefined : (() => { ${SOURCE} })()`);
  const found: unknown = await page.evaluate(
    `axe.run(${JSON.stringify(of)}, { runOnly: ${JSON.stringify(STANDARD)}, rules: ${JSON.stringify(EXPERIMENTAL)}, resultTypes: ['violations'] }).then((result) => result.violations)`,
  );
  return violationsSchema
    .parse(found)
    .flatMap(({ id, nodes }) =>
      nodes.map(
        ({ html, failureSummary = '' }) => `${id}: ${html.slice(0, 160)} — ${failureSummary.slice(0, 200)}`,
      ),
    );
}

/**
 * Buttons and links smaller than a finger, 44 by 44 px, that are in view. Links in a line of text are left out, as they
 * are by WCAG 2.5.8.
 */
export async function smallTargets(page: Page): Promise<string[]> {
  return z.array(z.string()).parse(
    await page.evaluate(`[...document.querySelectorAll('button, a[href], input, select, summary, [role="button"]')]
      .filter((element) => {
        const box = element.getBoundingClientRect();
        const style = getComputedStyle(element);
        if (box.width === 0 || style.visibility === 'hidden' || element.closest('.unseen')) return false;
        if (element.disabled || (element.tagName === 'A' && style.display === 'inline')) return false;
        if (box.bottom < 0 || box.top > innerHeight) return false;
        return box.width < 43.5 || box.height < 43.5;
      })
      .map((element) => {
        const box = element.getBoundingClientRect();
        return Math.round(box.width) + '×' + Math.round(box.height) + ' ' + element.outerHTML.slice(0, 120);
      })`),
  );
}

/** How far the page is wider than its window, px. */
export async function sidewaysOverflow(page: Page): Promise<number> {
  return z
    .number()
    .parse(
      await page.evaluate(
        `Math.max(document.documentElement.scrollWidth - innerWidth, ...[...document.querySelectorAll('main')].map((main) => main.scrollWidth - main.clientWidth))`,
      ),
    );
}

/** Words of everyday length that a narrow box parts in the middle, with no hyphen: `Complet`, `e`. */
export async function brokenWords(page: Page, of = 'body'): Promise<string[]> {
  return z.array(z.string()).parse(
    await page.evaluate(`(() => {
      const found = [];
      const walker = document.createTreeWalker(document.querySelector(${JSON.stringify(of)}), NodeFilter.SHOW_TEXT);
      const range = document.createRange();
      for (let node = walker.nextNode(); node; node = walker.nextNode()) {
        const parent = node.parentElement;
        if (!parent || parent.closest('svg, script, style, .unseen, [class*="clip"]') || getComputedStyle(parent).clipPath !== 'none' || !parent.checkVisibility({ visibilityProperty: true })) continue;
        for (const { 0: word, index } of node.data.matchAll(/[\\p{L}\\p{N}.,/’']+/gu)) {
          if (word.length < 3 || word.length > 20 || word.includes('/')) continue;
          range.setStart(node, index);
          range.setEnd(node, index + word.length);
          const tops = [...range.getClientRects()].filter(({ width }) => width > 0).map(({ top }) => top);
          if (tops.length > 1 && Math.max(...tops) - Math.min(...tops) > 4) found.push(word + ' in ' + parent.outerHTML.slice(0, 100));
        }
      }
      return found;
    })()`),
  );
}
