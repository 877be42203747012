import type { Locator, Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { call, joinAs as joinByCall, viewOf } from '../support/base.ts';
import { joinAs, openTablet, SIZES } from '../support/browser.ts';
import { openNarrow } from './narrow.ts';
import { goTo, NAMES, onAStage, type Role, shootATake } from './stage.ts';

/** What a tablet gets at the edge of a location's wireless, and how long there and back. */
const LOCATION = { bitsPerSecond: 1_500_000, delayMs: 100 };

const on = onAStage((stage) => shootATake(stage, '1A', 1));

async function sitFar(role: Role, home: string) {
  const line = await openNarrow(on.stage.base.url, LOCATION);
  const { context, page, errors } = await openTablet(on.browser, { base: line.url, fetchesAhead: true });
  await joinAs(page, on.stage.board.invites[role] ?? '', NAMES[role]);
  await page.locator('[data-judged="true"]').waitFor();
  await goTo(page, on.stage, home);
  await page.locator('[data-link="live"][data-stored="all"]').waitFor();
  // what a page fetches once it stands: a file on its way is another matter than a touch
  await settled(page);
  const end = async (): Promise<void> => {
    await context.close();
    line.close();
  };
  return { line, page, errors, end };
}

const historySchema = z.object({ entries: z.array(z.object({ seq: z.number(), value: z.unknown() })) });

/** The values that a cell has had, in the order that they were stored. */
async function history(address: string): Promise<unknown[]> {
  const [table = '', record = '', field = ''] = address.split('/');
  const { session } = await joinByCall(on.stage.base, on.stage.board, 'director', 'Who looks');
  const query = new URLSearchParams({ table, record, field, limit: '500' });
  const { body } = await call(
    on.stage.base,
    'GET',
    `/api/boards/${on.stage.board.boardId}/history?${query}`,
    {
      token: session,
    },
  );
  const { entries } = historySchema.parse(body);
  return entries.sort((a, b) => a.seq - b.seq).map(({ value }) => value);
}

const chip = (page: Page): Locator => page.locator('.shell-bar output[data-link]');

/** What the bar says, and the shape beside it. */
async function said(page: Page): Promise<{ words: string; sign: string | null; isSeen: boolean }> {
  const words = chip(page).locator('.wide-only');
  return {
    words: (await words.textContent()) ?? '',
    sign: await chip(page).locator('[data-mark]').getAttribute('data-mark'),
    isSeen: await words.isVisible(),
  };
}

/** Errors on the page that are not the browser's word that it cannot connect. */
const faults = (errors: readonly string[]): string[] =>
  errors.filter((error) => !/ERR_|WebSocket|Failed to load resource/.test(error));

/** Where things stand that a thumb is on or near. */
const places = (page: Page): Promise<string> =>
  page.evaluate(() =>
    [...document.querySelectorAll('main button, main h1, main h2, nav a')]
      .map((element) => {
        const { x, y, width, height } = element.getBoundingClientRect();
        const words = element.textContent?.trim().slice(0, 40) ?? '';
        return `${[x, y, width, height].map(Math.round).join(' ')} ${words}`;
      })
      .join('\n'),
  );

/** Where they stand once the page has worked out what follows from a touch: the same for a second. */
async function settled(page: Page): Promise<string> {
  let before = await places(page);
  for (let same = 0; same < 4; ) {
    await page.waitForTimeout(250);
    const now = await places(page);
    same = now === before ? same + 1 : 0;
    before = now;
  }
  return before;
}

const ACTS = [
  {
    role: 'director',
    home: 'day',
    address: 'takes/1A.1/verdict',
    touch: '[data-of="verdict"] [data-word="good"]',
    other: '[data-of="verdict"] [data-word="no"]',
    lost: 'answers',
    values: ['good', 'no'],
  },
  {
    role: 'camera',
    home: 'setup',
    address: 'picture/1A.A/aperture',
    touch: '[data-field="picture/1A.A/aperture"] button.step >> nth=-1',
    other: '[data-field="picture/1A.A/aperture"] button.step >> nth=-1',
    lost: 'both ways',
    // a third of a stop each, as the ring is marked
    values: [4, 4.5, 5],
  },
  {
    role: 'sound',
    home: 'sound',
    address: 'takes/1A.1/soundState',
    touch: '[data-last-take="1A.1"] [data-word="bad"]',
    other: '[data-last-take="1A.1"] [data-word="good"]',
    lost: 'answers',
    values: ['bad', 'good'],
  },
] as const;

it.each(ACTS)(
  'the $role’s touch on a line cut before its answer is said to be kept here, and stored once ($lost lost)',
  async ({ role, home, address, touch, other, lost, values }) => {
    const { line, page, errors, end } = await sitFar(role, home);
    const before = await history(address);
    line.lose(lost);
    await page.locator(touch).first().tap();
    // it shows at once, and that it is not stored before the link is known to be gone
    await page.locator('[data-link="live"][data-stored="waiting"]').waitFor();
    await expect.poll(() => said(page)).toEqual({ words: 'Stored 0 of 1', sign: 'work', isSeen: true });
    if (lost === 'answers') await expect.poll(() => history(address)).toHaveLength(before.length + 1);
    else expect(await history(address)).toEqual(before);
    const stood = await settled(page);

    line.cut();
    await page.locator('[data-link="waiting"][data-waiting="1"]').waitFor();
    const { words, ...shown } = await said(page);
    expect(words).toMatch(/^Offline since \d\d:\d\d · 1 kept here$/);
    expect(shown).toEqual({ sign: 'advice', isSeen: true });
    expect(await places(page)).toBe(stood);
    expect(await page.getByRole('alert').count()).toBe(0);

    await page.locator(other).first().tap();
    await page.locator('[data-waiting="2"]').waitFor();
    expect((await said(page)).words).toMatch(/^Offline since \d\d:\d\d · 2 kept here$/);

    // on a phone the words stand where the name does, whole, and the bar is no higher for it
    const bar = (): Promise<number> =>
      page.locator('.shell-bar').evaluate((element) => element.getBoundingClientRect().height);
    const wide = await bar();
    await page.setViewportSize(SIZES.phone);
    const small = page.locator('.shell-title .narrow-only');
    expect(await small.textContent()).toMatch(/ · 2 kept here$/);
    expect(await small.isVisible()).toBe(true);
    // a line may be a fraction of a px higher than its box
    const cutOff = await small.evaluate(({ scrollWidth, clientWidth, scrollHeight, clientHeight }) =>
      Math.max(scrollWidth - clientWidth, scrollHeight - clientHeight),
    );
    expect(cutOff).toBeLessThanOrEqual(1);
    expect(await bar()).toBeLessThanOrEqual(wide);
    await page.setViewportSize(SIZES.landscape);

    line.mend();
    await page.locator('[data-link="live"][data-stored="all"]').waitFor();
    await expect.poll(() => said(page)).toEqual({ words: 'All stored', sign: 'good', isSeen: true });
    expect(await history(address)).toEqual(values);
    const { session } = await joinByCall(on.stage.base, on.stage.board, 'director', 'Who looks');
    const member = { session, boardId: on.stage.board.boardId, personId: '', role: 'director', expiresAt: 0 };
    const [table = '', record = '', field = ''] = address.split('/');
    expect((await viewOf(on.stage.base, member))[table]?.[record]?.[field]).toBe(values.at(-1));
    expect(await page.locator('[data-notices]').count()).toBe(0);
    expect(faults(errors)).toEqual([]);
    await end();
  },
);

it('the producer goes on reading while the line is cut, sees since when, and catches up', async () => {
  const { line, page, errors, end } = await sitFar('producer', 'progress');
  const takes = page.locator('[data-figure="takes"]');
  const count = Number(await takes.getAttribute('data-value'));
  const read = (): Promise<string[]> =>
    page.locator('[aria-label="Figures"], [aria-label="Open"], [aria-label="Setups"]').allTextContents();
  const stood = await settled(page);
  const text = await read();
  expect(text).toHaveLength(3);
  line.cut();
  await page.locator('[data-link="waiting"]').waitFor();
  const { words, ...shown } = await said(page);
  expect(words).toMatch(/^Offline since \d\d:\d\d$/);
  expect(shown).toEqual({ sign: 'advice', isSeen: true });
  await shootATake(on.stage, '1A', 2);
  expect(await read()).toEqual(text);
  expect(await places(page)).toBe(stood);
  line.mend();
  await page.locator('[data-link="live"]').waitFor();
  await expect.poll(async () => Number(await takes.getAttribute('data-value'))).toBe(count + 1);
  await expect.poll(() => said(page)).toEqual({ words: 'All stored', sign: 'good', isSeen: true });
  expect(faults(errors)).toEqual([]);
  await end();
});
