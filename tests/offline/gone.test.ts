import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { backedUp, restored } from '../backup/filled.ts';
import { enter, field } from '../day/unit.ts';
import { IS_WHOLE, SEED } from '../soak/size.ts';
import { faultsOf } from '../support/axe.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { randomOf } from '../support/random.ts';
import { goInside } from '../support/tablets.ts';
import { joinStation, opened, openScreen, openStation, type Station, storedValues } from './station.ts';

const SCREENS = [
  'day',
  'setup/1A',
  'match',
  'sound/1A',
  'kit',
  'places',
  'progress',
  'papers',
  'notices',
  'unit',
] as const;

const ISO = 'picture/1A.A/iso';

describe(`a tablet whose base is gone, seed ${SEED}`, () => {
  let station: Station;
  let browser: TestBrowser;
  /** A browser that has joined and has the page on the device, between two tests. */
  let left: BrowserContext | undefined;
  /** What pages reported since it was last taken. */
  const errors: string[] = [];

  beforeAll(async () => {
    station = await openStation();
    browser = await borrowBrowser();
  });

  beforeEach(() => station.start());

  afterAll(async () => {
    await browser?.close();
    await station?.close();
  });

  /** A new tab of a device that keeps the page; one of a test that failed is not used again. */
  async function onDevice(): Promise<{ page: Page; giveBack(): Promise<void> }> {
    let context = left;
    left = undefined;
    if (!context) {
      const joined = await joinStation(browser, station);
      context = joined.context;
      expect(joined.errors).toEqual([]);
      await joined.page.close();
      context.on('weberror', (error) => errors.push(String(error.error())));
      context.on('console', (message) => message.type() === 'error' && errors.push(message.text()));
    }
    errors.length = 0;
    const page = await context.newPage();
    return {
      page,
      giveBack: async () => {
        await page.close();
        left = context;
      },
    };
  }

  it('opens every screen anew, takes edits in, and has each stored exactly once when the base is back', async () => {
    const { page, giveBack } = await onDevice();
    await openScreen(page, station, 'setup/1A');
    await enter(page, ISO, '800');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    await page.waitForFunction(
      (key) => localStorage.getItem(key) !== null,
      `plumbline.inStep.${station.board.boardId}`,
    );
    await station.stop();

    await enter(page, ISO, '1600');
    await page.locator('[data-stored="waiting"]').waitFor();
    const isWhole = async (screen: string): Promise<void> => {
      expect(await page.getByText('could not be fetched').count(), screen).toBe(0);
      expect(await page.getByText('mistake of its own').count(), screen).toBe(0);
    };
    // each by its own address in the whole run; what a page that was loaded by one of them fetches of the others is the same
    for (const screen of IS_WHOLE ? SCREENS : [randomOf(SEED).pick(SCREENS)]) {
      await openScreen(page, station, screen);
      await isWhole(screen);
    }
    for (const screen of SCREENS) {
      await goInside(page, station.board.boardId, screen);
      await opened(page);
      await isWhole(screen);
    }
    await goInside(page, station.board.boardId, 'setup/1A');
    expect(await field(page, ISO).getAttribute('data-value')).toContain('1600');
    await enter(page, ISO, '3200');
    await page.reload();
    await page.locator('[data-waiting="2"]').waitFor();
    // a page out of the kept copy never had the base, and says all the same how old it is
    await page.locator('[data-link="waiting"]').waitFor();
    const words = (await page.locator('output[data-link]').getAttribute('aria-label')) ?? '';
    expect(words).toMatch(/^Offline since \d\d:\d\d · 2 kept here$/);
    expect(await field(page, ISO).getAttribute('data-value')).toContain('3200');

    // the way that a home-screen app starts
    await page.goto(`${station.url}/`);
    await page.locator('[data-waiting="2"]').waitFor();

    await station.start();
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    expect(await storedValues(station, ISO)).toEqual([800, 1600, 3200]);
    expect(errors.filter((error) => !/ERR_|WebSocket|Failed to load resource/.test(error))).toEqual([]);
    await giveBack();
  });

  it('is given the join page of an invitation, which no cache holds, nor any session', async () => {
    const { page, giveBack } = await onDevice();
    await station.stop();
    await page.goto(`${station.url}/join#a-secret-token`);
    await page.getByLabel('Your name').waitFor();
    await page.getByLabel('Your name').fill('Somebody');
    await page.getByRole('button', { name: 'Join' }).click();
    await page.getByText('The base cannot be reached').waitFor();
    await station.start();
    const kept = await page.evaluate(async () => {
      const found: { url: string; headers: [string, string][]; body: string }[] = [];
      for (const name of await caches.keys()) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) {
          const answer = await cache.match(request);
          if (answer)
            found.push({ url: request.url, headers: [...answer.headers], body: await answer.clone().text() });
        }
      }
      return found;
    });
    expect(kept.length).toBeGreaterThan(20);
    const secrets = ['a-secret-token', ...Object.values(station.board.invites)];
    for (const cookie of await page.context().cookies()) secrets.push(cookie.value);
    for (const { url, headers, body } of kept) {
      expect(new URL(url).pathname).not.toMatch(/^\/(api|sync|healthz|readyz|metrics)/);
      const text = `${url} ${JSON.stringify(headers)} ${body}`;
      for (const secret of secrets) expect(text.includes(secret), url).toBe(false);
    }
    await giveBack();
  });

  it('asks the base, and never the kept page, for what is the base’s own', async () => {
    const { page, giveBack } = await onDevice();
    for (const path of ['/api/session', '/healthz', '/metrics', '/sync/nothing']) {
      const text = await (await page.goto(station.url + path))?.text();
      expect(text, path).not.toContain('<div id="app">');
    }
    await giveBack();
  });

  it('can be installed, by what the browser asks of an app', async () => {
    const { page, giveBack } = await onDevice();
    await page.goto(`${station.url}/`);
    await page.locator('[data-link="live"]').waitFor();
    const session = await page.context().newCDPSession(page);
    const { errors: flaws, manifest } = (await session.send('Page.getAppManifest')) as {
      errors: { message: string }[];
      manifest?: { name?: string; icons?: unknown[] };
    };
    expect(flaws).toEqual([]);
    expect(manifest?.name).toBe('Plumbline');
    const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
    expect(
      installabilityErrors.filter(({ errorId }) => errorId !== 'in-incognito').map(({ errorId }) => errorId),
    ).toEqual([]);
    const icons = await page.evaluate(async () => {
      const links = [
        ...document.querySelectorAll<HTMLLinkElement>('link[rel~=icon], link[rel=apple-touch-icon]'),
      ];
      return Promise.all(
        [...links.map(({ href }) => href), '/icon-192.png', '/icon-512.png', '/icon-full-512.png'].map(
          async (href) => {
            const image = new Image();
            image.src = href;
            await image.decode();
            return image.naturalWidth;
          },
        ),
      );
    });
    expect(icons.slice(1)).toEqual([180, 192, 512, 512]);
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('whose board was restored meanwhile takes the new copy, and offers what it had not sent', async () => {
    const { page, giveBack } = await onDevice();
    await openScreen(page, station, 'setup/1A');
    await enter(page, ISO, '500');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    await station.stop();
    const file = backedUp(station.dataFolder);
    await station.start();
    await page.locator('[data-link="live"]').waitFor();
    await enter(page, ISO, '640');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    await station.stop();
    await enter(page, ISO, '1000');
    restored(file, station.dataFolder);
    await station.start();
    await page.locator('[data-link="live"]').waitFor();
    expect(await field(page, ISO).getAttribute('data-value')).toContain('500');
    await page.locator('[data-notices="1"]').click();
    const offered = page.locator('[data-tray][data-code="unsent"]');
    await offered.getByText('1000').first().waitFor();
    await page.reload();
    await offered.getByText('1000').first().waitFor();
    await offered.getByRole('button', { name: /^Change / }).click();
    const sheet = page.getByRole('dialog');
    await sheet.locator('.entry').fill('1250');
    expect(await faultsOf(page, 'dialog[open]')).toEqual([]);
    await sheet.getByRole('button', { name: 'Set', exact: true }).click();
    await offered.getByText('instead of').waitFor();
    await offered.getByRole('button', { name: 'Send as changed' }).click();
    await offered.waitFor({ state: 'detached' });
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    const stored = await storedValues(station, ISO);
    expect(stored.at(-1)).toBe(1250);
    expect(stored).not.toContain(1000);
    expect(stored).not.toContain(640);
    const aside = await page.evaluate(
      () =>
        new Promise<boolean[]>((resolve) => {
          const opening = indexedDB.open('plumbline');
          opening.onsuccess = () => {
            const all = opening.result.transaction('copies').objectStore('copies').getAll();
            all.onsuccess = () => resolve(all.result.map((row: { aside: boolean }) => row.aside).sort());
          };
        }),
    );
    expect(aside).toEqual([false, true]);
    await giveBack();
  });
});
