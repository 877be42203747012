import type { Browser, CDPSession, Page } from 'playwright-core';
import { z } from 'zod';

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
            performance.mark('touched');
            const look = (): void => {
              const root = within === null ? document : document.querySelector(within);
              if ((root?.querySelector(shows) !== null) === gone) {
                requestAnimationFrame(look);
                return;
              }
              const { port1, port2 } = new MessageChannel();
              port1.onmessage = () => {
                performance.mark('painted');
                resolve(performance.now() - event.timeStamp);
              };
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
          performance.mark('frame');
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

const traceSchema = z.object({
  traceEvents: z.array(
    z.object({
      name: z.string(),
      pid: z.number(),
      tid: z.number(),
      ts: z.number().optional(),
      dur: z.number().optional(),
      tdur: z.number().optional(),
      args: z.looseObject({ name: z.string().optional() }).optional(),
    }),
  ),
});

/** A task of the page's main thread, ms: when it ended, and how long the processor worked at it. */
interface Task {
  readonly end: number;
  readonly cpu: number;
}

/** What the page's main thread did meanwhile, and when the page marked something. */
export interface Trace {
  readonly tasks: readonly Task[];
  readonly marks: ReadonlyMap<string, readonly number[]>;
}

/** Follows a page's main thread while something is done. What other programs do does not count. */
export async function traced(browser: Browser, page: Page, act: () => Promise<unknown>): Promise<Trace> {
  await browser.startTracing(page, { categories: ['toplevel', 'blink.user_timing', 'devtools.timeline'] });
  await act();
  const { traceEvents } = traceSchema.parse(JSON.parse((await browser.stopTracing()).toString()));
  const at = traceEvents.find(({ name }) => name === 'FireAnimationFrame');
  const own = traceEvents.filter(({ pid, tid }) => pid === at?.pid && tid === at.tid);
  const marks = new Map<string, number[]>();
  for (const { name, ts = 0 } of own) {
    if (MARKS.has(name)) marks.set(name, [...(marks.get(name) ?? []), ts / 1000]);
  }
  const tasks = own.flatMap(({ name, ts, dur, tdur }) =>
    name === 'ThreadControllerImpl::RunTask' && ts !== undefined && dur !== undefined && tdur !== undefined
      ? [{ end: (ts + dur) / 1000, cpu: tdur / 1000 }]
      : [],
  );
  return { tasks, marks };
}

const MARKS: ReadonlySet<string> = new Set(['touched', 'painted', 'frame']);

/** How long the processor worked between two moments, ms; the task that the first moment lies in counts whole. */
export function cpuBetween({ tasks }: Trace, from: number, to: number): number {
  return tasks.filter(({ end }) => end > from && end <= to + 1).reduce((sum, { cpu }) => sum + cpu, 0);
}

/** How long the processor worked at each frame that was marked, ms. */
export function cpuOfFrames(trace: Trace): number[] {
  const frames = trace.marks.get('frame') ?? [];
  return frames.slice(0, -1).map((from, index) => cpuBetween(trace, from, (frames[index + 1] ?? from) - 1));
}

declare global {
  interface Window {
    /** Resolves to how long it took from the next touch to what was waited for. */
    painted?: Promise<number>;
  }
}
