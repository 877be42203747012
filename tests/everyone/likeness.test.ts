import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { KEPT, nameOf } from '../pictures/kept.ts';
import { Likeness } from '../pictures/likeness.ts';
import { openScreen, openStill, startUnit, type Unit } from '../pictures/unit.ts';
import { PATIENCE_MS } from '../soak/size.ts';
import { borrowBrowser, SIZES, type TestBrowser } from '../support/browser.ts';
import { goInside } from '../support/tablets.ts';

/**
 * Another browser smooths letters otherwise and lacks some of them; what is out of its place is more: a line of text that
 * moved by its own height is three times this.
 */
const TOLERANCE = 0.02;

/** What each appearance is chosen by on the unit's screen. */
const WORDS = { dark: 'Dark', daylight: 'Daylight', night: 'Night' } as const;

let unit: Unit;
let browser: TestBrowser;
/** The camera's tablet, on which all are looked at. */
let page: Page;
let likeness: Likeness;

beforeAll(async () => {
  unit = await startUnit();
  browser = await borrowBrowser();
  ({ page } = await openStill(browser, unit, { role: 'camera', theme: 'dark', size: 'phone' }));
  likeness = new Likeness(await (await browser.newContext()).newPage());
}, PATIENCE_MS);

afterAll(async () => {
  await browser.close();
  await unit.base.stop();
});

it.each([
  ['setup/1B', 'phone', 'dark'],
  ['match', 'landscape', 'daylight'],
  ['kit/cards', 'portrait', 'dark'],
  ['day', 'phone', 'night'],
] as const)(
  '%s on a %s in %s looks as it did when it was kept',
  async (screen, size, theme) => {
    await page.setViewportSize(SIZES[size]);
    await page.emulateMedia({ colorScheme: theme === 'daylight' ? 'light' : 'dark' });
    await goInside(page, unit.board.boardId, 'unit');
    await page.getByRole('button', { name: WORDS[theme], exact: true }).click();
    const picture = await openScreen(page, unit, screen);
    const kept = readFileSync(join(KEPT, `${nameOf('camera', screen, size, theme)}.png`));
    const { apart } = await likeness.compare(picture, kept);
    expect(apart, 'npm run pictures -- --compare shows where').toBeLessThan(TOLERANCE);
  },
  PATIENCE_MS,
);
