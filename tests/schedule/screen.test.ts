import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startKitBase } from '../kit/unit.ts';
import { joinAs as joinByCall, type Member, viewOf } from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';

/** Days ahead of the clock, so that nothing of them is over. */
const dayAhead = (days: number): string =>
  new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10);
const FIRST = dayAhead(2);
const SECOND = dayAhead(3);

/** Four hours planned in a day of three: one setup must be had, one is wanted, two are for when there is time. */
const PLAN = [
  { name: 'shoot.csv', text: 'Setting,Value\r\nTitle,The rope walk\r\nTime zone,Europe/Lisbon\r\n' },
  { name: 'days.csv', text: `Date,Call,Planned wrap\r\n${FIRST},08:00,11:00\r\n` },
  {
    name: 'setups.csv',
    text: [
      'Setup,Description,Day,Shooting order,Planned (min),Priority',
      `1A,Wide,${FIRST},10,60,Must have`,
      `1B,Close,${FIRST},20,60,Wanted`,
      `1C,Hands,${FIRST},30,60,If there is time`,
      `1D,Rope,${FIRST},40,60,If there is time`,
    ].join('\r\n'),
  },
];

/** A day of the schedule on tablets; each step goes on from the one before. */
describe('the schedule on tablets', () => {
  let at: Awaited<ReturnType<typeof startKitBase>>;
  let browser: TestBrowser;
  let reader: Member;
  let ida: LentTablet;

  const tablets = tabletsOf(() => ({ browser, base: at.base.url, ...at.board }));
  const setups = async () => (await viewOf(at.base, reader)).setups ?? {};

  beforeAll(async () => {
    at = await startKitBase(PLAN);
    reader = await joinByCall(at.base, at.board, 'producer', 'Who reads');
    browser = await borrowBrowser();
    ida = await tablets.at('director', 'day', { name: 'Ida Morrow' });
  });

  afterAll(async () => {
    await browser?.close();
    await at?.base.stop();
  });

  it('the order of a day is changed a place at a time', async () => {
    await ida.page.getByRole('button', { name: 'Hours and order' }).click();
    const sheet = ida.page.getByRole('dialog');
    await sheet.getByText('Shooting order', { exact: true }).last().click();
    const order = () =>
      sheet.locator('[data-order]').evaluateAll((all) => all.map((one) => one.getAttribute('data-order')));
    expect(await order()).toEqual(['1A', '1B', '1C', '1D']);
    expect(await sheet.getByRole('button', { name: '1A earlier' }).isDisabled()).toBe(true);
    await sheet.getByRole('button', { name: '1C earlier' }).click();
    await expect.poll(order).toEqual(['1A', '1C', '1B', '1D']);
    await expect
      .poll(async () => {
        const view = await setups();
        return [view['1C']?.shootingOrder, view['1B']?.shootingOrder];
      })
      .toEqual([20, 30]);
    await sheet.getByRole('button', { name: '1C later' }).click();
    await expect.poll(order).toEqual(['1A', '1B', '1C', '1D']);
  });

  it('a day is added with the hours of the one before it, and what is left is moved there in its order', async () => {
    const sheet = ida.page.getByRole('dialog');
    await sheet.getByLabel('Another day of the shoot').fill(SECOND);
    await sheet.getByRole('button', { name: 'Add the day' }).click();
    await expect
      .poll(async () => (await viewOf(at.base, reader)).days?.[SECOND])
      .toMatchObject({ call: '08:00', wrap: '11:00' });
    await ida.go('day');
    await ida.page.getByRole('button', { name: 'Hours and order' }).click();
    await sheet.getByText('4 setups of this day left. Move to').waitFor();
    await sheet.locator('.wrap button').click();
    await expect
      .poll(async () => Object.values(await setups()).map(({ day }) => day))
      .toEqual([SECOND, SECOND, SECOND, SECOND]);
    const view = await setups();
    const places = ['1A', '1B', '1C', '1D'].map((id) => Number(view[id]?.shootingOrder));
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(new Set(places).size).toBe(4);
  });

  it('and is taken back with one undo', async () => {
    await ida.page.keyboard.press('Escape');
    await ida.page.getByRole('button', { name: /^Undo: 4 setups moved/ }).click();
    await expect
      .poll(async () => Object.values(await setups()).map(({ day }) => day))
      .toEqual([FIRST, FIRST, FIRST, FIRST]);
  });

  it('Progress says when the day will end and what to leave; the director drops it and undo brings it back', async () => {
    await ida.go('progress');
    const wrap = ida.page.locator('[data-figure="wrap"][data-early]');
    await wrap.waitFor();
    const middle = async () => Number(await wrap.getAttribute('data-middle'));
    const [early, late] = await Promise.all(
      ['data-early', 'data-late'].map(async (name) => Number(await wrap.getAttribute(name))),
    );
    const full = await middle();
    expect(early).toBeLessThan(full);
    expect(late).toBeGreaterThan(full);
    expect(await ida.page.locator('[aria-label="In time"]').textContent()).toContain('to wrap by 11:00');
    const drop = ida.page.locator('[data-drop]').first();
    // what must be had is never offered, and what was marked as spare comes first
    expect(await drop.getAttribute('data-drop')).toMatch(/^1C 1D$|^1[CD]$/);
    for (const one of await ida.page.locator('[data-drop]').all()) {
      expect(await one.getAttribute('data-drop')).not.toContain('1A');
    }
    await drop.getByRole('button').click();
    await expect.poll(middle).toBeLessThan(full - 30 * 60_000);
    await expect.poll(async () => (await setups())['1C']?.state).toBe('dropped');
    await ida.page.getByRole('button', { name: /^Undo: .*dropped/ }).click();
    await expect.poll(middle).toBe(full);
    await expect.poll(async () => (await setups())['1C']?.state ?? 'planned').toBe('planned');
  });

  it('the producer reads the same on a phone, without a button to change it', async () => {
    const rafiq = await tablets.at('producer', 'progress', { name: 'Rafiq Thorne', size: 'phone' });
    await rafiq.page.locator('[data-figure="wrap"][data-early]').waitFor();
    await rafiq.page.locator('[data-drop]').first().waitFor();
    expect(await rafiq.page.locator('[data-drop] button').count()).toBe(0);
    const { scrolls, wide } = await rafiq.page.evaluate(() => ({
      scrolls: document.documentElement.scrollWidth,
      wide: innerWidth,
    }));
    expect(scrolls).toBeLessThanOrEqual(wide);
    await rafiq.go('day');
    await rafiq.page.getByRole('button', { name: 'Hours', exact: true }).click();
    const sheet = rafiq.page.getByRole('dialog');
    await sheet.getByText('08:00').waitFor();
    expect(await sheet.getByRole('button', { name: /earlier|later|Add the day/ }).count()).toBe(0);
    expect([...rafiq.errors, ...ida.errors]).toEqual([]);
  });
});
