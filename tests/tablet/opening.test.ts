import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { shootKind } from '@plumbline/base';
import type { WebSocketRoute } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { z } from 'zod';
import { TABLET_FOLDER } from '../offline/built.ts';
import { createBoard, type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, heldBack, joinAs, openTablet, type TestBrowser } from '../support/browser.ts';

let base: Awaited<ReturnType<typeof startTestBase>>;
let browser: TestBrowser;
let board: NewBoard;

beforeAll(async () => {
  base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
  board = await createBoard(base, 'The rope walk');
  browser = await borrowBrowser();
});

afterAll(async () => {
  await browser.close();
  await base.stop();
});

/** Somebody at the door, whose socket says nothing until it is let; nor is a copy of the board given out till then. */
async function atDoor({ givesCopy = false } = {}) {
  const { context, page } = await openTablet(browser, { base: base.url });
  const held: (() => void)[] = [];
  let isHeld = true;
  await page.routeWebSocket(/\/sync\//, (here: WebSocketRoute) => {
    const there = here.connectToServer();
    there.onMessage((message) => {
      if (isHeld) held.push(() => here.send(message));
      else here.send(message);
    });
  });
  if (!givesCopy) await page.route('**/document', (route) => (isHeld ? route.abort() : route.continue()));
  const letGo = (): void => {
    isHeld = false;
    for (const send of held.splice(0)) send();
  };
  await page.goto(`/join#${board.invites.camera}`);
  await page.getByLabel('Your name').fill('Teodor Vance');
  return { context, page, letGo, hold: () => (isHeld = true) };
}

it('says that it opens the board until the first copy is here, and not that the board is empty', async () => {
  const { context, page, letGo, hold } = await atDoor();
  await page.getByRole('button', { name: 'Join' }).click();
  await page.locator('[data-opening="comes"]').waitFor();
  for (const screen of ['Papers', 'Kit', 'Day', 'Match']) {
    await page.getByRole('navigation', { name: 'Screens' }).getByRole('link', { name: screen }).click();
    const words = page.locator('main');
    await expect.poll(() => words.textContent()).toBe('Opening the board…');
  }
  expect(await page.locator('.shell-title strong').textContent()).toBe('Plumbline');

  letGo();
  await page.locator('main h1', { hasText: 'Match' }).waitFor();
  expect(await page.locator('[data-opening]').count()).toBe(0);
  expect(await page.locator('.shell-title strong').textContent()).toBe('The rope walk');

  // what was kept on the device opens without the base saying anything
  await expect
    .poll(async () => (await page.evaluate('indexedDB.databases()')) as unknown)
    .toEqual(expect.arrayContaining([expect.objectContaining({ version: expect.any(Number) })]));
  hold();
  await page.reload();
  await page.locator('main h1', { hasText: 'Match' }).waitFor();
  expect(await page.locator('[data-link="connecting"]').count()).toBe(1);
  expect(await page.locator('.shell-title strong').textContent()).toBe('The rope walk');
  await context.close();
});

it('reads a board that is not on this device beside the code, and shows it before the socket has said anything', async () => {
  const { context, page, letGo } = await atDoor({ givesCopy: true });
  const asked: string[] = [];
  page.on('request', (request) => {
    if (request.url().endsWith('/document')) asked.push(request.url());
  });
  await page.getByRole('button', { name: 'Join' }).click();
  await page.getByRole('heading', { name: 'No setup yet' }).waitFor();
  expect(await page.locator('.shell-title strong').textContent()).toBe('The rope walk');
  expect(await page.locator('[data-link="live"]').count()).toBe(0);

  // what was read so is kept like the rest, and not asked for again
  letGo();
  await page.locator('[data-link="live"]').waitFor();
  expect(asked.length).toBe(1);
  await page.reload();
  await page.locator('[data-link="live"]').waitFor();
  expect(asked.length).toBe(1);
  await page.context().route('**/document', (route) => route.abort());
  await page.evaluate('localStorage.clear()');
  await page.goto(`/board/${board.boardId}/setup`);
  await page.getByRole('heading', { name: 'No setup yet' }).waitFor();
  await context.close();
});

it('says so where the base is out of reach before anything of the board came, and opens when it is back', async () => {
  const { context, page } = await openTablet(browser, { base: base.url });
  let isCut = true;
  await page.routeWebSocket(/\/sync\//, async (here: WebSocketRoute) => {
    if (isCut) await here.close();
    else here.connectToServer();
  });
  await page.route('**/document', (route) => (isCut ? route.abort() : route.continue()));
  await page.goto(`/join#${board.invites.sound}`);
  await page.getByLabel('Your name').fill('Mirre Okafor');
  await page.getByRole('button', { name: 'Join' }).click();
  const waits = page.locator('[data-opening="waits"]');
  await waits.waitFor();
  expect(await waits.textContent()).toContain('opens by itself when it is back');
  isCut = false;
  await page.locator('[data-link="live"]').waitFor();
  await waits.waitFor({ state: 'detached' });
  await context.close();
});

