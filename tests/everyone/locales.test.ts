import { boardDefinition } from '@plumbline/shared';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { enter } from '../day/unit.ts';
import { startUnit, type Unit } from '../pictures/unit.ts';
import { PATIENCE_MS } from '../soak/size.ts';
import { sidewaysOverflow } from '../support/axe.ts';
import { joinAs as joinByCall } from '../support/base.ts';
import { borrowBrowser, joinAs, openTablet, SIZES, type TestBrowser } from '../support/browser.ts';
import { openTablet as openWriter } from '../support/clients.ts';

/** Where the clock of the demo unit stands: 14 May 2027, 07:52:10 at its place. */
const NOW = Date.UTC(2027, 4, 14, 5, 52, 10);

/**
 * What a reader of each language sees and types. Dates and digits as the Unicode CLDR has them (weekday, day and month in
 * the long form; https://cldr.unicode.org), decimal and grouping signs likewise: comma and point in German, U+066B and
 * U+066C in Egypt. Full-width figures are what a Japanese keyboard gives (common practice, no source).
 */
const READERS = [
  { locale: 'de-DE', day: 'Freitag, 14. Mai', rolled: '07:43:10', aperture: '5,6', lux: '2.039' },
  { locale: 'en-US', day: 'Friday, May 14', rolled: '07:43:10', aperture: '5.6', lux: '2,039' },
  { locale: 'ar-EG', day: 'الجمعة، ١٤ مايو', rolled: '٠٧:٤٣:١٠', aperture: '٥٫٦', lux: '٢٬٠٣٩' },
  { locale: 'ja-JP', day: '5月14日金曜日', rolled: '07:43:10', aperture: '５．６', lux: '２，０３９' },
] as const;

/** Marks of direction, which are heard and seen by nobody. */
const unmarked = (text: string): string => text.replace(/[\u200e\u200f\u061c\u2066-\u2069]/g, '');

let unit: Unit;
let browser: TestBrowser;
let writer: Awaited<ReturnType<typeof openWriter>>;

beforeAll(async () => {
  unit = await startUnit();
  browser = await borrowBrowser();
  const member = await joinByCall(unit.base, unit.board, 'camera', 'Who measures');
  writer = await openWriter(unit.base, member, boardDefinition, { now: () => NOW });
  writer.set('lightReadings', 'mill.l9', 'lux', 12_300);
  writer.set('lightReadings', 'mill.l9', 'takenAt', NOW - 60_000);
  await writer.settled();
}, PATIENCE_MS);

afterAll(async () => {
  writer?.close();
  await browser?.close();
  await unit?.base.stop();
});

async function sitDown(locale: string): Promise<{ context: BrowserContext; page: Page; errors: string[] }> {
  // not the place's zone, so that a time of the device's own is found
  const opened = await openTablet(browser, {
    base: unit.base.url,
    locale,
    timezoneId: 'America/Los_Angeles',
  });
  const { context, page, errors } = opened;
  await context.clock.setFixedTime(NOW);
  await joinAs(page, unit.board.invites.camera ?? '', 'Teodor Vance');
  await page.locator('[data-judged="true"]').waitFor();
  return { context, page, errors };
}

async function goTo(page: Page, screen: string): Promise<void> {
  await page.evaluate((path) => {
    history.pushState(null, '', path);
    dispatchEvent(new PopStateEvent('popstate'));
  }, `/board/${unit.board.boardId}/${screen}`);
  await page.locator('main h1').first().waitFor({ state: 'attached' });
  await page
    .getByText(/^(Opening…|Opening the board…|Looking at all setups…)$/)
    .waitFor({ state: 'detached' });
  await page.waitForTimeout(200);
}

/** All that is shown, read out or stands in a field, one line each. */
async function linesOf(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const names = [...document.querySelectorAll('[aria-label], [title], [aria-valuetext]')].flatMap(
      (element) => ['aria-label', 'title', 'aria-valuetext'].map((name) => element.getAttribute(name) ?? ''),
    );
    const fields = [...document.querySelectorAll('input')].map((field) => field.value);
    // biome-ignore lint/performance/useDomNodeTextContent: what is shown is asked, line by line
    return [...document.body.innerText.split('\n'), ...names, ...fields].filter((line) => line.trim() !== '');
  });
}

