import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { OWN_BOARD, TRY } from '../../apps/tablet/src/screens/guide/pages.ts';
import { IS_WHOLE, PATIENCE_MS, SEED } from '../soak/size.ts';
import { brokenWords, faultsOf, sidewaysOverflow, smallTargets } from '../support/axe.ts';
import { call, joinWith, temporaryFolder } from '../support/base.ts';
import { borrowBrowser, heldBack, joinAs, openTablet, SIZES, type TestBrowser } from '../support/browser.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
import { randomOf } from '../support/random.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';
import { liveADay } from './lived.ts';
import { faultsOfSheet, WAYS } from './sheets.ts';

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
let browser: TestBrowser;
let invites: Readonly<Record<string, string>>;

beforeAll(async () => {
  base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
  invites = Object.fromEntries(
    Object.entries(base.greeting.links ?? {}).map(([role, link]) => [role, link.split('#')[1] ?? '']),
  );
  browser = await borrowBrowser();
}, PATIENCE_MS);

afterAll(async () => {
  await browser.close();
  await base.end('SIGTERM');
  folder.remove();
});

const tablets = tabletsOf(() => ({
  browser,
  base: base.url,
  boardId: base.greeting.boardId ?? '',
  invites,
}));

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

/** What lies one touch behind them: looked at in the whole run. */
const BEHIND = [
  'places/mill',
  'kit/item.camera.legs-low',
  'kit/cards.A-01',
  'kit/setup.1A',
  'kit/labels',
  'papers/camera',
  'reconcile',
  'guide',
] as const;

/** A portrait tablet's window when everything is shown at twice its size, CSS px. */
const TWICE = { width: SIZES.portrait.width / 2, height: SIZES.portrait.height / 2 };

/** The screens that hold most, each of its own making. */
const CHIEF = ['setup/1D', 'match', 'kit', 'places'] as const;

const random = randomOf(SEED);

/** What is looked at each time: the chief ones, and two of the rest. */
const SHARE = [...CHIEF, ...twoOf(SCREENS.filter((screen) => !CHIEF.some((chief) => chief === screen)))];

function twoOf<T>(all: readonly T[]): T[] {
  const one = random.pick(all);
  return [one, random.pick(all.filter((other) => other !== one))];
}

/** One role on a share of all screens and one on two of the chief of them; the whole run takes every role, appearance and screen. */
const PAIRS: readonly {
  readonly role: (typeof ROLES)[number];
  readonly appearance: Appearance;
  readonly screens: readonly string[];
}[] = IS_WHOLE
  ? ROLES.flatMap((role) =>
      APPEARANCES.map((appearance) => ({ role, appearance, screens: [...SCREENS, ...BEHIND] })),
    )
  : [
      { role: 'director', appearance: 'daylight', screens: SHARE },
      { role: 'camera', appearance: 'night', screens: twoOf(CHIEF) },
    ];

describe(`seed ${SEED}; every screen: WCAG 2.2 AA as far as axe-core can tell, in reach of a thumb, on a narrow window too`, () => {
  it.each(PAIRS)(
    'of the $role in $appearance: no target under 44 px, nothing wider than a phone, nor than a window at twice the size, no word parted',
    async ({ role, appearance, screens }) => {
      const tablet = await joined(role, appearance);
      const { page } = tablet;
      const faults: string[] = [];
      const wide = async (screen: string, window: string): Promise<void> => {
        const over = await sidewaysOverflow(page);
        if (over > 0) faults.push(`${screen}, ${window}: ${over} px too wide`);
        for (const word of await brokenWords(page)) faults.push(`${screen}, ${window}: parted, ${word}`);
      };
      for (const screen of screens) {
        await goTo(tablet, screen);
        for (const fault of await faultsOf(page)) faults.push(`${screen}: ${fault}`);
        await wide(screen, 'portrait');
        await page.setViewportSize(SIZES.phone);
        await wide(screen, 'phone');
        for (const small of await smallTargets(page)) faults.push(`${screen}: ${small}`);
        // WCAG 1.4.4 and 1.4.10: zooming to 200 % halves the CSS pixels of the window
        await page.setViewportSize(TWICE);
        await wide(screen, 'twice the size');
        await page.setViewportSize(SIZES.landscape);
        await wide(screen, 'landscape');
        await page.setViewportSize(SIZES.portrait);
      }
      await tablet.giveBack();
      expect(faults).toEqual([]);
    },
    PATIENCE_MS,
  );
});

