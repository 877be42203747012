import { shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { TABLET_FOLDER } from '../offline/built.ts';
import { keptWhole } from '../offline/station.ts';
import { faultsOf } from '../support/axe.ts';
import { call, createBoard, joinAs as joinByCall, type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, joinAs, openTablet, SIZES, type TestBrowser } from '../support/browser.ts';
import { goInside } from '../support/tablets.ts';

/** Where pictures of what is tested go, for somebody to look at. Left out: none are drawn. */
const PICTURES = process.env.PLUMBLINE_LOOK;
const PLAN = [
  { name: 'scenes.csv', text: 'Number,Title,Story order\r\n4,The wheel turns,10\r\n' },
  {
    name: 'setups.csv',
    text: 'Setup;Scene;Description;Shooting order;Match group;Reference setup\r\n4a;4;Wide: the wheel;10;wheel;4a\r\n4b;4;Close: hands;20;wheel;4a\r\n14a;4;Water;30;;\r\n',
  },
  { name: 'cameras.csv', text: 'Camera;Name\r\nA;Camera A\r\n' },
  { name: 'kit.csv', text: 'Department;Code;Item;Kind\r\ncamera;lens-24;Prime lens, 24 mm;Lens\r\n' },
  { name: 'cards.csv', text: 'Card;Name;Department\r\nC1;Card A-01;Camera\r\n' },
];

let base: Awaited<ReturnType<typeof startTestBase>>;
let browser: TestBrowser;
let board: NewBoard;

beforeAll(async () => {
  base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
  board = await createBoard(base, 'The rope walk');
  const { session } = await joinByCall(base, board, 'director', 'Who brought the plan');
  const taken = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: session,
    body: { files: PLAN },
  });
  expect(taken.status).toBe(200);
  browser = await borrowBrowser();
});

afterAll(async () => {
  await browser?.close();
  await base.stop();
});

async function look(page: Page, name: string): Promise<void> {
  if (PICTURES === undefined) return;
  for (const [size, viewport] of Object.entries(SIZES)) {
    await page.setViewportSize(viewport);
    for (const theme of ['dark', 'light'] as const) {
      await page.emulateMedia({ colorScheme: theme });
      await page.screenshot({ path: `${PICTURES}/${name}-${size}-${theme}.png` });
    }
  }
  await page.setViewportSize(SIZES.landscape);
  await page.emulateMedia({ colorScheme: 'dark' });
}

/** Presses the keys for search as soon as the page listens. */
async function pressFind(page: Page): Promise<void> {
  await page.locator('[data-find]').waitFor();
  await expect
    .poll(
      async () => {
        await page.keyboard.press('Control+k');
        return page.getByRole('searchbox').count();
      },
      { timeout: 20_000, interval: 200 },
    )
    .toBe(1);
}

const path = (page: Page): string => {
  const { pathname, hash } = new URL(page.url());
  return decodeURIComponent(pathname.replace(`/board/${board.boardId}`, '') + hash);
};

it('anything is found as it is typed, by keyboard and by touch, and opened in its own place, with the base gone', async () => {
  const { context, page, errors } = await openTablet(browser, { base: base.url, keepsItself: true });
  await joinAs(page, board.invites.camera ?? '', 'Teo');
  await goInside(page, board.boardId, 'setup/4a');
  await page.locator('[data-roll]').first().click();
  const sheet = page.locator('dialog');
  // a reason is asked for where something stands against it
  const asked = sheet.getByRole('button').nth(1);
  await page.locator('[data-cut]').or(asked).first().waitFor();
  if (await asked.isVisible()) await asked.click();
  await page.locator('[data-cut]').first().click();
  await page.locator('[data-take="4a.1"]').waitFor();

  await pressFind(page);
  await page.getByRole('searchbox').fill('4a 1');
  await page.locator('[data-found-thing="take/4a.1"]').waitFor();
  await look(page, 'find');
  expect(await faultsOf(page)).toEqual([]);
  // from here on every screen is on the device
  await keptWhole(page);
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({ state: 'detached' });
  await goInside(page, board.boardId, 'day');
  await pressFind(page);
  await page.getByRole('searchbox').fill('4a 1');
  await page.locator('[data-found-thing="take/4a.1"]').waitFor();
  await page.keyboard.press('Enter');
  await page.locator('[data-take="4a.1"][data-found]').waitFor();
  expect(path(page)).toBe('/setup/4a#take.4a.1');

  // the same by touch, with the network gone
  await context.setOffline(true);
  await page.locator('[data-find]').tap();
  await page.getByRole('searchbox').fill('lens wat');
  await expect.poll(() => page.locator('[data-found-total]').getAttribute('data-found-total')).toBe('0');
  await page.getByRole('searchbox').fill('prime 24');
  await page.locator('[data-found-thing="item/camera.lens-24"]').tap();
  await page.locator('[data-item-page]').waitFor();
  expect(path(page)).toBe('/kit/item.camera.lens-24');
  await context.setOffline(false);
  expect(errors.filter((error) => !/ERR_INTERNET|Failed to load|WebSocket/.test(error))).toEqual([]);
  await context.close();
});

