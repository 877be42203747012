import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { shootKind } from '@plumbline/base';
import { boardDefinition, type Role } from '@plumbline/shared';
import type { BrowserContext, Page } from 'playwright-core';
import { call, createBoard, joinAs as joinByCall, startTestBase } from '../support/base.ts';
import { joinAs, openTablet, type SIZES, type TestBrowser } from '../support/browser.ts';
import { openTablet as openPlain } from '../support/clients.ts';

export const ROLES = ['director', 'camera', 'sound', 'producer'] as const;
export const THEMES = ['dark', 'daylight', 'night'] as const;
export type Theme = (typeof THEMES)[number];
export type Size = keyof typeof SIZES;

/** Every screen that has an address, and what of it. */
export const SCREENS = [
  'day',
  'setup/1B',
  'match',
  'sound/3C',
  'kit',
  'kit/people',
  'kit/cards',
  'kit/power',
  'kit/checks',
  'places/mill',
  'progress',
  'papers',
  'papers/camera',
  'reconcile',
  'plan',
  'notices',
  'unit',
  'guide',
] as const;

/** Where time stands still for pictures: the second hour of the demo shoot's day, at its place. */
const NOW = Date.UTC(2027, 4, 14, 5, 52, 10);
const MINUTE = 60_000;
const PLAN = resolve(import.meta.dirname, '../../demo-data');
const TABLET = resolve(import.meta.dirname, '../../apps/tablet/dist');
const NAMES: Readonly<Record<Role, string>> = {
  director: 'Ilse Marrow',
  camera: 'Teodor Vance',
  sound: 'Mirre Okonta',
  producer: 'Bao Lindstrand',
};

/** The demo shoot an hour into its day, on a base whose clock stands still. */
export async function startUnit() {
  const base = await startTestBase({
    kind: shootKind(),
    tabletFolder: TABLET,
    // the time of day stands; what only measures how long something takes goes on
    machine: { wall: () => NOW, monotonic: () => 0 },
  });
  const board = await createBoard(base, 'Demo shoot');
  const planner = await joinByCall(base, board, 'director', NAMES.director);
  const files = readdirSync(PLAN)
    .filter((name) => /\.(csv|tsv)$/.test(name))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(PLAN, name), 'utf8') }));
  const taken = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: planner.session,
    body: { files },
  });
  if (taken.status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(taken.body)}`);
  await live(base, board, planner);
  return { base, board };
}
export type Unit = Awaited<ReturnType<typeof startUnit>>;

/** What the unit did until now. */
async function live(
  base: Unit['base'],
  board: Unit['board'],
  director: Awaited<ReturnType<typeof joinByCall>>,
): Promise<void> {
  const now = (): number => NOW;
  const lead = await openPlain(base, director, boardDefinition, { now });
  const camera = await openPlain(
    base,
    await joinByCall(base, board, 'camera', 'Lia Brandt'),
    boardDefinition,
    {
      now,
    },
  );
  const at = (minutes: number): number => NOW - minutes * MINUTE;
  const roll = (record: string, from: number): void => {
    lead.set('takes', record, 'rolledAt', at(from));
    lead.set('takes', record, 'rolledBy', director.personId);
  };
  const take = (record: string, from: number, minutes: number, verdict: string): void => {
    roll(record, from);
    lead.set('takes', record, 'cutAt', at(from - minutes));
    lead.set('takes', record, 'verdict', verdict);
  };
  lead.set('setups', '1A', 'state', 'inWork');
  lead.set('setups', '1A', 'startedAt', at(62));
  take('1A.1', 44, 1.5, 'no');
  take('1A.2', 38, 2, 'good');
  lead.set('setups', '1A', 'state', 'complete');
  lead.set('setups', '1A', 'completedAt', at(33));
  lead.set('setups', '1B', 'state', 'inWork');
  lead.set('setups', '1B', 'startedAt', at(31));
  // camera changes it while it rolls: each waits for the other, or the pictures differ from one time to the next
  roll('1B.1', 9);
  await lead.settled();
  camera.set('picture', '1B.A', 'aperture', 8);
  await camera.settled();
  lead.set('takes', '1B.1', 'cutAt', at(8));
  await lead.settled();
  lead.close();
  camera.close();
}

/** A tablet on whose page time stands still and nothing of the machine shows. */
export async function openStill(
  browser: TestBrowser,
  unit: Unit,
  who: { readonly role: Role; readonly theme: Theme; readonly size: Size },
): Promise<{ context: BrowserContext; page: Page }> {
  const { context, page } = await openTablet(browser, {
    base: unit.base.url,
    size: who.size,
    theme: who.theme === 'daylight' ? 'light' : 'dark',
  });
  context.setDefaultTimeout(120_000);
  await context.clock.setFixedTime(NOW);
  await context.addInitScript(`
    localStorage.setItem('plumbline.appearance', ${JSON.stringify(JSON.stringify(who.theme))});
    localStorage.setItem('plumbline.face', 'true');
    navigator.storage.estimate = async () => ({ usage: 3e6, quota: 1e9 });
    navigator.storage.persisted = async () => false;
  `);
  await joinAs(page, unit.board.invites[who.role] ?? '', NAMES[who.role]);
  return { context, page };
}

/** Opens a screen, without loading the page anew, and waits until everything on it is drawn and stands still. */
export async function openScreen(page: Page, unit: Unit, screen: string): Promise<Buffer> {
  await page.evaluate(`
    history.pushState(null, '', '/board/${unit.board.boardId}/${screen}');
    dispatchEvent(new PopStateEvent('popstate'));
  `);
  await page.locator('[data-link="live"]').waitFor();
  await page.locator('[data-judged="true"]').waitFor();
  await page.locator('main h1').first().waitFor({ state: 'attached' });
  await page
    .getByText(/^(Opening…|Looking at all setups…|Making the paper…)$/)
    .waitFor({ state: 'detached' });
  return still(page);
}

/** The page once two pictures in a row are the same. */
export async function still(page: Page): Promise<Buffer> {
  await page.evaluate(`document.fonts.load('16px "Atkinson Hyperlegible Next Variable"', 'x')`);
  await page.evaluate('document.fonts.ready');
  let before = await page.screenshot();
  for (let looks = 0; looks < 60; looks++) {
    await page.waitForTimeout(250);
    const after = await page.screenshot();
    if (after.equals(before)) return after;
    before = after;
  }
  throw new Error(`the picture of ${page.url()} does not come to rest`);
}
