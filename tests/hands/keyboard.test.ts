import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { openTablet } from '../support/browser.ts';
import { Keys } from './keys.ts';
import { NAMES, onAStage, type Role, stored } from './stage.ts';

const on = onAStage();
const keys = {} as Record<Role, Keys>;

/** Joins by the keyboard alone. */
async function joinByKeys(role: Role): Promise<Keys> {
  const { page } = await openTablet(on.browser, { base: on.stage.base.url });
  // whoever points is found out
  await page.addInitScript(() => {
    addEventListener('pointerdown', (event) => event.isTrusted && console.error('a pointer was used'), true);
  });
  page.on('console', (message) => {
    if (message.text() === 'a pointer was used') throw new Error(message.text());
  });
  await page.goto(`/join#${on.stage.board.invites[role] ?? ''}`);
  const own = new Keys(page);
  await own.to('#name');
  await page.keyboard.type(NAMES[role]);
  await page.keyboard.press('Enter');
  await page.locator('[data-link="live"]').waitFor();
  await page.locator('[data-judged="true"]').waitFor();
  keys[role] = own;
  return own;
}

const at = (page: Page, selector: string): Promise<void> => page.locator(selector).first().waitFor();

/** One day, each step going on from the one before, as four people have it who have nothing but keys. */
describe('a day without a pointer', () => {
  it.each(['director', 'camera', 'sound', 'producer'] as const)('%s joins', async (role) => {
    await joinByKeys(role);
  });

  it('director: starts a setup, and the keyboard stays where it was', async () => {
    const { director } = keys;
    await director.press('[aria-label="Start 1A"]');
    await expect.poll(() => stored(director.page, on.stage, 'setups/1A/state')).toBe('inWork');
    await director.kept('a setup was started');
  });

  it('camera: sets a value, the sheet closes, and the keyboard is back on the field', async () => {
    const { camera } = keys;
    await at(camera.page, 'main [data-setup="1A"]');
    await camera.press('[data-field="picture/1A.A/iso"] .field-value');
    await camera.on('dialog .entry', 'the sheet opened');
    await camera.page.keyboard.type('640');
    await camera.page.keyboard.press('Enter');
    await expect.poll(() => stored(camera.page, on.stage, 'picture/1A.A/iso')).toBe(640);
    await camera.on('[data-field="picture/1A.A/iso"] .field-value', 'the sheet closed');
    await camera.page.keyboard.press('Enter');
    await at(camera.page, 'dialog .entry');
    await camera.page.keyboard.press('Escape');
    await camera.on('[data-field="picture/1A.A/iso"] .field-value', 'Escape');
  });

  it('camera: rolls and cuts on one key, whatever the button is called meanwhile', async () => {
    const { camera } = keys;
    await camera.press('[data-roll]');
    const reason = camera.page.locator('dialog .options button').first();
    await camera.page.locator('[data-cut]').or(reason).first().waitFor();
    if (await reason.isVisible()) await camera.press('dialog .options button');
    await at(camera.page, '[data-cut="1A.1"]');
    await camera.on('[data-cut="1A.1"]', 'a take was rolled');
    // a key that stays down is one press
    await camera.page.keyboard.down('Enter');
    await camera.page.keyboard.down('Enter');
    await camera.page.keyboard.down('Enter');
    await camera.page.keyboard.up('Enter');
    await expect.poll(() => stored(camera.page, on.stage, 'takes/1A.1/cutAt')).toBeGreaterThan(1e12);
    await camera.on('[data-roll="1A.2"]', 'a take was cut');
    expect(await stored(camera.page, on.stage, 'takes/1A.2/rolledAt')).toBeUndefined();
  });

  it('sound: says how it sounded, flags a channel, mends it', async () => {
    const { sound } = keys;
    await sound.press('[data-last-take="1A.1"] [data-word="usable"]', ' ');
    await expect.poll(() => stored(sound.page, on.stage, 'takes/1A.1/soundState')).toBe('usable');
    await sound.kept('a take was flagged');
    await sound.press('[aria-label="Flag channel 1"]');
    await sound.press('dialog .options button');
    await expect.poll(() => stored(sound.page, on.stage, 'inputs/1A.R1.1/state')).toBe('flagged');
    await sound.on('.channel-flag', 'a channel was flagged');
    await sound.page.keyboard.press('Enter');
    await expect.poll(() => stored(sound.page, on.stage, 'inputs/1A.R1.1/state')).toBe('open');
    await sound.press('[data-room-tone]');
    await expect.poll(() => stored(sound.page, on.stage, 'places/loft/roomToneAt')).toBeGreaterThan(1e12);
    await sound.kept('the room tone was noted, and its button went');
  });

  it('director: judges the take, accepts a break that then leaves the list', async () => {
    const { director } = keys;
    await director.press('[data-of="verdict"] [data-word="good"]', ' ');
    await expect.poll(() => stored(director.page, on.stage, 'takes/1A.1/verdict')).toBe('good');
    await director.kept('a take was judged');
    const id =
      (await director.page
        .locator('[aria-label="In the way"] [data-severity="break"]')
        .first()
        .getAttribute('data-finding')) ?? '';
    await director.press(`[data-finding="${id}"] [data-accept]`);
    await director.press('dialog .options button');
    await director.page.locator(`[data-finding="${id}"]`).waitFor({ state: 'detached' });
    await director.kept('a break was accepted and left the list');
    expect(await stored(director.page, on.stage, `accepted/${id}/reason`)).toBeDefined();
  });

  it('director: moves setups in the order, and the keyboard goes along with the one that moves', async () => {
    const { director } = keys;
    await director.press('.day-head .act.outline');
    await director.press('dialog details summary');
    await director.press('[aria-label="1C earlier"]');
    await expect
      .poll(() =>
        director.page
          .locator('[data-order]')
          .evaluateAll((rows) => rows.map((row) => row.getAttribute('data-order'))),
      )
      .toEqual(['1A', '1C', '1B']);
    await director.on('[aria-label="1C earlier"]', 'a setup moved');
    await director.page.keyboard.press('Enter');
    await expect
      .poll(() =>
        director.page
          .locator('[data-order]')
          .evaluateAll((rows) => rows.map((row) => row.getAttribute('data-order'))),
      )
      .toEqual(['1C', '1A', '1B']);
    // it can go no further
    await director.kept('a setup came to the top');
    await director.page.keyboard.press('Escape');
    await director.on('.day-head .act.outline', 'the sheet closed');
  });

  it('director: raises a flag from a setup; camera answers it', async () => {
    const { director, camera } = keys;
    await director.find('1A', 'setup/1A');
    await director.press('[aria-label="Flags"] .act');
    await director.to('dialog input.entry');
    await director.page.keyboard.type('A stand is in the picture');
    await director.page.keyboard.press('Enter');
    await director.kept('a flag was raised');
    await at(camera.page, '.flag');
    await camera.press('.flag .act');
    await camera.press('dialog .options button');
    await at(camera.page, '.flag[data-answered="true"]');
    await camera.kept('a flag was answered and its button went');
  });

  it('camera: hands a card over: out, copied twice, cleared', async () => {
    const { camera } = keys;
    await camera.find('C1', 'card/C1');
    await camera.press('[data-act="takeOutFull"]');
    await expect.poll(() => stored(camera.page, on.stage, 'cards/C1/state')).toBe('full');
    await camera.kept('a card was taken out');
    for (const where of ['Disk one', 'Disk two']) {
      await camera.press('[data-act="copy"]');
      await camera.to('dialog input.entry');
      await camera.page.keyboard.type(where);
      // compared by a checksum
      await camera.press('dialog fieldset:last-of-type .options button:nth-of-type(2)', ' ');
      await camera.press('dialog button[type="submit"]');
      await camera.page.getByRole('dialog').waitFor({ state: 'detached' });
      await camera.kept('a copy was recorded');
    }
    await camera.press('[data-act="clear"]');
    await expect.poll(() => stored(camera.page, on.stage, 'cards/C1/state')).toBe('cleared');
    await camera.kept('a card was cleared');
  });

  it('sound: signs an item out and puts it back', async () => {
    const { sound } = keys;
    await sound.find('Boom pole', 'item/sound.boom');
    await sound.press('.kit-acts .act.primary');
    await sound.page.locator('.kit-acts .act.primary', { hasText: 'Put back' }).waitFor();
    await sound.kept('an item was signed out');
    await sound.press('.kit-acts .act.primary');
    await sound.page.locator('.kit-acts .act.primary', { hasText: 'Sign out to me' }).waitFor();
    await sound.kept('an item was put back');
  });

  it('producer: reads, follows a setup, comes back', async () => {
    const { producer } = keys;
    await producer.press('.progress-row[data-setup="1A"]');
    await at(producer.page, 'main [data-setup="1A"]');
    await producer.kept('another screen opened');
    // the browser's own key for it is not the page's
    await producer.page.goBack();
    await at(producer.page, '.progress-row');
    await producer.kept('the way back');
  });

  it('director: completes the setup; the checks of wrap are ticked', async () => {
    const { director } = keys;
    await director.to('nav[aria-label="Screens"] a[href$="/day"]');
    await director.page.keyboard.press('Enter');
    await director.press('.now .act.primary');
    await expect.poll(() => stored(director.page, on.stage, 'setups/1A/state')).toBe('complete');
    await director.kept('a setup was completed, and its card went');
    await director.to('nav[aria-label="Screens"] a[href$="/kit"]');
    await director.page.keyboard.press('Enter');
    await director.press('main a[href$="/kit/checks"]');
    await director.press('.checks-choose button:last-child', ' ');
    await director.press('button.checks-tick', ' ');
    await director.page.locator('[data-ticked="true"]').first().waitFor();
    await director.kept('a line was ticked');
  });
});