async function storedNumber(page: Page, table: string, record: string, field: string): Promise<unknown> {
  const answer = await page.context().request.get(`${unit.base.url}/api/boards/${unit.board.boardId}/view`);
  const { tables } = z
    .object({ tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), z.unknown()))) })
    .parse(await answer.json());
  return tables[table]?.[record]?.[field];
}

/** A comma or point that one reader takes for a decimal sign and another for a grouping. */
const EITHER_WAY = /(?<![\d.,:])\d{1,3}[.,]\d{3}(?![\d.,])/;
/** Frame rates are written with three decimals everywhere; frequencies of wireless are too. */
const MEANT = /23\.976|MHz/;

describe.each(READERS)('a tablet set to $locale', ({ locale, day, rolled, aperture, lux }) => {
  it(
    'shows dates and times as its reader writes them, at the place’s time; figures no reader can take for another',
    async () => {
      const { context, page, errors } = await sitDown(locale);
      await goTo(page, 'progress');
      expect(unmarked((await page.locator('main h1').textContent()) ?? '')).toBe(day);

      const doubtful: string[] = [];
      for (const screen of ['progress', 'match', 'kit/cards', 'places/mill', 'setup/1B']) {
        await goTo(page, screen);
        const lines = await linesOf(page);
        expect(lines.length, screen).toBeGreaterThan(20);
        doubtful.push(
          ...lines
            .filter((line) => EITHER_WAY.test(line) && !MEANT.test(line))
            .map((line) => `${screen}: ${line}`),
        );
        // groups of three digits, parted by a thin space and neither comma nor point (ISO 80000-1, 7.3.1)
        if (screen === 'places/mill') expect(lines.join('\n')).toContain('12\u202f300 lx');
        if (screen === 'setup/1B') expect(lines.map(unmarked).join('\n')).toContain(rolled);
      }
      expect(doubtful).toEqual([]);
      expect(errors).toEqual([]);

      for (const [name, text, value, shown] of [
        ['aperture', aperture, 5.6, 'f/5.6'],
        ['keyLux', lux, 2039, '2039 lx'],
      ] as const) {
        await page.evaluate(() => {
          for (const each of document.querySelectorAll('main details')) each.setAttribute('open', '');
        });
        await enter(page, `picture/1B.A/${name}`, text);
        await expect.poll(() => storedNumber(page, 'picture', '1B.A', name)).toBe(value);
        expect(
          await page.locator(`[data-field="picture/1B.A/${name}"]`).first().getAttribute('data-value'),
        ).toBe(shown);
        // so that the next reader changes something
        writer.set('picture', '1B.A', name, name === 'aperture' ? 8 : 500);
        await writer.settled();
      }
      await context.close();
    },
    PATIENCE_MS,
  );
});

describe('from right to left', () => {
  it(
    'no screen is wider than its window, with words and figures in Arabic',
    async () => {
      const { context, page, errors } = await sitDown('ar-EG');
      const lead = await openWriter(
        unit.base,
        await joinByCall(unit.base, unit.board, 'director', 'ليلى حداد'),
        boardDefinition,
        { now: () => NOW },
      );
      lead.set('shoot', 'shoot', 'title', 'طريق الملح القديم: اليوم الأول من التصوير');
      lead.set('setups', '1B', 'description', 'لقطة قريبة، 35 مم، من باب المطحنة إلى النافذة الغربية');
      lead.set('places', 'mill', 'name', 'المطحنة القديمة عند النهر (المدخل 2)');
      await lead.settled();
      lead.close();
      const wide: string[] = [];
      await page.evaluate(() => {
        document.documentElement.dir = 'rtl';
      });
      for (const size of ['phone', 'landscape'] as const) {
        await page.setViewportSize(SIZES[size]);
        for (const screen of [
          'day',
          'setup/1B',
          'match',
          'sound/3C',
          'kit/people',
          'places/mill',
          'progress',
        ]) {
          await goTo(page, screen);
          const over = await sidewaysOverflow(page);
          if (over > 0) wide.push(`${screen}, ${size}: ${over} px`);
        }
      }
      expect(await page.locator('.shell-title strong').textContent()).toContain('طريق الملح');
      expect(wide).toEqual([]);
      expect(errors).toEqual([]);
      await context.close();
    },
    PATIENCE_MS,
  );
});
