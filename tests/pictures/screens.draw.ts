import { mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, it } from 'vitest';
import { temporaryFolder } from '../support/base.ts';
import { joinAs, launchBrowser, openTablet, SIZES } from '../support/browser.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';

const OUT = resolve(import.meta.dirname, '../../pictures');
const ROLES = ['director', 'camera', 'sound', 'producer'] as const;
const SCREENS = ['day', 'setup/1D', 'match', 'sound', 'progress', 'unit', 'notices'] as const;
const THEMES = (process.env.PLUMBLINE_THEMES ?? 'dark,light').split(',');

const folder = temporaryFolder('pictures');
let base: BaseProcess;
let browser: Browser;

beforeAll(async () => {
  mkdirSync(OUT, { recursive: true });
  base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
  browser = await launchBrowser();
});

afterAll(async () => {
  await browser.close();
  await base.end('SIGTERM');
  folder.remove();
});

async function draw(page: Page, name: string): Promise<void> {
  await page.screenshot({ path: join(OUT, `${name}.png`) });
}

for (const role of ROLES) {
  it(`draws what the ${role} sees`, async () => {
    for (const theme of THEMES) {
      const { context, page } = await openTablet(browser, {
        base: base.url,
        theme: theme === 'light' ? 'light' : 'dark',
      });
      await joinAs(page, base.greeting.links?.[role]?.split('#')[1] ?? '', `The ${role}`);
      await draw(page, `${role}-home-${theme}`);
      for (const [size, viewport] of Object.entries(SIZES)) {
        await page.setViewportSize(viewport);
        for (const screen of SCREENS) {
          await page.goto(`/board/${base.greeting.boardId}/${screen}`);
          await page.locator('[data-link="live"]').waitFor();
          await page.locator('main :is(h1, h2)').first().waitFor();
          await draw(page, `${role}-${screen.replace('/', '-')}-${size}-${theme}`);
        }
      }
      await context.close();
    }
  });
}