it('back, forth and a reload keep the place, and a board opened by its name alone leads back to where one was', async () => {
  const { context, page } = await openTablet(browser, { base: base.url });
  await joinAs(page, board.invites.director ?? '', 'Ines');
  await expect.poll(() => path(page)).toBe('/day');
  await page.locator('[data-setup="4b"] a, a[data-setup="4b"]').first().click();
  await expect.poll(() => path(page)).toBe('/setup/4b');
  await page.getByRole('navigation', { name: 'Screens' }).getByRole('link', { name: 'Match' }).click();
  await expect.poll(() => path(page)).toBe('/match');
  await page.goBack();
  await expect.poll(() => path(page)).toBe('/setup/4b');
  await page.locator('main h1, main h2').first().waitFor();
  await page.goBack();
  await expect.poll(() => path(page)).toBe('/day');
  await page.goForward();
  await expect.poll(() => path(page)).toBe('/setup/4b');
  await page.reload();
  await page.locator('main [data-setup="4b"], main[data-setup="4b"]').first().waitFor();
  expect(path(page)).toBe('/setup/4b');
  for (const address of [`/board/${board.boardId}`, '/']) {
    await page.goto(address);
    await expect.poll(() => path(page)).toBe('/setup/4b');
  }
  await context.close();
});

it('a link that somebody was sent opens its record once they have joined', async () => {
  const { context, page } = await openTablet(browser, { base: base.url });
  await page.goto(`/board/${board.boardId}/setup/4b`);
  await page.getByRole('heading', { name: 'No session on this device' }).waitFor();
  await joinAs(page, board.invites.sound ?? '', 'Marit');
  expect(path(page)).toBe('/setup/4b');
  await context.close();
});

it('keys lead to screens and setups, are listed on a card, and single ones can be switched off', async () => {
  const context = await browser.newContext({
    baseURL: base.url,
    viewport: SIZES.landscape,
    serviceWorkers: 'block',
  });
  const page = await context.newPage();
  await joinAs(page, board.invites.director ?? '', 'Lia');
  await goInside(page, board.boardId, 'setup/4a');
  // the way to the next setup is known once the board is here, and keys are listened to a little later
  await page.getByRole('link', { name: /^Setup after/ }).waitFor();
  await expect
    .poll(
      async () => {
        if (path(page) === '/setup/4a') await page.keyboard.press('j');
        return path(page);
      },
      { interval: 1000, timeout: 30_000 },
    )
    .toBe('/setup/4b');
  await page.keyboard.press('k');
  await expect.poll(() => path(page)).toBe('/setup/4a');
  await page.keyboard.press('g');
  await page.keyboard.press('m');
  await expect.poll(() => path(page)).toBe('/match');
  await page.keyboard.press('?');
  const card = page.getByRole('dialog', { name: 'Keys' });
  await card.waitFor();
  await look(page, 'keys');
  expect(await faultsOf(page)).toEqual([]);
  await card.locator('[data-single-keys="false"]').click();
  await page.keyboard.press('Escape');
  await card.waitFor({ state: 'detached' });
  await page.keyboard.press('g');
  await page.keyboard.press('d');
  await page.keyboard.press('/');
  expect(path(page)).toBe('/match');
  expect(await page.getByRole('dialog').count()).toBe(0);
  // chords go on
  await page.keyboard.press('Control+k');
  await page.getByRole('dialog', { name: 'Find' }).waitFor();
  await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute('type'))).toBe('search');
  // a letter that is typed is a letter
  await page.keyboard.type('gd');
  expect(await page.getByRole('searchbox').inputValue()).toBe('gd');
  await context.close();
});
