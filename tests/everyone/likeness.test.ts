import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { KEPT, nameOf } from '../pictures/kept.ts';
import { Likeness } from '../pictures/likeness.ts';
import { openScreen, openStill, startUnit, type Unit } from '../pictures/unit.ts';
import { PATIENCE_MS } from '../soak/size.ts';
import { launchBrowser } from '../support/browser.ts';

/**
 * Another browser smooths letters otherwise and lacks some of them; what is out of its place is more: a line of text that
 * moved by its own height is three times this.
 */
const TOLERANCE = 0.02;

let unit: Unit;
let browser: Browser;

beforeAll(async () => {
  unit = await startUnit();
  browser = await launchBrowser();
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
    const { context, page } = await openStill(browser, unit, { role: 'camera', theme, size });
    const picture = await openScreen(page, unit, screen);
    const likeness = new Likeness(await browser.newPage());
    const kept = readFileSync(join(KEPT, `${nameOf('camera', screen, size, theme)}.png`));
    const { apart } = await likeness.compare(picture, kept);
    await context.close();
    expect(apart, 'npm run pictures -- --compare shows where').toBeLessThan(TOLERANCE);
  },
  PATIENCE_MS,
);
