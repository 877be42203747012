import type { Locator, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { tell } from '../soak/size.ts';
import { SIZES } from '../support/browser.ts';
import { goTo, onAStage, type Role, shootATake, sitDown, stored } from './stage.ts';

/** Most touches that an act which is done all day may take, from the screen that its role lives on. */
const MOST = 2;

const on = onAStage((stage) => shootATake(stage, '1A', 1));
const pages = new Map<Role, Page>();

/** A role's tablet on its own screen; the fingers on it are counted by the page itself. */
async function at(role: Role, size: keyof typeof SIZES, home: string): Promise<Page> {
  let page = pages.get(role);
  if (!page) {
    ({ page } = await sitDown(on.browser, on.stage, role));
    await page.evaluate(() => {
      window.fingers = 0;
      addEventListener('pointerdown', (event) => event.isTrusted && window.fingers++, { capture: true });
      addEventListener('keydown', (event) => event.isTrusted && window.fingers++, { capture: true });
    });
    pages.set(role, page);
  }
  await page.setViewportSize(SIZES[size]);
  await goTo(page, on.stage, home);
  await page.evaluate(() => {
    window.fingers = 0;
  });
  return page;
}

declare global {
  interface Window {
    /** Fingers and keys that came down on the page since it was last asked. */
    fingers: number;
  }
}

/** What was done with so many touches, for the table. */
const done: string[] = [];

async function touched(what: string, page: Page): Promise<void> {
  const count = await page.evaluate(() => window.fingers);
  done.push(`${what}: ${count}`);
  tell(done.at(-1) ?? '');
  expect(count, what).toBeGreaterThan(0);
  expect(count, what).toBeLessThanOrEqual(MOST);
}

const tap = (locator: Locator): Promise<void> => locator.first().tap();

describe.each(['landscape', 'phone'] as const)('one or two touches, %s', (size) => {
  it('director: a take is judged, good or no good', async () => {
    const page = await at('director', size, 'day');
    for (const word of ['good', 'no'] as const) {
      await page.evaluate(() => {
        window.fingers = 0;
      });
      await tap(page.locator(`[data-of="verdict"] [data-word="${word}"]`));
      await expect.poll(() => stored(page, on.stage, 'takes/1A.1/verdict')).toBe(word);
      await touched(`director, take judged ${word}, ${size}`, page);
    }
  });

  it('director: a break is sent back to its department', async () => {
    const page = await at('director', size, 'day');
    const breaking = page.locator('[aria-label="In the way"] [data-severity="break"]');
    await tap(breaking.locator('[data-ask-for]'));
    await breaking.locator('[data-ask-state="open"]').first().waitFor();
    await touched(`director, break sent back, ${size}`, page);
    await tap(breaking.locator('[data-withdraw-ask]'));
    await breaking.locator('[data-ask-for]').first().waitFor();
  });

  it('director: a break is accepted with its reason', async () => {
    const page = await at('director', size, 'day');
    const breaking = page.locator('[aria-label="In the way"] [data-severity="break"]').first();
    const id = (await breaking.getAttribute('data-finding')) ?? '';
    await tap(breaking.locator('[data-accept]'));
    await tap(page.getByRole('dialog').getByRole('button', { name: 'Will be graded' }));
    await page.locator(`[aria-label="In the way"] [data-finding="${id}"]`).waitFor({ state: 'detached' });
    await touched(`director, break accepted, ${size}`, page);
    await page.locator('[data-undo]').tap();
    await page.locator(`[aria-label="In the way"] [data-finding="${id}"]`).waitFor();
  });

  it('director: a setup is marked complete', async () => {
    const page = await at('director', size, 'day');
    await tap(page.getByRole('button', { name: /^Mark 1A complete/ }));
    await expect.poll(() => stored(page, on.stage, 'setups/1A/state')).toBe('complete');
    await touched(`director, setup complete, ${size}`, page);
    await on.stage.write('director', [['setups/1A/state', 'inWork']]);
  });

  it.each([
    ['aperture', 'picture/1A.A/aperture'],
    ['shutter', 'picture/1A.A/shutter'],
    ['ISO', 'picture/1A.A/iso'],
  ])('camera: %s is stepped', async (what, address) => {
    const page = await at('camera', size, 'setup');
    const before = JSON.stringify(await stored(page, on.stage, address));
    await tap(page.locator(`[data-field="${address}"] button.step`).last());
    await expect.poll(async () => JSON.stringify(await stored(page, on.stage, address))).not.toBe(before);
    await touched(`camera, ${what} stepped, ${size}`, page);
    await page.locator('[data-undo]').tap();
    await expect.poll(async () => JSON.stringify(await stored(page, on.stage, address))).toBe(before);
  });

  it('camera: the settings of the reference are taken over', async () => {
    await on.stage.write('director', [
      ['setups/1A/state', 'complete'],
      ['setups/1B/state', 'inWork'],
    ]);
    const page = await at('camera', size, 'setup');
    await page.locator('main [data-setup="1B"]').waitFor();
    await tap(page.locator('[data-copy="1A.A"]'));
    await expect.poll(() => stored(page, on.stage, 'picture/1B.A/aperture')).toBe(4);
    await touched(`camera, copied from the reference, ${size}`, page);
    await page.locator('[data-undo]').tap();
    await expect.poll(() => stored(page, on.stage, 'picture/1B.A/aperture')).toBe(2.8);
    await on.stage.write('director', [
      ['setups/1B/state', 'planned'],
      ['setups/1A/state', 'inWork'],
    ]);
  });

  it('sound: a take’s sound is flagged, in one touch', async () => {
    const page = await at('sound', size, 'sound');
    await tap(page.locator('[data-last-take="1A.1"] [data-word="bad"]'));
    await expect.poll(() => stored(page, on.stage, 'takes/1A.1/soundState')).toBe('bad');
    expect(await page.evaluate(() => window.fingers)).toBe(1);
    await touched(`sound, take flagged, ${size}`, page);
    await page.locator('[data-undo]').tap();
    await expect.poll(() => stored(page, on.stage, 'takes/1A.1/soundState')).toBeUndefined();
  });

  it('sound: a channel is flagged with what is wrong', async () => {
    const page = await at('sound', size, 'sound');
    await tap(page.getByRole('button', { name: 'Flag channel 1' }));
    await tap(page.getByRole('dialog').getByRole('button', { name: 'Hum' }));
    await expect.poll(() => stored(page, on.stage, 'inputs/1A.R1.1/fault')).toBe('Hum');
    await touched(`sound, channel flagged, ${size}`, page);
    await tap(page.getByRole('button', { name: 'Channel 1: mended' }));
  });

  it('sound: the room tone of the place is noted', async () => {
    const page = await at('sound', size, 'sound');
    await tap(page.locator('[data-room-tone="loft"]'));
    await expect.poll(() => stored(page, on.stage, 'places/loft/roomToneAt')).toBeGreaterThan(1e12);
    await touched(`sound, room tone noted, ${size}`, page);
    await page.locator('[data-undo]').tap();
    await expect.poll(() => stored(page, on.stage, 'places/loft/roomToneAt')).toBeUndefined();
  });

  it('producer: on time, good, and anything wrong stand on the screen that opens, untouched', async () => {
    const page = await at('producer', size, 'progress');
    for (const answer of [
      '[data-figure="wrap"]',
      '[data-figure="good-takes"]',
      '[aria-label="Open"] [data-department="camera"]',
    ]) {
      await page.locator(answer).waitFor();
      const box = await page.locator(answer).boundingBox();
      expect(box, answer).not.toBeNull();
      if (!box) continue;
      expect(box.y, answer).toBeGreaterThanOrEqual(0);
      const tabs = size === 'phone' ? 64 : 0;
      expect(box.y + box.height, `${answer} ends in view`).toBeLessThanOrEqual(SIZES[size].height - tabs);
    }
    expect(await page.evaluate(() => window.fingers)).toBe(0);
  });
});
