import { join } from 'node:path';
import { CustodyBook, type CustodyEvent, foldCustody, type SignedEvent } from '@plumbline/shared/kit';
import type { CDPSession, Page } from 'playwright-core';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { Measure } from '../bench.ts';
import { kitDocument } from '../boards/kitBoard.ts';
import { type Figure, quantile } from '../figures.ts';
import { SLOWER, slowDown, touchToPainted } from './page.ts';

const ITEMS = 2_000;
const EVENTS = 20_000;

/** Queries as they are typed: a name, a serial, a case, somebody’s name. */
const QUERIES = ['lens 12', 'mi-10', 'case 7', 'marrowby', 'cable'];

/** What a slow tablet makes of a large kit: opening it, searching it as one types, and one item’s ledger. */
export const kit: Measure = {
  name: 'kit',
  title: `The kit on a tablet ${SLOWER} times slower, ${ITEMS} items and ${EVENTS} events`,
  async run(bench) {
    const document = kitDocument(join(bench.folder, 'kit.bin'), ITEMS, EVENTS);
    const placed = await bench.dataFolder('kit', [document]);
    const base = await placed.start('usual');
    const browser = await launchBrowser();
    const rounds = bench.isSmoke ? 2 : 7;
    const first: number[] = [];
    const again: number[] = [];
    const typed: number[] = [];
    const pages: number[] = [];
    const busyFirst: number[] = [];
    const busyAgain: number[] = [];
    const busyTyped: number[] = [];
    const busyPages: number[] = [];
    try {
      const { page, context } = await openTablet(browser, { base: base.url, fetchesAhead: true });
      const session = await context.newCDPSession(page);
      await session.send('Performance.enable', { timeDomain: 'threadTicks' });
      page.setDefaultTimeout(180_000);
      await joinAs(page, placed.boards[0]?.invites.camera ?? '', 'Teodor Vance');
      for (let round = 0; round < rounds; round++) {
        await page.goto(`/board/${placed.boards[0]?.boardId ?? ''}/unit`);
        await page.locator('[data-judged="true"]').waitFor({ timeout: 180_000 });
        // the other screens are fetched a while after the first
        await page.waitForTimeout(2_500);
        await slowDown(session, SLOWER);
        const openKit = () => touchToPainted(page, tab('Kit'), '.kit-row');
        busyFirst.push(await busy(session, openKit, first));
        await page.waitForTimeout(500);
        for (const query of QUERIES) {
          const before = typed.length;
          const spent = await busy(session, () => typing(page, query, typed));
          busyTyped.push(spent / (typed.length - before));
        }
        const openItem = () => touchToPainted(page, '.kit-row .kit-row-link', '.kit-ledger li');
        busyPages.push(await busy(session, openItem, pages));
        await page.waitForTimeout(300);
        await touchToPainted(page, tab('Unit'), '.unit-page');
        await page.waitForTimeout(300);
        busyAgain.push(await busy(session, openKit, again));
        await slowDown(session, 1);
      }
    } finally {
      await browser.close();
      await base.stop();
    }
    const of = 'on the slow tablet';
    const figure = (name: string, where: string, values: readonly number[], q: number): Figure => ({
      name,
      of: where,
      unit: 'ms',
      value: quantile([...values], q),
      samples: values.length,
    });
    const spent = 'of its main thread’s processor';
    const folds = foldTimes(bench.isSmoke ? 20 : 200);
    return {
      figures: [
        figure('first opened, median', of, first, 0.5),
        figure('first opened, worst', of, first, 1),
        figure('opened again, median', of, again, 0.5),
        figure('search, a key, median', of, typed, 0.5),
        figure('search, a key, p95', of, typed, 0.95),
        figure('an item’s page with its ledger, median', of, pages, 0.5),
        figure('first opened, median', spent, busyFirst, 0.5),
        figure('opened again, median', spent, busyAgain, 0.5),
        figure('search, a key, median', spent, busyTyped, 0.5),
        figure('an item’s page with its ledger, median', spent, busyPages, 0.5),
        figure('ledger of 10 events folded, p95', 'in Node, this machine', folds.ten, 0.95),
        figure('ledger of 1,000 events folded, p95', 'in Node, this machine', folds.thousand, 0.95),
        figure(
          'an event entered, its item asked for again, p95',
          'in Node, 20,000 events',
          folds.entered,
          0.95,
        ),
      ],
      notes: [
        `${ITEMS} items, ${EVENTS} events, every 50th item forked; the document has ${(document.bytes / 1e6).toFixed(1)} MB; Chromium’s own processor throttling at ${SLOWER}; 1180 × 820`,
        'painted: from the touch or key to the first task after the frame that shows it; first opened: the page was loaded anew, its rules had judged, its screens were fetched, nobody had opened the kit',
        'of its main thread’s processor: the time that the page’s main thread computed, slowed down as it was, whatever else the machine had to do meanwhile',
      ],
    };
  },
};

function tab(label: string): string {
  return `.shell-tabs a:has-text("${label}")`;
}

/** How long the page’s main thread computed while something was done, ms. What the act returns is noted in `times`. */
async function busy(session: CDPSession, act: () => Promise<unknown>, times?: number[]): Promise<number> {
  const spent = async (): Promise<number> => {
    const { metrics } = await session.send('Performance.getMetrics');
    return 1000 * (metrics.find(({ name }) => name === 'TaskDuration')?.value ?? Number.NaN);
  };
  const before = await spent();
  const took = await act();
  if (times && typeof took === 'number') times.push(took);
  return (await spent()) - before;
}

/** Types a query letter by letter, and notes from each key to the frame that shows what it found, ms. */
async function typing(page: Page, query: string, times: number[]): Promise<void> {
  const box = page.getByRole('searchbox', { name: 'Search the kit' });
  await box.fill('');
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

/** How long ledgers take to be folded, without a screen, ms. */
function foldTimes(rounds: number): { ten: number[]; thousand: number[]; entered: number[] } {
  const chain = (item: string, many: number): SignedEvent[] =>
    Array.from({ length: many }, (_, n): SignedEvent => {
      const event: CustodyEvent = {
        item,
        what: n % 2 === 0 ? 'signOut' : 'return',
        ...(n % 2 === 0 && { to: 'h1' }),
        ...(n > 0 && { after: `${item}.${n}` }),
        signedBy: 'h1',
        at: n + 1,
      };
      return { record: `${item}.${n + 1}`, event };
    });
  const time = (act: () => unknown): number => {
    const start = performance.now();
    act();
    return performance.now() - start;
  };
  const [ten, thousand] = [chain('camera.ten', 10), chain('camera.thousand', 1_000)];
  const book = new CustodyBook();
  for (let n = 0; n < ITEMS; n++) {
    for (const { record, event } of chain(`camera.item-${n}`, EVENTS / ITEMS)) book.add(record, event);
  }
  book.heldBy('h1');
  const each = Array.from({ length: rounds }, (_, n) => n);
  return {
    ten: each.map(() => time(() => foldCustody('camera.ten', ten))),
    thousand: each.map(() => time(() => foldCustody('camera.thousand', thousand))),
    entered: each.map((n) =>
      time(() => {
        const item = `camera.item-${n}`;
        const after = `${item}.${EVENTS / ITEMS}`;
        book.add(`${item}.next`, { item, what: 'signOut', to: 'h2', after, signedBy: 'h2', at: 1e6 });
        return book.of(item);
      }),
    ),
  };
}
