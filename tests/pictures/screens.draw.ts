import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { z } from 'zod';
import { launchBrowser, SIZES } from '../support/browser.ts';
import { isKept, KEPT, nameOf } from './kept.ts';
import { Likeness } from './likeness.ts';
import {
  openScreen,
  openStill,
  ROLES,
  SCREENS,
  type Size,
  startUnit,
  still,
  THEMES,
  type Theme,
  type Unit,
} from './unit.ts';

/** What is done with each picture: drawn to be looked at, compared with the one that is kept, or kept. */
const MODE = z.enum(['draw', 'compare', 'keep']).parse(process.env.PLUMBLINE_PICTURES ?? 'draw');

const OUT = resolve(import.meta.dirname, '../../pictures');
const README = resolve(import.meta.dirname, '../../apps/tablet/pictures');

/** So much of a picture may differ, of its points: a caret, a letter of a browser that smooths otherwise. */
const TOLERANCE = 0.004;

let unit: Unit;
let browser: Browser;
let likeness: Likeness;

beforeAll(async () => {
  mkdirSync(OUT, { recursive: true });
  unit = await startUnit();
  browser = await launchBrowser();
  likeness = new Likeness(await browser.newPage());
});

afterAll(async () => {
  await browser.close();
  await unit.base.stop();
});

const SIZES_OF = ['landscape', 'portrait', 'phone'] as const satisfies readonly Size[];

const differing: string[] = [];

async function deal(name: string, picture: Buffer): Promise<void> {
  const path = join(KEPT, `${name}.png`);
  if (MODE === 'draw') writeFileSync(join(OUT, `${name}.png`), picture);
  else if (MODE === 'keep') writeFileSync(path, await likeness.small(picture));
  else if (!existsSync(path)) differing.push(`${name}: none is kept`);
  else {
    const { apart, side } = await likeness.compare(picture, readFileSync(path));
    if (apart <= TOLERANCE) return;
    differing.push(`${name}: ${(apart * 100).toFixed(2)} %`);
    writeFileSync(join(OUT, `${name}.png`), picture);
    writeFileSync(join(OUT, `${name}.beside.png`), side);
  }
}

for (const role of ROLES) {
  for (const theme of THEMES) {
    const sizes = (screen: string): readonly Size[] =>
      SIZES_OF.filter((size) => MODE === 'draw' || isKept(role, screen, size, theme));
    const screens = SCREENS.filter((screen) => sizes(screen).length > 0);
    if (screens.length === 0) continue;
    it(`${MODE}s what the ${role} sees in ${theme}`, async () => {
      const { context, page } = await openStill(browser, unit, { role, theme, size: 'landscape' });
      for (const screen of screens) {
        await openScreen(page, unit, screen);
        for (const size of sizes(screen)) {
          await page.setViewportSize(SIZES[size]);
          await deal(nameOf(role, screen, size, theme), await still(page));
        }
      }
      await context.close();
    });
  }
}

it.runIf(MODE === 'compare')('finds every picture as it was kept', () => {
  expect(differing, `each beside the kept one in ${OUT}`).toEqual([]);
});

it.runIf(MODE === 'draw')('draws the pictures of the README', async () => {
  mkdirSync(README, { recursive: true });
  const shots: readonly [name: string, theme: Theme, size: Size, screen: string][] = [
    ['setup', 'dark', 'landscape', 'setup/1D'],
    ['match', 'daylight', 'landscape', 'match'],
    ['setup-phone', 'daylight', 'phone', 'setup/1B'],
    ['day-phone', 'night', 'phone', 'day'],
  ];
  for (const [name, theme, size, screen] of shots) {
    const { context, page } = await openStill(browser, unit, { role: 'camera', theme, size });
    writeFileSync(join(README, `${name}.png`), await openScreen(page, unit, screen));
    await context.close();
  }
});
