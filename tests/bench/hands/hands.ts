import type { Browser, Page } from 'playwright-core';
import { z } from 'zod';
import { call } from '../../support/base.ts';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { BaseServer, Measure } from '../bench.ts';
import { setupId } from '../boards/shootDays.ts';
import { runWorker } from '../children.ts';
import { openThrottled } from '../clients/throttled.ts';
import { type Figure, median, quantile } from '../figures.ts';
import { slowDown } from '../tablet/page.ts';

/** How many times slower than this machine the tablet is taken to be. */
const SLOWER = 4;
/** What a tablet gets at the edge of a location's wireless. */
const BITS_PER_SECOND = 1_500_000;
const DELAY_MS = 100;
/** 400 setups, as many as a long shoot has. */
const DAYS = 20;
const EDITORS = 8;
/** So often a page is opened again from the device. */
const AGAIN = 3;
const HOMES = {
  director: '.setup-row, .now',
  camera: '.camera [data-field]',
  sound: '.channels, .plan',
  producer: '.figures .figure',
} as const;
type Role = keyof typeof HOMES;

/** What a role waits for on a slow tablet over a narrow line, and what it feels while the others work. */
export const hands: Measure = {
  name: 'hands',
  title: `A tablet ${SLOWER} times slower at ${BITS_PER_SECOND / 1e6} Mbit/s and ${DELAY_MS} ms: first paint, long tasks, search`,
  async run(bench) {
    const placed = await bench.dataFolder('hands', [await bench.document(1), await bench.document(DAYS)]);
    const base = await placed.start('usual');
    const browser = await launchBrowser();
    const figures: Figure[] = [];
    try {
      const roles: readonly Role[] = bench.isSmoke ? ['camera'] : ['director', 'camera', 'sound', 'producer'];
      const rounds = bench.isSmoke ? 1 : 3;
      const small = placed.boards[0];
      const large = placed.boards[1];
      if (!small || !large) throw new Error('no boards');
      for (const role of roles) {
        const times: Openings[] = [];
        for (let round = 0; round < rounds; round++) {
          times.push(await openings(browser, base, small.invites[role] ?? '', role));
        }
        figures.push(
          {
            name: 'useful paint, cold',
            of: role,
            unit: 's',
            value: median(times.map(({ cold }) => cold)) / 1000,
            samples: rounds,
            aim: { most: 2.5 },
          },
          {
            name: 'useful paint, for the first time from the device',
            of: role,
            unit: 's',
            value: median(times.map(({ first }) => first)) / 1000,
            samples: rounds,
          },
          {
            name: 'useful paint, installed',
            of: role,
            unit: 's',
            value: median(times.flatMap(({ again }) => again)) / 1000,
            samples: rounds * AGAIN,
            aim: { most: 0.8 },
          },
        );
      }
      figures.push(...(await edited(browser, base, small, bench.isSmoke ? 5 : 60)));
      figures.push(...(await searched(browser, base, large.invites.director ?? '', large.boardId)));
    } finally {
      await browser.close();
      await base.stop();
    }
    return {
      figures,
      notes: [
        `processor slowed down by Chromium ${SLOWER} times; the line is kept by the bench outside the browser, ${BITS_PER_SECOND / 1e6} Mbit/s back and ${DELAY_MS} ms there and back, all connections together, so that the service worker is held back too`,
        `useful paint: from the navigation to the first task after the frame in which the first rows of the role’s own screen stand; cold: nothing is kept on the device but the session; for the first time from the device: every file is on it, the page is opened anew; installed: the same ${AGAIN} times more, once the browser has kept what it made of the script`,
        `long tasks: of the page that a director looks at, while ${EDITORS} people each set two values a second on the setup that it shows, over the line, slowed down; the board is a day of 20 setups`,
        'search: a key in Find on a board of 400 setups, from the key to the first task after the frame with what it found, on the slowed tablet',
      ],
    };
  },
};

/** How long it takes until the role's own screen can be read, ms. */
interface Openings {
  readonly cold: number;
  readonly first: number;
  readonly again: readonly number[];
}

/** Opens the board cold and then from the device, again and again. */
async function openings(browser: Browser, base: BaseServer, invite: string, role: Role): Promise<Openings> {
  // the session is all that is there: the way in was walked before, by a call
  const answer = await call(base, 'POST', '/api/join', { body: { invite, name: `Slow ${role}` } });
  const member = z
    .object({ boardId: z.string(), personId: z.string(), role: z.string(), session: z.string() })
    .parse(answer.body);
  const line = await openThrottled(base.url, BITS_PER_SECOND, DELAY_MS);
  const { context, page } = await openTablet(browser, {
    base: line.url,
    size: 'portrait',
    keepsItself: true,
  });
  try {
    context.setDefaultTimeout(180_000);
    const cookie = answer.headers.get('set-cookie')?.split(';')[0] ?? '';
    const [name = '', value = ''] = cookie.split('=');
    await context.addCookies([{ name, value, url: line.url }]);
    const { session: _, ...kept } = member;
    await context.addInitScript(
      ([key, note, shows]) => {
        localStorage.setItem(key, note);
        const look = (): void => {
          if (document.querySelector(`main :is(${shows})`) === null) {
            requestAnimationFrame(look);
            return;
          }
          const { port1, port2 } = new MessageChannel();
          port1.onmessage = () => {
            window.usefulAt ??= performance.now();
          };
          port2.postMessage(null);
        };
        requestAnimationFrame(look);
      },
      [
        `plumbline.member.${member.boardId}`,
        JSON.stringify({ ...kept, name: `Slow ${role}` }),
        HOMES[role],
      ] as const,
    );
    const session = await context.newCDPSession(page);
    await slowDown(session, SLOWER);
    const cold = await useful(page, `/board/${member.boardId}`);
    await page.evaluate('navigator.serviceWorker.ready.then(() => undefined)');
    await page.waitForTimeout(500);
    const first = await useful(page, `/board/${member.boardId}`);
    const again: number[] = [];
    while (again.length < AGAIN) {
      await page.waitForTimeout(1_500);
      again.push(await useful(page, `/board/${member.boardId}`));
    }
    return { cold, first, again };
  } finally {
    await context.close();
    line.close();
  }
}

