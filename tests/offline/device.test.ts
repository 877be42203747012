import { appendFileSync, cpSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { enter } from '../day/unit.ts';
import { call, joinAs as joinWith, temporaryFolder, viewOf } from '../support/base.ts';
import { joinAs, launchBrowser, openTablet } from '../support/browser.ts';
import { goInside } from '../support/tablets.ts';
import { TABLET_FOLDER } from './built.ts';
import { joinStation, openScreen, openStation, type Station, storedValues } from './station.ts';

const ISO = 'picture/1A.A/iso';
const banner = (page: Page, name: string) => page.locator(`[data-banner="${name}"]`);

describe('what a device lacks, and what it is told', () => {
  let station: Station;
  let browser: Browser;

  beforeAll(async () => {
    station = await openStation();
    browser = await launchBrowser('--host-resolver-rules=MAP base.lan 127.0.0.1');
  });

  afterAll(async () => {
    await browser?.close();
    await station?.close();
  });

  it('a device that cannot keep anything says so, and what is entered on it is stored at the base all the same', async () => {
    const { context, page } = await joinStation(browser, station, {
      script: 'IDBFactory.prototype.open = () => { throw new Error("the disk of this device is full"); };',
      keepsItself: false,
    });
    await goInside(page, station.board.boardId, 'setup/1A');
    await banner(page, 'keeping').getByText('Not saved on this device').waitFor();
    await enter(page, ISO, '800');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    expect((await storedValues(station, ISO)).at(-1)).toBe(800);
    await context.close();
  });

  it('a device whose database fails for a while says so while it does, and has kept everything after', async () => {
    const { context, page } = await joinStation(browser, station, {
      script: `
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...given) {
          if (window.brokenDisk) throw new DOMException('the disk of this device is full', 'QuotaExceededError');
          return put.apply(this, given);
        };`,
    });
    await goInside(page, station.board.boardId, 'setup/1A');
    await page.evaluate('window.brokenDisk = true');
    await station.stop();
    await enter(page, ISO, '1000');
    await banner(page, 'keeping').waitFor();
    await page.evaluate('window.brokenDisk = false');
    await banner(page, 'keeping').waitFor({ state: 'detached' });
    await page.reload();
    await page.locator('[data-waiting="1"]').waitFor();
    await station.start();
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    expect((await storedValues(station, ISO)).filter((value) => value === 1000)).toHaveLength(1);
    await context.close();
  });

  it('over plain http the board works, and one sentence says what is missing and how to mend it, once', async () => {
    const base = station.url.replace('127.0.0.1', 'base.lan');
    const { context, page, errors } = await openTablet(browser, { base, keepsItself: true });
    await joinAs(page, station.board.invites.camera ?? '', 'Over the air');
    expect(
      await page.evaluate(() => [isSecureContext, 'locks' in navigator, 'serviceWorker' in navigator]),
    ).toEqual([false, false, false]);
    await banner(page, 'bare').getByText('npx plumbline certificate').waitFor();
    await banner(page, 'bare').getByRole('button').click();
    await page.goto(`${base}/board/${station.board.boardId}/setup/1A`);
    await page.locator('[data-link="live"]').waitFor();
    expect(await banner(page, 'bare').count()).toBe(0);
    await enter(page, ISO, '1250');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    await goInside(page, station.board.boardId, 'unit');
    await page.locator('[data-device="bare"]').getByText('npx plumbline certificate').waitFor();
    // a header that browsers heed on secure pages alone
    expect(errors.filter((error) => !error.includes('Cross-Origin-Opener-Policy'))).toEqual([]);
    await context.close();
  });

  it('a tablet whose own clock is far off is told that the board goes by the base’s, and what it sets is stored', async () => {
    const { context, page } = await joinStation(browser, station, {
      script: 'const now = Date.now; Date.now = () => now() + 600_000;',
    });
    await banner(page, 'clock').getByText('10 min ahead of the base’s').waitFor();
    await goInside(page, station.board.boardId, 'setup/1A');
    await enter(page, ISO, '1600');
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    expect((await storedValues(station, ISO)).at(-1)).toBe(1600);
    await goInside(page, station.board.boardId, 'unit');
    const offset = Number(await page.locator('[data-clock-offset]').getAttribute('data-clock-offset'));
    expect(Math.abs(offset + 600_000)).toBeLessThan(1_000);
    // and with the base gone it still reckons by what it knew
    await station.stop();
    await openScreen(page, station, 'setup/1A');
    await enter(page, ISO, '2000');
    await page.locator('[data-waiting="1"]').waitFor();
    await station.start();
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    expect((await storedValues(station, ISO)).at(-1)).toBe(2000);
    await context.close();
  });

  it('a tablet that comes back opens a fresh socket at once, and says for how long it was away', async () => {
    const { context, page } = await joinStation(browser, station, {
      script:
        'const now = Date.now; window.lag = 0; Date.now = () => now() + window.lag; const hide = (on) => { Object.defineProperty(document, "hidden", { configurable: true, value: on }); document.dispatchEvent(new Event("visibilitychange")); }; window.hide = hide;',
      keepsItself: false,
    });
    let sockets = 0;
    page.on('websocket', () => sockets++);
    const fresh = async (act: string): Promise<void> => {
      const before = sockets;
      const opened = page.waitForEvent('websocket');
      await page.evaluate(act);
      await opened;
      await page.locator('[data-link="live"]').waitFor();
      expect(sockets).toBe(before + 1);
    };
    await fresh('dispatchEvent(new Event("online"))');
    await fresh('dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }))');
    await page.evaluate('hide(true)');
    await fresh('window.lag = 7_500_000; hide(false)');
    await banner(page, 'away').getByText('away for 2 hours 5 minutes. Its copy is fresh again').waitFor();
    await banner(page, 'away').getByRole('button', { name: 'All right' }).click();
    await banner(page, 'away').waitFor({ state: 'detached' });
    await context.close();
  });

  it('a session that has ended is said to have, and never tried again', async () => {
    const { context, page } = await joinStation(browser, station, { keepsItself: false });
    let sockets = 0;
    page.on('websocket', () => sockets++);
    const director = await joinWith(station.base, station.board, 'director', 'Who directs');
    const { people = {} } = await viewOf(station.base, director);
    const gone = Object.keys(people).filter((id) => people[id]?.name === 'Teodor Vance');
    for (const id of gone)
      await call(station.base, 'DELETE', `/api/boards/${station.board.boardId}/people/${id}`, {
        token: director.session,
      });
    await banner(page, 'ended').getByText('Your session has ended').waitFor();
    await page.evaluate('dispatchEvent(new Event("online"))');
    await page.evaluate('dispatchEvent(new PageTransitionEvent("pageshow", { persisted: true }))');
    await page.waitForTimeout(1_500);
    expect(sockets).toBe(0);
    await context.close();
  });

  it('a newer version is offered, taken when asked for, and never by itself', async () => {
    const folder = temporaryFolder('newer');
    onTestFinished(folder.remove);
    const newer = join(folder.path, 'dist');
    cpSync(TABLET_FOLDER, newer, { recursive: true });
    appendFileSync(join(newer, 'sw.js'), '\n// a newer one\n');
    const { context, page } = await joinStation(browser, station);
    await station.stop();
    await station.start({ tabletFolder: newer });
    await page.evaluate('window.sameAsBefore = true; dispatchEvent(new Event("online"))');
    await banner(page, 'version').getByText('A newer version is ready').waitFor();
    await page.waitForTimeout(500);
    expect(await page.evaluate('window.sameAsBefore')).toBe(true);
    const loaded = page.waitForEvent('load');
    await banner(page, 'version').getByRole('button', { name: 'Take it now' }).click();
    await loaded;
    await page.locator('[data-link="live"]').waitFor();
    expect(await page.evaluate('window.sameAsBefore')).toBeUndefined();
    expect(await banner(page, 'version').count()).toBe(0);
    await context.close();
  });
});
