import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { IS_WHOLE, PATIENCE_MS } from '../soak/size.ts';
import { faultsOf, sidewaysOverflow, smallTargets } from '../support/axe.ts';
import { temporaryFolder } from '../support/base.ts';
import { joinAs, launchBrowser, openTablet, SIZES } from '../support/browser.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';

const ROLES = ['director', 'camera', 'sound', 'producer'] as const;
const APPEARANCES = ['dark', 'daylight', 'night'] as const;
const SCREENS = [
  'day',
  'setup/1D',
  'sound/3C',
  'match',
  'kit',
  'kit/people',
  'kit/cards',
  'kit/power',
  'kit/checks',
  'places',
  'progress',
  'papers',
  'plan',
  'notices',
  'unit',
] as const;

const folder = temporaryFolder('everyone');
let base: BaseProcess;
let browser: Browser;

beforeAll(async () => {
  base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
  browser = await launchBrowser();
}, PATIENCE_MS);

afterAll(async () => {
  await browser.close();
  await base.end('SIGTERM');
  folder.remove();
});

async function joined(role: (typeof ROLES)[number], appearance: (typeof APPEARANCES)[number]) {
  const opened = await openTablet(browser, { base: base.url, size: 'portrait' });
  await opened.context.addInitScript(
    `localStorage.setItem('plumbline.appearance', ${JSON.stringify(JSON.stringify(appearance))})`,
  );
  await joinAs(opened.page, base.greeting.links?.[role]?.split('#')[1] ?? '', `The ${role}`);
  return opened;
}

async function goTo(page: Page, screen: string): Promise<void> {
  await page.goto(`/board/${base.greeting.boardId}/${screen}`);
  await page.locator('[data-link="live"]').waitFor();
  await page.locator('main h1').first().waitFor({ state: 'attached' });
  // what is fetched after the first picture: the rules, lists, drawings
  await page.waitForTimeout(200);
}

/** The screens that hold most, each of its own making. */
const CHIEF = ['setup/1D', 'match', 'kit', 'places'] as const;

/** One role on every screen and one on the chief of them; the whole run takes every role, appearance and screen. */
const PAIRS: readonly {
  readonly role: (typeof ROLES)[number];
  readonly appearance: (typeof APPEARANCES)[number];
  readonly screens: readonly string[];
}[] = IS_WHOLE
  ? ROLES.flatMap((role) => APPEARANCES.map((appearance) => ({ role, appearance, screens: SCREENS })))
  : [
      { role: 'director', appearance: 'daylight', screens: SCREENS },
      { role: 'camera', appearance: 'night', screens: CHIEF },
    ];

describe('WCAG 2.2 AA, as far as axe-core can tell', () => {
  it.each(PAIRS)(
    'holds on the screens of the $role in $appearance',
    async ({ role, appearance, screens }) => {
      const { page, context } = await joined(role, appearance);
      const faults: string[] = [];
      for (const screen of screens) {
        await goTo(page, screen);
        for (const fault of await faultsOf(page)) faults.push(`${screen}: ${fault}`);
      }
      await context.close();
      expect(faults).toEqual([]);
    },
    PATIENCE_MS,
  );
});

describe('a thumb and a narrow window are enough', () => {
  it.each(IS_WHOLE ? ROLES : (['director'] as const))(
    'for the %s: no target under 44 px, nothing wider than a phone',
    async (role) => {
      const { page, context } = await joined(role, 'dark');
      await page.setViewportSize(SIZES.phone);
      const wrong: string[] = [];
      for (const screen of SCREENS) {
        await goTo(page, screen);
        const over = await sidewaysOverflow(page);
        if (over > 0) wrong.push(`${screen}: ${over} px too wide`);
        for (const small of await smallTargets(page)) wrong.push(`${screen}: ${small}`);
      }
      await context.close();
      expect(wrong).toEqual([]);
    },
    PATIENCE_MS,
  );

  it(
    'at twice the size of everything nothing runs out of the side (WCAG 1.4.4 and 1.4.10)',
    async () => {
      const { page, context } = await joined('camera', 'daylight');
      // zooming to 200 % halves the CSS pixels of the window
      await page.setViewportSize({ width: 410, height: 590 });
      const wide: string[] = [];
      for (const screen of SCREENS) {
        await goTo(page, screen);
        const over = await sidewaysOverflow(page);
        if (over > 0) wide.push(`${screen}: ${over} px`);
      }
      await context.close();
      expect(wide).toEqual([]);
    },
    PATIENCE_MS,
  );
});
