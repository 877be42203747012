import type { CDPSession, Page } from 'playwright-core';

/** How many times slower than this machine the tablet is taken to be. */
export const SLOWER = 6;

/** Slows a page's processor down, or lets it run freely again with 1. */
export async function slowDown(session: CDPSession, rate: number): Promise<void> {
  await session.send('Emulation.setCPUThrottlingRate', { rate });
}

/**
 * From a touch on something to the end of the frame that shows something else, ms on the page's own clock: from the
 * event's time stamp to the first task after the frame in which it is found.
 *
 * @param gone whether to wait until it is no longer there
 */
export async function touchToPainted(
  page: Page,
  touch: string,
  shows: string,
  { gone = false, within = null }: { gone?: boolean; within?: string | null } = {},
): Promise<number> {
  await page.evaluate(
    ([shows, gone, within]) => {
      window.painted = new Promise((resolve) => {
        addEventListener(
          'click',
          (event) => {
            const look = (): void => {
              const root = within === null ? document : document.querySelector(within);
              if ((root?.querySelector(shows) !== null) === gone) {
                requestAnimationFrame(look);
                return;
              }
              const { port1, port2 } = new MessageChannel();
              port1.onmessage = () => resolve(performance.now() - event.timeStamp);
              port2.postMessage(null);
            };
            requestAnimationFrame(look);
          },
          { capture: true, once: true },
        );
      });
    },
    [shows, gone, within] as const,
  );
  await page.locator(touch).first().click();
  return page.evaluate(() => window.painted ?? Promise.reject(new Error('nothing was touched')));
}

/** Scrolls something at a steady pace, frame by frame, and returns how long each frame took, ms. */
export function scrollFrames(
  page: Page,
  element: string,
  way: 'left' | 'top',
  frames: number,
): Promise<number[]> {
  return page.evaluate(
    ([element, way, frames]) =>
      new Promise<number[]>((resolve, reject) => {
        const scroller = document.querySelector(element);
        if (!scroller) {
          reject(new Error(`no ${element}`));
          return;
        }
        const times: number[] = [];
        let before = performance.now();
        // About as fast as a thumb throws a list: a screen in less than half a second.
        const step = 40;
        const frame = (): void => {
          const now = performance.now();
          times.push(now - before);
          before = now;
          if (way === 'left') scroller.scrollLeft += step;
          else scroller.scrollTop += step;
          if (times.length > frames) resolve(times.slice(1));
          else requestAnimationFrame(frame);
        };
        requestAnimationFrame(frame);
      }),
    [element, way, frames] as const,
  );
}

/** Has every page of the tablet note when its rules have judged the board, ms since the page was asked for. */
export async function noteJudged(page: Page): Promise<void> {
  await page.addInitScript(() => {
    const look = (): void => {
      if (document.querySelector('[data-judged="true"]')) window.judgedAt = performance.now();
      else requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  });
}

declare global {
  interface Window {
    judgedAt?: number;
    /** Resolves to how long it took from the next touch to what was waited for. */
    painted?: Promise<number>;
  }
}
