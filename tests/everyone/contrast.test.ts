import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openStill, startUnit, THEMES, type Theme, type Unit } from '../pictures/unit.ts';
import { PATIENCE_MS, tell } from '../soak/size.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { contrastOf, KINDS, type Pair, pairsOf, worstOf } from './contrast.ts';

/**
 * The least contrast. Text: WCAG 2.2 success criterion 1.4.3 (AA, 4.5:1), and 1.4.6 (AAA, 7:1) for the appearance that is
 * read in the sun; large text is held to the same. Signs and edges of fields: 1.4.11 (AA, 3:1).
 * https://www.w3.org/TR/WCAG22/#contrast-minimum, #contrast-enhanced, #non-text-contrast
 */
const LEAST: Readonly<Record<Theme, Readonly<Record<Pair['kind'], number>>>> = {
  dark: { text: 4.5, sign: 3, field: 3 },
  daylight: { text: 7, sign: 3, field: 3 },
  night: { text: 4.5, sign: 3, field: 3 },
};

/** Screens that hold most, of each making. */
const SCREENS = ['day', 'setup/1B', 'match', 'sound/3C', 'kit/cards', 'places/mill'] as const;

let unit: Unit;
let browser: TestBrowser;
const pairs: Record<Theme, Pair[]> = { dark: [], daylight: [], night: [] };

/** Reads what the page shows, in each appearance. */
async function look(page: Page, where: string): Promise<void> {
  for (const theme of THEMES) {
    await page.evaluate((name) => {
      document.documentElement.dataset.appearance = name;
    }, theme);
    const found = await pairsOf(page);
    expect(found.length, where).toBeGreaterThan(30);
    pairs[theme].push(...found.map((pair) => ({ ...pair, where: `${where}, ${pair.where}` })));
  }
}

beforeAll(async () => {
  unit = await startUnit();
  browser = await borrowBrowser();
  const { context, page } = await openStill(browser, unit, {
    role: 'camera',
    theme: 'dark',
    size: 'landscape',
  });
  await page.locator('[data-judged="true"]').waitFor();
  const goTo = async (screen: string): Promise<void> => {
    await page.evaluate((path) => {
      history.pushState(null, '', path);
      dispatchEvent(new PopStateEvent('popstate'));
    }, `/board/${unit.board.boardId}/${screen}`);
    await page.locator('main h1').first().waitFor({ state: 'attached' });
    await page.getByText(/^(Opening…|Looking at all setups…)$/).waitFor({ state: 'detached' });
    // what is fetched after the first picture: lists, drawings
    await page.waitForTimeout(300);
  };
  for (const screen of SCREENS) {
    await goTo(screen);
    await look(page, screen);
  }
  await goTo('setup/1B');
  await page.locator('[data-field="picture/1B.A/aperture"] .field-value').first().click();
  await page.getByRole('dialog').locator('.entry').waitFor();
  await look(page, 'a sheet');
  await context.close();
}, PATIENCE_MS);

afterAll(async () => {
  await browser?.close();
  await unit?.base.stop();
});

describe.each(THEMES)('in %s', (theme) => {
  it.each(KINDS)('every %s stands out from what is behind it', (kind) => {
    const of = pairs[theme].filter((pair) => pair.kind === kind);
    expect(of.length).toBeGreaterThan(0);
    tell(`${theme}, ${of.length} × ${kind}:\n  ${worstOf(of).join('\n  ')}`);
    expect(worstOf(of.filter(({ ratio }) => ratio < LEAST[theme][kind]))).toEqual([]);
  });
});

describe('the tokens, on whatever screen they meet', () => {
  const css = readFileSync(join(import.meta.dirname, '../../apps/tablet/src/style/tokens.css'), 'utf8');
  /** The tokens that a rule sets, by its selector as it is written. */
  const tokensOf = (selector: string): Record<string, string> => {
    const from = css.indexOf(`${selector} {`);
    expect(from, selector).toBeGreaterThan(-1);
    const body = css.slice(from, css.indexOf('}', from));
    return Object.fromEntries(
      [...body.matchAll(/--([a-z-]+):\s*([^;]+);/g)].map(([, name, to]) => [name, to]),
    );
  };
  const plain = tokensOf(':root');
  const all: Readonly<Record<Theme, Readonly<Record<string, string>>>> = {
    dark: plain,
    daylight: { ...plain, ...tokensOf(':root[data-appearance="daylight"]') },
    night: { ...plain, ...tokensOf(':root[data-appearance="night"]') },
  };
  const ON_ANY = ['text', 'muted', 'accent', 'good', 'fault', 'break', 'advice'] as const;
  const GROUNDS = ['ground', 'surface', 'raised'] as const;
  const TEXTS: readonly (readonly [text: string, ground: string])[] = [
    ...ON_ANY.flatMap((text) => GROUNDS.map((ground) => [text, ground] as const)),
    ...['accent', 'fault', 'break', 'advice'].map((text) => [text, `${text}-ground`] as const),
    ...['accent', 'fault', 'break', 'advice'].map((text) => ['text', `${text}-ground`] as const),
    ['text', 'pressed'],
    ['on-accent', 'accent'],
    ['on-chosen', 'chosen'],
    ['on-rolling', 'rolling'],
  ];

  it.each(THEMES)('in %s', (theme) => {
    const colour = (name: string): string => {
      const value = all[theme][name] ?? '';
      const other = /^var\(--([a-z-]+)\)$/.exec(value)?.[1];
      return other === undefined ? value : colour(other);
    };
    const ratios = [
      ...TEXTS.map(([text, ground]) => ({ kind: 'text' as const, of: [text, ground] as const })),
      ...GROUNDS.map((ground) => ({ kind: 'field' as const, of: ['edge', ground] as const })),
    ].map(({ kind, of: [text, ground] }) => {
      expect(colour(text), text).toMatch(/^#[0-9a-f]{3,6}$/);
      expect(colour(ground), ground).toMatch(/^#[0-9a-f]{3,6}$/);
      return { kind, pair: `${text} on ${ground}`, ratio: contrastOf(colour(text), colour(ground)) };
    });
    const worst = ratios.toSorted((a, b) => a.ratio - b.ratio).slice(0, 6);
    tell(`tokens, ${theme}: ${worst.map(({ pair, ratio }) => `${pair} ${ratio.toFixed(2)}`).join(', ')}`);
    expect(ratios.filter(({ kind, ratio }) => ratio < LEAST[theme][kind])).toEqual([]);
  });

  it('are the same in daylight whether it was chosen or follows the device', () => {
    expect(tokensOf(':root:not([data-appearance])')).toEqual(tokensOf(':root[data-appearance="daylight"]'));
  });

  it('black on white is 21:1, and #767676 on white just 4.54:1, as is well known', () => {
    // https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio: "Contrast ratios can range from 1 to 21"
    expect(contrastOf('#000', '#fff')).toBe(21);
    // https://www.w3.org/WAI/WCAG22/Techniques/general/G18 gives the method; #767676 is the lightest grey that passes
    expect(contrastOf('#767676', '#ffffff')).toBeCloseTo(4.54, 2);
    expect(contrastOf('#777777', '#ffffff')).toBeLessThan(4.5);
  });
});
