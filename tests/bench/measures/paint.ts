import type { Page } from 'playwright-core';
import { enter, field, goTo, makeBoard, type Tablet } from '../../day/unit.ts';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { Measure } from '../bench.ts';
import { quantile } from '../figures.ts';

const ADDRESS = 'picture/1A.A/aperture';

/** From a touch on one tablet to the new value painted on another, in the real browser. */
export const paint: Measure = {
  name: 'paint',
  title: 'From a field set on one tablet to painted on another, in a browser',
  async run(bench) {
    const placed = await bench.dataFolder('paint', []);
    const base = await placed.start('usual');
    const board = await makeBoard(base);
    const browser = await launchBrowser();
    try {
      const open = async (role: 'camera' | 'director', name: string): Promise<Tablet> => {
        const { context, page, errors } = await openTablet(browser, { base: base.url, fetchesAhead: true });
        await joinAs(page, board.invites[role] ?? '', name);
        const line = { url: base.url, cut: () => {}, restore: () => {}, close: async () => {} };
        return { role, page, context, line, errors };
      };
      const camera = await open('camera', 'Teodor Vance');
      const director = await open('director', 'Ilse Marrowby');
      for (const tablet of [camera, director]) await goTo(tablet, board, 'setup/1A');
      await enter(camera.page, ADDRESS, '4');
      await field(director.page, ADDRESS).getByText('4').first().waitFor();
      await noteTouches(camera.page);
      const ahead = (await aheadOfClock(director.page)) - (await aheadOfClock(camera.page));
      const there: number[] = [];
      const here: number[] = [];
      const touches = bench.isSmoke ? 12 : 80;
      const warmUp = Math.ceil(touches / 6);
      for (let touch = 0; touch < touches + warmUp; touch++) {
        const [setAt, paintedThere, paintedHere] = await touchOnce(
          camera.page,
          director.page,
          touch % 2 === 0,
        );
        if (touch < warmUp) continue;
        there.push(paintedThere - setAt - ahead);
        here.push(paintedHere - setAt);
      }
      const samples = touches;
      const figure = (name: string, of: string, value: number) => ({ name, of, unit: 'ms', value, samples });
      return {
        figures: [
          figure('median', 'on the other tablet', quantile(there, 0.5)),
          figure('p95', 'on the other tablet', quantile(there, 0.95)),
          figure('median', 'on one’s own', quantile(here, 0.5)),
          figure('p95', 'on one’s own', quantile(here, 0.95)),
        ],
        notes: [
          `${touches} touches on a stepper; from the touch event to the first task after the frame that shows the value; both pages, base and browser on this machine`,
          `the clocks of the two pages stood ${ahead.toFixed(3)} ms apart, which is taken off`,
        ],
      };
    } finally {
      await browser.close();
      await base.stop();
    }
  },
};

declare global {
  interface Window {
    /** When the page was last touched, ms since 1970. */
    touchedAt?: number;
  }
}

/** How far a page's own time is ahead of the machine's clock, ms: the median at some ticks of that clock. */
function aheadOfClock(page: Page): Promise<number> {
  return page.evaluate(() => {
    const apart: number[] = [];
    for (let tick = 0; tick < 41; tick++) {
      const before = Date.now();
      let now = before;
      while (now === before) now = Date.now();
      apart.push(performance.timeOrigin + performance.now() - now);
    }
    return apart.sort((a, b) => a - b)[20] ?? 0;
  });
}

/** Has a page take note of when it is touched, before anybody else hears of it. */
function noteTouches(page: Page): Promise<void> {
  return page.evaluate(() => {
    addEventListener(
      'click',
      (event) => {
        window.touchedAt = performance.timeOrigin + event.timeStamp;
      },
      { capture: true },
    );
  });
}

/** Steps the value once; returns when it was touched, and when it was painted there and here, ms since 1970. */
async function touchOnce(from: Page, to: Page, isUp: boolean): Promise<[number, number, number]> {
  const before = await field(to, ADDRESS).getAttribute('data-value');
  const there = await painted(to, before);
  const here = await painted(from, before);
  await field(from, ADDRESS)
    .locator('button.step')
    .nth(isUp ? 1 : 0)
    .click();
  const times = [await there(), await here()] as const;
  const touchedAt = await from.evaluate(() => window.touchedAt);
  if (touchedAt === undefined) throw new Error('the touch was not noted');
  return [touchedAt, ...times];
}

/** Begins to look for another value in a page; what it returns waits for the moment when that was painted. */
async function painted(page: Page, before: string | null): Promise<() => Promise<number>> {
  const handle = await page.evaluateHandle(
    ({ address, was }) => {
      const moment = new Promise<number>((resolve) => {
        const observer = new MutationObserver(() => {
          const value = document.querySelector(`[data-field="${address}"]`)?.getAttribute('data-value');
          if (value === was) return;
          observer.disconnect();
          // What a frame shows is on its way to the screen when the next task begins.
          requestAnimationFrame(() => {
            const { port1, port2 } = new MessageChannel();
            port1.onmessage = () => resolve(performance.timeOrigin + performance.now());
            port2.postMessage(null);
          });
        });
        observer.observe(document, { subtree: true, attributes: true, attributeFilter: ['data-value'] });
      });
      return { moment };
    },
    { address: ADDRESS, was: before },
  );
  return async () => {
    const moment = await handle.evaluate((waiting) => waiting.moment);
    await handle.dispose();
    return moment;
  };
}