describe('every sheet: WCAG 2.2 AA as far as axe-core can tell, named, in reach of a thumb and of the keyboard', () => {
  beforeAll(() => liveADay(base, invites, tablets), PATIENCE_MS);

  it.each(IS_WHOLE ? ROLES : (['director', 'camera', 'sound'] as const))(
    'of the %s; what makes something new says what each box is for',
    async (role) => {
      const tablet = await tablets.at(role, 'day', { size: 'portrait', name: `The ${role}` });
      const { page } = tablet;
      const faults: string[] = [];
      for (const [turn, way] of WAYS[role].filter(({ like }) => IS_WHOLE || like === undefined).entries()) {
        const looks = IS_WHOLE ? APPEARANCES : [APPEARANCES[turn % APPEARANCES.length]];
        if (!page.url().endsWith(`/${way.screen}`) || way.first) await tablet.go(way.screen);
        await way.first?.(page);
        for (const look of looks) {
          await page.evaluate(`document.documentElement.dataset.appearance = '${look}'`);
          faults.push(...(await faultsOfSheet(page, way)));
        }
      }
      await tablet.giveBack();
      expect(faults).toEqual([]);
    },
    PATIENCE_MS,
  );
});

const findingsSchema = z.object({
  findings: z.array(
    z.object({
      department: z.string(),
      message: z.string(),
      targets: z.array(z.object({ record: z.string() })),
      remedies: z.array(z.object({ by: z.string() })),
    }),
  ),
});

describe('the demo board explains itself', () => {
  it.each(IS_WHOLE ? ROLES : (['director', 'camera', 'sound'] as const))(
    'to the %s: on each screen that nothing of it is real, and one touch further what to begin with',
    async (role) => {
      const tablet = await tablets.at(role, 'day', { size: 'portrait', name: `The ${role}` });
      const { page } = tablet;
      for (const screen of ['day', 'setup', 'sound', 'progress']) {
        await tablet.go(screen);
        await page.getByText('Rehearsal: nothing here is real').waitFor();
      }
      await page.getByRole('link', { name: 'Where to begin' }).click();
      const lines = page.locator(`[data-guide="${role}"] [data-guide-rehearsal] li`);
      await lines.first().waitFor();
      const told = await lines.allTextContents();
      await tablet.giveBack();
      expect(told.join(' ')).toMatch(/invented.*Undo/);
      expect(told).toContain(TRY[role]);
      expect(told).toContain(OWN_BOARD);
    },
    PATIENCE_MS,
  );

  it('and nothing on the page moves when the words come that say so', async () => {
    const { page, context } = await openTablet(browser, { base: base.url, size: 'phone' });
    const { letGo } = await heldBack(page, '**/assets/Strip*.js');
    await joinAs(page, invites.director ?? '', 'Who waits');
    const head = page.locator('main h1').first();
    await head.waitFor();
    const before = await head.boundingBox();
    letGo();
    await page.getByText('Rehearsal: nothing here is real').waitFor();
    const after = await head.boundingBox();
    await context.close();
    expect(before?.y).toBeGreaterThan(0);
    expect(after?.y).toBe(before?.y);
  });

  it('and what each role may try first is there to be tried', async () => {
    const { boardId, session } = await joinWith(base, invites.producer ?? '', 'Who looks');
    const { body } = await call(base, 'GET', `/api/boards/${boardId}/findings`, { token: session });
    const { findings } = findingsSchema.parse(body);
    const isAbout = (record: string, by: string) =>
      findings.some(
        ({ targets, remedies }) =>
          targets.some((target) => target.record.startsWith(record)) &&
          remedies.some((remedy) => remedy.by === by),
      );
    // the setup that is too bright for its neighbour, and the channel with two sources
    expect([isAbout('1D.A', 'camera'), isAbout('3C.R1', 'sound')]).toEqual([true, true]);
  });
});
