import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { temporaryFolder } from '../support/base.ts';
import { borrowBrowser, SIZES, type TestBrowser } from '../support/browser.ts';
import { type Line, openLine } from '../support/network.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
import { tabletsOf } from '../support/tablets.ts';
import { readPdf, textOf } from './pdf.ts';

describe('the screen Papers', () => {
  const folder = temporaryFolder('papers');
  let base: BaseProcess;
  let browser: TestBrowser;
  let line: Line;

  beforeAll(async () => {
    base = await startBaseProcess(folder.path, { PLUMBLINE_DEMO: '1' });
    line = await openLine(base.port);
    browser = await borrowBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await line?.close();
    await base.end('SIGTERM');
    folder.remove();
  });

  const board = () => ({
    boardId: base.greeting.boardId ?? '',
    invites: Object.fromEntries(
      Object.entries(base.greeting.links ?? {}).map(([role, link]) => [role, link.split('#')[1] ?? '']),
    ),
  });
  const tablets = tabletsOf(() => ({ browser, base: base.url, ...board() }));
  /** Tablets whose line can be cut. */
  const onTheLine = tabletsOf(() => ({ browser, base: line.url, ...board() }));

  it('shows a paper on a tablet and on a phone, for whoever is on the board, no wider than the screen', async () => {
    const { page, errors, go, giveBack } = await tablets.at('producer', 'papers', { name: 'Rafiq Thorne' });
    for (const size of [SIZES.landscape, SIZES.phone]) {
      await page.setViewportSize(size);
      await go('papers');
      await page.locator('[data-paper-choice="sound"]').click();
      const sheet = page.locator('[data-paper="sound"]');
      await sheet.getByRole('heading', { name: 'Sound report' }).waitFor();
      await sheet.getByText('Boom').first().waitFor();
      const wide = await page.locator('.shell-page').evaluate((main) => main.scrollWidth - main.clientWidth);
      expect(wide).toBeLessThanOrEqual(0);
    }
    await page.getByRole('link', { name: 'All papers' }).click();
    await page.locator('[data-paper-choice="kit"]').waitFor();
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('prints the paper alone, all of it, with the heads of its tables', async () => {
    const { page, giveBack } = await tablets.at('producer', 'papers/kit', { name: 'Rafiq Thorne' });
    await page.locator('[data-paper="kit"] td').first().waitFor();
    const printed = await readPdf(await page.pdf({ preferCSSPageSize: true }));
    const text = textOf(printed);
    expect(text).toContain('Kitledger');
    expect(text).toContain('Serial');
    expect(text).not.toContain('Allpapers');
    expect(text).not.toContain('Allstored');
    const [first] = printed.pages;
    expect(first && first.width > first.height).toBe(true);
    const items = await page.locator('[data-paper="kit"] td').allTextContents();
    for (const item of items.filter((each) => each.trim() !== '')) {
      expect(text).toContain(item.replace(/\s+/gu, ''));
    }
    await giveBack();
  });

  it('makes papers with the network gone, and says why the base’s files cannot be had', async () => {
    const { context, page } = await onTheLine.at('director', 'papers/takes', { name: 'Ilse Marrowby' });
    await page.locator('[data-paper="takes"]').waitFor();
    await page.locator('a[data-form="pdf"]').waitFor();
    line.cut();
    await page.locator('button[data-form="pdf"]:disabled').waitFor();
    await page.getByText('come from the base, which is not reached now').first().waitFor();
    await page.getByRole('link', { name: /Scouting sheet/ }).click();
    await page.locator('[data-paper="scouting"]').getByText('Mill house').waitFor();
    await context.close();
  });

  it('fetches the file that its button names', async () => {
    const { page, giveBack } = await tablets.at('sound', 'papers/scouting', { name: 'Nkechi Aldous' });
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.locator('a[data-form="csv"]').click(),
    ]);
    expect(download.suggestedFilename()).toMatch(/^scouting-\d+\.csv$/);
    await giveBack();
  });
});
