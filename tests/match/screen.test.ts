import { type Base, shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { TABLET_FOLDER } from '../offline/built.ts';
import { call, createBoard, joinAs as joinByCall, type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, joinAs, openTablet, SIZES, type TestBrowser } from '../support/browser.ts';
import { goAnew, goInside } from '../support/tablets.ts';

const SETUPS = 400;
const GROUP = 5;
const setupAt = (index: number): string => `S${String(index + 1).padStart(3, '0')}`;

/** 400 setups in groups of five that agree, but for one that is a stop brighter and one set a good deal warmer. */
const BRIGHTER = setupAt(7);
const WARMER = setupAt(203);

function plan(): { name: string; text: string }[] {
  const setups = Array.from({ length: SETUPS }, (_, index) => {
    const first = setupAt(index - (index % GROUP));
    return `${setupAt(index)},1,${index + 1},${index + 1},group ${Math.floor(index / GROUP) + 1},${first}`;
  });
  const pictures = Array.from({ length: SETUPS }, (_, index) => {
    const setup = setupAt(index);
    const [aperture, kelvin] = [setup === BRIGHTER ? 'f/2.8' : 'f/4', setup === WARMER ? 3200 : 5600];
    return ['A', 'B']
      .map((camera) => `${setup},${camera},25,180°,${aperture},800,ND 0.6,${kelvin} K,1000`)
      .join('\r\n');
  });
  return [
    { name: 'shoot.csv', text: 'Setting,Value\r\nTitle,The rope walk\r\nMains,50 Hz\r\nFrame rate,25\r\n' },
    { name: 'scenes.csv', text: 'Number,Title,Story order\r\n1,Twisting,10\r\n' },
    {
      name: 'cameras.csv',
      text: 'Camera,Name,Base ISO,Highest ISO,Gain is set as\r\nA,Camera A,800,6400,ISO\r\nB,Camera B,800,6400,ISO\r\n',
    },
    {
      name: 'setups.csv',
      text: `Setup,Scene,Story order,Shooting order,Match group,Reference setup\r\n${setups.join('\r\n')}\r\n`,
    },
    {
      name: 'picture.csv',
      text: `Setup,Camera,Frame rate,Shutter,Aperture,ISO,ND,White balance (K),Key reading (lx)\r\n${pictures.join('\r\n')}\r\n`,
    },
  ];
}

describe('the match screen on a board of 400 setups', () => {
  let base: Base;
  let browser: TestBrowser;
  let board: NewBoard;
  let page: Page;
  let errors: string[];

  beforeAll(async () => {
    base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
    board = await createBoard(base, 'The rope walk');
    const planner = await joinByCall(base, board, 'director', 'Who brought the plan');
    const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
      token: planner.session,
      body: { files: plan() },
    });
    if (status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(body)}`);
    browser = await borrowBrowser();
    const tablet = await openTablet(browser, { base: base.url });
    ({ page, errors } = tablet);
    page.setDefaultTimeout(120_000);
    await joinAs(page, board.invites.camera ?? '', 'Teodor Vance');
    await openMatch();
  }, 240_000);

  afterAll(async () => {
    await browser?.close();
    await base?.stop();
  });

  async function openMatch(group = ''): Promise<void> {
    await goAnew(page, board.boardId, `match/${group}`);
    await matchIsThere();
  }

  async function loadMatch(group: string): Promise<void> {
    await page.goto(`/board/${board.boardId}/match/${group}`);
    await matchIsThere();
  }

  async function matchIsThere(): Promise<void> {
    await page.locator('.match-column').first().waitFor();
    await page.locator('[data-match-summary]').waitFor();
  }

  const focused = (): Promise<string> =>
    page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? '');

  it('says at one look that it will not cut, and how many breaks there are', async () => {
    const summary = page.locator('[data-match-summary="breaks"]');
    expect(await summary.textContent()).toContain('Will not cut yet');
    // One setup of each: both cameras share its mark.
    expect(await summary.textContent()).toMatch(/2 breaks/);
  });

  it('has every setup for a screen reader where it is scrolled to, and few elements at any time', async () => {
    const found = await page.evaluate(async () => {
      const scroller = document.querySelector('.match-scroll');
      if (!scroller) throw new Error('no picture');
      const labels = new Set<string>();
      let most = 0;
      for (let left = 0; left <= scroller.scrollWidth; left += 700) {
        scroller.scrollLeft = left;
        await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
        const edge = scroller.getBoundingClientRect();
        const columns = [...document.querySelectorAll('.match-column')];
        most = Math.max(most, columns.length);
        for (const column of columns) {
          const { left: from, right: to } = column.getBoundingClientRect();
          if (to > edge.left && from < edge.right) labels.add(column.getAttribute('data-match-column') ?? '');
        }
      }
      return { labels: [...labels].sort(), most };
    });
    expect(found.labels).toEqual(Array.from({ length: SETUPS }, (_, index) => setupAt(index)));
    expect(found.most).toBeLessThan(60);
    await page.getByRole('button', { name: `Setup ${setupAt(SETUPS - 1)}` }).waitFor();
    expect(await page.getByRole('button', { name: `Setup ${setupAt(0)}` }).count()).toBe(0);
  });

  it('opens at the group of its address', async () => {
    await loadMatch('group%2041');
    const column = page.getByRole('button', { name: `Setup ${WARMER}` });
    await column.waitFor();
    expect(await column.getAttribute('aria-label')).toContain('134 mired set lower in kelvin, break');
    const box = await column.boundingBox();
    expect(box?.x).toBeGreaterThan(0);
    expect(box?.x).toBeLessThan(SIZES.landscape.width);
  });

  it('is walked by arrow keys, from mark to mark across the board; Enter opens, Escape closes and comes back', async () => {
    await openMatch();
    await page.locator('.match-scroll').focus();
    await page.keyboard.press('ArrowRight');
    expect(await focused()).toContain(`Setup ${setupAt(0)}`);
    for (let press = 0; press < 7; press++) await page.keyboard.press('ArrowRight');
    expect(await focused()).toContain(`Setup ${BRIGHTER}`);
    await page.keyboard.press('ArrowDown');
    expect(await focused()).toContain('1.0 stop brighter, break');
    const outline = await page.evaluate(() => {
      const style = document.activeElement && getComputedStyle(document.activeElement);
      return style ? `${style.outlineStyle} ${style.outlineWidth}` : '';
    });
    expect(outline).toMatch(/solid [1-9]/);
    await page.keyboard.press('Enter');
    await page.getByRole('dialog', { name: new RegExp(BRIGHTER) }).waitFor();
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    expect(await focused()).toContain('1.0 stop brighter, break');
    // The next open mark is 196 setups further on: it is fetched into the picture and has the focus.
    await page.getByRole('button', { name: 'Next open mark' }).click();
    await page.locator(`[data-mark="colour/${WARMER}/A+B"]:focus`).waitFor();
    await page.keyboard.press('End');
    await page.locator(`[data-match-column="${setupAt(SETUPS - 1)}"]:focus`).waitFor();
  });

  it('shows the rows of one department and the lines of one camera, and remembers it', async () => {
    const titles = (): Promise<string[]> => page.locator('.match-row-head strong').allInnerTexts();
    await page.locator('[data-filter-department="sound"]').click();
    expect(await titles()).toEqual(['Sound']);
    await page.locator('[data-filter-department="camera"]').click();
    await page.locator('[data-filter-camera="B"]').click();
    await loadMatch('group%2041');
    expect((await titles()).length).toBe(6);
    expect(await page.locator('[data-filter-camera="B"]').getAttribute('aria-pressed')).toBe('true');
    await page.locator(`[data-mark="colour/${WARMER}/B"]`).waitFor();
    expect(await page.locator(`[data-mark="colour/${WARMER}/A+B"]`).count()).toBe(0);
    await page.locator('[data-filter-department="all"]').click();
    await page.locator('[data-filter-camera="all"]').click();
    await page.locator(`[data-mark="colour/${WARMER}/A+B"]`).waitFor();
  });

  it('holds any two setups side by side, what differs first, in stops and mireds', async () => {
    await page.getByRole('button', { name: 'Compare two' }).click();
    const dialog = page.getByRole('dialog');
    await dialog.locator('[data-compare-pick="own"]').selectOption(BRIGHTER);
    await dialog.locator('[data-compare-pick="other"]').selectOption(WARMER);
    const table = dialog.locator(`[data-compare="${BRIGHTER}.A"][data-beside="${WARMER}"]`);
    await table.waitFor();
    const rows = (await table.locator('tbody tr').allInnerTexts()).map((row) =>
      row.replace(/\s+/g, ' ').trim(),
    );
    expect(rows.slice(0, 3)).toEqual([
      'Exposure 1.0 stop brighter',
      'Depth 1.0 stop of aperture shallower',
      'Colour 134 mired set higher in kelvin',
    ]);
    expect(rows.slice(3).map((row) => row.split(' ')[0])).toEqual(['Aperture', 'White']);
    await dialog.getByRole('button', { name: 'All fields' }).click();
    expect(await table.locator('tr[data-differs="false"]').count()).toBeGreaterThan(3);
    const order = await table
      .locator('tr[data-differs]')
      .evaluateAll((all) => all.map((row) => row.getAttribute('data-differs')));
    expect(order).toEqual([...order].sort().reverse());
    await page.keyboard.press('Escape');
  });

  it('can be read in words', async () => {
    await page.getByRole('button', { name: 'In words' }).click();
    const table = page.locator('[data-match-table="group 2"]');
    await table.waitFor();
    expect(await table.getByRole('row').nth(3).textContent()).toContain('1.0 stop brighter, break');
    await page.getByRole('button', { name: 'In words' }).click();
  });

  it('is printed whole, in black on white, with title, date, key and every mark in words', async () => {
    await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
    const print = page.locator('[data-match-print]');
    await print.waitFor();
    const sheets = Number(await print.getAttribute('data-match-print'));
    expect(sheets).toBeGreaterThan(20);
    const seen = await print.evaluate((element) => {
      const colours = (node: Element): string[] => {
        const { color, fill, stroke, backgroundColor } = getComputedStyle(node);
        return [color, fill, stroke, backgroundColor];
      };
      const drawn = [...element.querySelectorAll('*')].slice(0, 3_000);
      return {
        text: element.textContent ?? '',
        colours: [...new Set(drawn.flatMap(colours))],
        navigation: getComputedStyle(document.querySelector('.shell-tabs') ?? element).display,
        board: getComputedStyle(document.querySelector('.match-board') ?? element).display,
      };
    });
    for (let index = 0; index < SETUPS; index++) expect(seen.text).toContain(setupAt(index));
    expect(seen.text).toContain('Match: The rope walk');
    expect(seen.text).toContain(`sheet 1 of ${sheets}`);
    expect(seen.text).toContain('1.0 stop brighter, break');
    expect([seen.navigation, seen.board]).toEqual(['none', 'none']);
    const allowed = ['rgb(0, 0, 0)', 'rgb(255, 255, 255)', 'rgba(0, 0, 0, 0)', 'none'];
    expect(seen.colours.filter((colour) => !allowed.includes(colour))).toEqual([]);
    const pdf = await page.pdf({ preferCSSPageSize: true });
    const pages = pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g)?.length ?? 0;
    expect(pages).toBeGreaterThanOrEqual(sheets);
    expect(pages).toBeLessThanOrEqual(sheets + 2);
    await page.emulateMedia({ media: null });
    await print.waitFor({ state: 'detached' });
  });

  it('a break is mended by one touch beside the setup it breaks with, and its mark is gone', async () => {
    await openMatch('group%202');
    for (const camera of ['A', 'B']) {
      await page.locator(`[data-match-column="${BRIGHTER}"]`).click();
      const finding = page
        .getByRole('dialog')
        .locator(`[data-finding="exposure-offset.${BRIGHTER}.${camera}"]`);
      await finding.locator('button.remedy').first().click();
      await finding.waitFor({ state: 'detached' });
      await page.keyboard.press('Escape');
    }
    await page.locator(`[data-mark^="exposure/${BRIGHTER}/"]`).waitFor({ state: 'detached' });
  });

  it('shows who accepted a break, and why, and no longer calls it open', async () => {
    const { page: other } = await openTablet(browser, { base: base.url });
    other.setDefaultTimeout(120_000);
    await joinAs(other, board.invites.director ?? '', 'Ilse Marrowby');
    await goInside(other, board.boardId, 'match/group%2041');
    for (const camera of ['A', 'B']) {
      await other.locator(`[data-match-column="${WARMER}"]`).click();
      const card = other
        .getByRole('dialog')
        .locator(`[data-finding="colour-white-balance.${WARMER}.${camera}"]`);
      await card.getByRole('button', { name: 'Accept it' }).click();
      await other
        .getByRole('dialog')
        .last()
        .locator('textarea, input')
        .first()
        .fill('The lamp is in the shot');
      await other
        .getByRole('dialog')
        .last()
        .getByRole('button', { name: /^Accept/ })
        .click();
      await card.getByText('Ilse Marrowby accepted it').waitFor();
      await other.keyboard.press('Escape');
    }
    await openMatch('group%2041');
    const mark = page.locator(`[data-mark="colour/${WARMER}/A+B"][data-state="accepted"]`);
    await mark.waitFor();
    expect(await mark.getAttribute('aria-label')).toContain(
      'accepted by Ilse Marrowby: The lamp is in the shot',
    );
    expect(await mark.textContent()).toContain('by Ilse');
    await other.context().close();
  });

  it('reports no error of its own', () => {
    expect(errors).toEqual([]);
  });
});
