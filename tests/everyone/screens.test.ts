import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { IS_WHOLE, PATIENCE_MS } from '../soak/size.ts';
import { faultsOf, sidewaysOverflow, smallTargets } from '../support/axe.ts';
import { temporaryFolder } from '../support/base.ts';
import { launchBrowser, SIZES } from '../support/browser.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';

const ROLES = ['director', 'camera', 'sound', 'producer'] as const;
const APPEARANCES = ['dark', 'daylight', 'night'] as const;
type Appearance = (typeof APPEARANCES)[number];
const WORDS: Readonly<Record<Appearance, string>> = { dark: 'Dark', daylight: 'Daylight', night: 'Night' };
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

const tablets = tabletsOf(() => {
  const { boardId = '', links = {} } = base.greeting;
  const invites = Object.fromEntries(
    Object.entries(links).map(([role, link]) => [role, link.split('#')[1] ?? '']),
  );
  return { browser, base: base.url, boardId, invites };
});

/** A tablet of a role, made to look as it is chosen to on its unit's screen. */
async function joined(role: (typeof ROLES)[number], appearance: Appearance) {
  const tablet = await tablets.at(role, 'unit', { size: 'portrait', name: `The ${role}` });
  await tablet.page.getByRole('button', { name: WORDS[appearance], exact: true }).click();
  await tablet.page.locator(`:root[data-appearance="${appearance}"]`).waitFor();
  return tablet;
}

async function goTo({ page, go }: LentTablet, screen: string): Promise<void> {
  await go(screen);
  await page.locator('[data-judged="true"]').waitFor();
  await page.locator('main h1').first().waitFor({ state: 'attached' });
  await page
    .getByText(/^(Opening…|Looking at all setups…|Making the paper…)$/)
    .waitFor({ state: 'detached' });
  // what is fetched after the first picture: lists, drawings
  await page.waitForTimeout(200);
}

/** The screens that hold most, each of its own making. */
const CHIEF = ['setup/1D', 'match', 'kit', 'places'] as const;

/** One role on every screen and one on the chief of them; the whole run takes every role, appearance and screen. */
const PAIRS: readonly {
  readonly role: (typeof ROLES)[number];
  readonly appearance: Appearance;
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
      const tablet = await joined(role, appearance);
      const { page } = tablet;
      const faults: string[] = [];
      for (const screen of screens) {
        await goTo(tablet, screen);
        for (const fault of await faultsOf(page)) faults.push(`${screen}: ${fault}`);
      }
      await tablet.giveBack();
      expect(faults).toEqual([]);
    },
    PATIENCE_MS,
  );
});

describe('a thumb and a narrow window are enough', () => {
  it.each(IS_WHOLE ? ROLES : (['director'] as const))(
    'for the %s: no target under 44 px, nothing wider than a phone',
    async (role) => {
      const tablet = await joined(role, 'dark');
      const { page } = tablet;
      await page.setViewportSize(SIZES.phone);
      const wrong: string[] = [];
      for (const screen of SCREENS) {
        await goTo(tablet, screen);
        const over = await sidewaysOverflow(page);
        if (over > 0) wrong.push(`${screen}: ${over} px too wide`);
        for (const small of await smallTargets(page)) wrong.push(`${screen}: ${small}`);
      }
      await tablet.giveBack();
      expect(wrong).toEqual([]);
    },
    PATIENCE_MS,
  );

  it(
    'at twice the size of everything nothing runs out of the side (WCAG 1.4.4 and 1.4.10)',
    async () => {
      const tablet = await joined('camera', 'daylight');
      const { page } = tablet;
      // zooming to 200 % halves the CSS pixels of the window
      await page.setViewportSize({ width: 410, height: 590 });
      const wide: string[] = [];
      for (const screen of SCREENS) {
        await goTo(tablet, screen);
        const over = await sidewaysOverflow(page);
        if (over > 0) wide.push(`${screen}: ${over} px`);
      }
      await tablet.giveBack();
      expect(wide).toEqual([]);
    },
    PATIENCE_MS,
  );
});