async function useful(page: Page, path: string): Promise<number> {
  await page.goto(path, { waitUntil: 'commit' });
  await page.waitForFunction(() => window.usefulAt !== undefined);
  return page.evaluate(() => window.usefulAt ?? Number.NaN);
}

/** What a page's main thread does while eight people set values of the setup that it shows. */
async function edited(
  browser: Browser,
  base: BaseServer,
  board: { boardId: string; invites: Readonly<Record<string, string>> },
  seconds: number,
): Promise<Figure[]> {
  const setup = setupId(0, 1);
  const line = await openThrottled(base.url, BITS_PER_SECOND, DELAY_MS);
  const { context, page } = await openTablet(browser, { base: line.url, keepsItself: true });
  context.setDefaultTimeout(180_000);
  await joinAs(page, board.invites.director ?? '', 'Who looks on');
  await page.goto(`/board/${board.boardId}/setup/${setup}`);
  await page.locator('[data-judged="true"]').waitFor();
  await page.waitForTimeout(3_000);
  const session = await context.newCDPSession(page);
  await slowDown(session, SLOWER);
  await page.evaluate(() => {
    window.longTasks = [];
    new PerformanceObserver((list) => {
      for (const { duration } of list.getEntries()) window.longTasks?.push(duration);
    }).observe({ type: 'longtask' });
  });
  const { edits } = await runWorker(
    'hands/editors.js',
    { url: base.url, board, setup, editors: EDITORS, seconds },
    z.object({ edits: z.number() }),
  );
  await page.waitForTimeout(500);
  const tasks = await page.evaluate(() => window.longTasks ?? []);
  await context.close();
  line.close();
  const of = `${EDITORS} people edit`;
  return [
    { name: 'edits', of, unit: '', value: edits },
    { name: 'long tasks (over 50 ms)', of, unit: '', value: tasks.length },
    {
      name: 'long tasks over 100 ms',
      of,
      unit: '',
      value: tasks.filter((task) => task > 100).length,
      aim: { most: 0 },
    },
    { name: 'longest task', of, unit: 'ms', value: Math.max(0, ...tasks), aim: { most: 100 } },
  ];
}

/** Words that are typed letter by letter into Find. */
const QUERIES = ['d3s', 'take 2', 'lens', 'scene 4', 'close'];

async function searched(
  browser: Browser,
  base: BaseServer,
  invite: string,
  board: string,
): Promise<Figure[]> {
  const { context, page } = await openTablet(browser, { base: base.url, fetchesAhead: true });
  context.setDefaultTimeout(180_000);
  await joinAs(page, invite, 'Who looks for it');
  await page.goto(`/board/${board}/unit`);
  await page.locator('[data-judged="true"]').waitFor();
  const session = await context.newCDPSession(page);
  await slowDown(session, SLOWER);
  await page.locator('[data-find]').click();
  const field = page.getByRole('searchbox');
  await field.waitFor();
  // the index fills in pieces; what is measured is a key once it stands
  await page.waitForTimeout(4_000);
  const times: number[] = [];
  for (const query of QUERIES) {
    await field.fill('');
    await page.waitForTimeout(200);
    for (const key of query) {
      await page.evaluate(() => {
        window.painted = new Promise((resolve) => {
          addEventListener(
            'input',
            (event) => {
              requestAnimationFrame(() => {
                const { port1, port2 } = new MessageChannel();
                port1.onmessage = () => resolve(performance.now() - event.timeStamp);
                port2.postMessage(null);
              });
            },
            { capture: true, once: true },
          );
        });
      });
      await page.keyboard.type(key);
      times.push(await page.evaluate(() => window.painted ?? Promise.reject(new Error('nothing was typed'))));
    }
  }
  await context.close();
  const of = 'Find, 400 setups';
  return [
    { name: 'a key, median', of, unit: 'ms', value: median(times), samples: times.length },
    { name: 'a key, p95', of, unit: 'ms', value: quantile(times, 0.95), samples: times.length },
  ];
}

declare global {
  interface Window {
    /** When the first rows of the role's own screen were painted, ms after the navigation. */
    usefulAt?: number;
    /** How long the page's long tasks took, ms. */
    longTasks?: number[];
  }
}
