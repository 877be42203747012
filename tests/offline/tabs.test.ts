import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { enter, field } from '../day/unit.ts';
import { IS_WHOLE } from '../soak/size.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { goInside } from '../support/tablets.ts';
import { joinStation, openScreen, openStation, type Station, storedValues } from './station.ts';

const ISO = 'picture/1A.A/iso';
const reading = (page: Page) => page.locator('[data-banner="reading"]');

/** Browsers without locks for pages: what plain http leaves of one. */
const NO_LOCKS = "Object.defineProperty(Navigator.prototype, 'locks', { value: undefined });";

/** Pages that ask each other are tried in the whole run; tests/tablet/writing tries their words in every order each time. */
const KINDS = [
  ['with the browser’s locks', ''],
  ...(IS_WHOLE ? ([['where pages ask each other', NO_LOCKS]] as const) : []),
] as const;

for (const [kind, script] of KINDS) {
  describe(`two tabs of one browser on one board, ${kind}`, () => {
    let station: Station;
    let browser: TestBrowser;

    beforeAll(async () => {
      station = await openStation();
      browser = await borrowBrowser();
    });

    beforeEach(() => station.start());

    afterAll(async () => {
      await browser?.close();
      await station?.close();
    });

    /** The browser of the test before with the tab that writes in it, and the one that reads along where both are open. */
    let left: { readonly context: BrowserContext; readonly writes: Page; readonly reads?: Page } | undefined;

    /** A browser whose first tab writes and whose second reads along; a test that fails leaves its own to nobody. */
    async function twoTabs() {
      const found = left;
      left = undefined;
      let context = found?.context;
      let first = found?.writes;
      if (!context || !first) {
        const joined = await joinStation(browser, station, { script, keepsItself: false });
        context = joined.context;
        first = joined.page;
        await goInside(first, station.board.boardId, 'setup/1A');
      }
      let second = found?.reads;
      if (!second) {
        second = await context.newPage();
        await openScreen(second, station, 'setup/1A');
      }
      await first.locator('[data-link="live"][data-stored="all"]').waitFor();
      await reading(first).waitFor({ state: 'detached' });
      await reading(second).waitFor();
      return { context, first, second };
    }

    it('the second reads along, and takes over with one touch', async () => {
      const { context, first, second } = await twoTabs();
      await enter(first, ISO, '800');
      await second.locator(`[data-field="${ISO}"][data-value*="800"]`).waitFor();
      expect(await field(second, ISO).locator('button').count()).toBe(0);

      await reading(second).getByRole('button', { name: 'Write here instead' }).click();
      await reading(first).waitFor();
      await reading(second).waitFor({ state: 'detached' });
      expect(await field(first, ISO).locator('button').count()).toBe(0);
      await enter(second, ISO, '1600');
      await second.locator('[data-link="live"][data-stored="all"]').waitFor();
      await first.locator(`[data-field="${ISO}"][data-value*="1600"]`).waitFor();
      expect((await storedValues(station, ISO)).slice(-2)).toEqual([800, 1600]);
      left = { context, writes: second, reads: first };
    });

    it('what the first had not sent goes out once, after the second took over with the base gone', async () => {
      const { context, first, second } = await twoTabs();
      await enter(first, ISO, '400');
      await first.locator('[data-link="live"][data-stored="all"]').waitFor();
      await station.stop();
      await enter(first, ISO, '500');
      await enter(first, ISO, '640');
      await reading(second).getByRole('button').click();
      await second.locator('[data-waiting="2"]').waitFor();
      expect(await field(second, ISO).getAttribute('data-value')).toContain('640');
      await enter(second, ISO, '1250');
      await station.start();
      await second.locator('[data-link="live"][data-stored="all"]').waitFor();
      expect((await storedValues(station, ISO)).slice(-4)).toEqual([400, 500, 640, 1250]);
      expect(await second.locator('[data-notices]').count()).toBe(0);
      left = { context, writes: second, reads: first };
    });

    it('when the writing tab is closed with the base gone, the other goes on with what it left', async () => {
      const { context, first, second } = await twoTabs();
      await station.stop();
      await enter(first, ISO, '2000');
      await first.locator('[data-stored="waiting"]').waitFor();
      // the keeper writes a turn later
      await first.waitForTimeout(300);
      await first.close();
      await reading(second).waitFor({ state: 'detached' });
      await second.locator('[data-waiting="1"]').waitFor();
      await station.start();
      await second.locator('[data-link="live"][data-stored="all"]').waitFor();
      expect((await storedValues(station, ISO)).filter((value) => value === 2000)).toHaveLength(1);
      left = { context, writes: second };
    });

    it('a tab that was frozen while the other took over sends nothing twice, and reads along when it wakes', async () => {
      const { context, first, second } = await twoTabs();
      await station.stop();
      await enter(first, ISO, '2500');
      await first.locator('[data-stored="waiting"]').waitFor();
      await first.waitForTimeout(300);
      const session = await context.newCDPSession(first);
      await session.send('Page.setWebLifecycleState', { state: 'frozen' });
      await reading(second).getByRole('button').click();
      await reading(second).waitFor({ state: 'detached' });
      await station.start();
      await second.locator('[data-link="live"][data-stored="all"]').waitFor();
      await enter(second, ISO, '3200');
      await session.send('Page.setWebLifecycleState', { state: 'active' });
      await reading(first).waitFor();
      await second.locator('[data-link="live"][data-stored="all"]').waitFor();
      const stored = await storedValues(station, ISO);
      expect(stored.filter((value) => value === 2500)).toHaveLength(1);
      expect(stored.at(-1)).toBe(3200);
      expect(await second.locator('[data-notices]').count()).toBe(0);
      left = { context, writes: second, reads: first };
    });
  });
}