it('fetches the other screens ahead, but not where the device was asked to save data: there they come when opened', async () => {
  const manifest = z
    .record(z.string(), z.object({ file: z.string() }))
    .parse(JSON.parse(readFileSync(join(TABLET_FOLDER, '.vite/manifest.json'), 'utf8')));
  // `src/screens/kit/Kit.tsx`: a screen is named as its folder. The door is not one of the board.
  const screens = Object.entries(manifest).flatMap(([source, { file }]) => {
    const [, folder, name] = /^src\/screens\/(\w+)\/(\w+)\.tsx$/.exec(source) ?? [];
    return folder && folder !== 'join' && folder === name?.toLowerCase() ? [{ folder, file }] : [];
  });
  expect(screens.length).toBeGreaterThanOrEqual(13);
  const sitDown = async (fetchesAhead: boolean) => {
    const { context, page, errors } = await openTablet(browser, { base: base.url, fetchesAhead });
    const asked: string[] = [];
    page.on('request', (request) => asked.push(new URL(request.url()).pathname.slice(1)));
    await joinAs(page, board.invites.camera ?? '', 'Teodor Vance');
    const has = (source: string): boolean => asked.includes(manifest[source]?.file ?? source);
    const seen = (): string[] =>
      screens.filter(({ file }) => asked.includes(file)).map(({ folder }) => folder);
    return { context, page, errors, has, seen };
  };
  const [ahead, saving] = await Promise.all([sitDown(true), sitDown(false)]);
  // the sheet a value is typed into comes on both, so that an edit can be made with the network gone
  await expect.poll(() => saving.has('src/parts/sheets.ts'), { timeout: 30_000 }).toBe(true);
  await expect
    .poll(() => ahead.seen().sort(), { timeout: 30_000 })
    .toEqual(screens.map(({ folder }) => folder).sort());
  expect(saving.seen()).toEqual(['setup']);
  await saving.page.getByRole('navigation', { name: 'Screens' }).getByRole('link', { name: 'Kit' }).click();
  await saving.page.locator('main h1', { hasText: 'Kit' }).waitFor();
  expect(saving.seen().sort()).toEqual(['kit', 'setup']);
  expect([...ahead.errors, ...saving.errors]).toEqual([]);
  await Promise.all([ahead.context.close(), saving.context.close()]);
});

/** Of the tabs that the device keeps, whose writers they are. */
const KEPT_WRITERS = `new Promise((resolve) => {
  const opening = indexedDB.open('plumbline');
  opening.onsuccess = () => {
    const reading = opening.result.transaction('tabs').objectStore('tabs').getAll();
    reading.onsuccess = () => {
      opening.result.close();
      resolve(reading.result.map((row) => row.outbox?.writer[0]));
    };
  };
})`;

it('takes an edit before the document of the board is there, shows it, and has it stored once it is', async () => {
  const { context, page } = await openTablet(browser, { base: base.url });
  await page.goto(`/join#${board.invites.director}`);
  await page.getByLabel('Your name').fill('Ines Abara');
  await page.getByRole('button', { name: 'Join' }).click();
  await page.locator('[data-link="live"]').waitFor();
  // the base has greeted it by then, and the device has kept under which name
  await expect.poll(() => page.evaluate(KEPT_WRITERS)).toEqual(['p']);

  const { asked, letGo } = await heldBack(page, '**/assets/yjs*.js');
  await page.reload();
  await page.getByRole('button', { name: 'Add a setup' }).click();
  await page.getByRole('dialog').getByRole('textbox').first().fill('14a');
  await page.getByRole('button', { name: 'Add it' }).click();
  await page.locator('main h1', { hasText: '14a' }).waitFor();
  await page.locator('[data-waiting="1"]').waitFor();
  expect(await page.locator('[data-link="live"]').count()).toBe(0);
  expect(asked()).toBeGreaterThan(0);

  // it is on the device by then: what is read before Yjs comes has it too
  await page.reload();
  await page.locator('main h1', { hasText: '14a' }).waitFor();
  await page.locator('[data-waiting="1"]').waitFor();
  letGo();
  await page.locator('[data-link="live"][data-stored="all"]').waitFor();
  expect(await page.locator('main h1', { hasText: '14a' }).count()).toBe(1);
  await context.close();
});

it('what nobody has looked at yet is nowhere said to be in order', async () => {
  const { context, page } = await openTablet(browser, { base: base.url, size: 'landscape' });
  const { letGo } = await heldBack(page, '**/assets/judge*.js');
  await joinAs(page, board.invites.director ?? '', 'Ilse Marrow');
  const tabs = page.getByRole('navigation', { name: 'Screens' });
  const side = page.getByLabel('In the way');
  await side.getByText('Not judged yet.').waitFor();
  expect(await side.textContent()).not.toContain('Nothing');
  await page.getByRole('button', { name: 'Findings: not judged yet' }).click();
  await page.getByRole('dialog').getByText('Not judged yet.').waitFor();
  await page.keyboard.press('Escape');
  await tabs.getByRole('link', { name: 'Progress' }).click();
  await page.locator('[data-department="camera"]').getByText('not judged yet').waitFor();
  expect(await page.getByText('nothing open').count()).toBe(0);
  await tabs.getByRole('link', { name: 'Papers' }).click();
  await page.getByRole('link', { name: /^Continuity and match/ }).click();
  await page.getByText('Making the paper…').waitFor();
  letGo();
  await page.getByText('Making the paper…').waitFor({ state: 'detached' });
  await tabs.getByRole('link', { name: 'Progress' }).click();
  await page.getByText('nothing open').first().waitFor();
  await tabs.getByRole('link', { name: 'Day' }).click();
  await side.getByText('Nothing: no open flag').waitFor();
  await context.close();
});
