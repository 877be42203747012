import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { codeOf, codeText } from '@plumbline/shared/kit';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { temporaryFolder } from '../support/base.ts';
import { borrowBrowser, launchBrowser, type TestBrowser } from '../support/browser.ts';
import { type KitTablet, openKit, startKitBase } from './unit.ts';
import { y4m } from './video.ts';

/** One evening with the kit; each step goes on from the one before. */
describe('the kit on tablets', () => {
  let at: Awaited<ReturnType<typeof startKitBase>>;
  let browser: TestBrowser;
  let ada: KitTablet;
  let bo: KitTablet;
  const folder = temporaryFolder('kit');

  beforeAll(async () => {
    at = await startKitBase();
    browser = await borrowBrowser();
    ada = await openKit(browser, at.base, at.board, 'camera', 'Ada Lowell');
    // whose line is cut: what it fetches late is on the device
    bo = await openKit(browser, at.base, at.board, 'sound', 'Bo Winter', { keepsItself: true });
  });

  afterAll(async () => {
    await Promise.all([ada?.close(), bo?.close()]);
    await browser?.close();
    await at?.base.stop();
    folder.remove();
  });

  it('an item is signed out with one touch, and everybody sees who has it', async () => {
    await ada.page.getByRole('button', { name: 'Sign out Camera body' }).click();
    for (const { page } of [ada, bo]) {
      await page.locator('[data-camera-watch="A"][data-state="held"]').waitFor();
    }
    await bo.page.locator('[data-item="camera.body"]', { hasText: 'With Ada Lowell since' }).waitFor();
    await ada.page.locator('[data-item="camera.body"]', { hasText: 'With you since' }).waitFor();
  });

  it('a hand-over is offered on one tablet and taken on the other; until then the holder holds', async () => {
    await ada.go('item.camera.body');
    await ada.page.getByRole('button', { name: 'Offer to…' }).click();
    await ada.page
      .getByRole('dialog')
      .getByRole('button', { name: /Bo Winter/ })
      .click();
    await ada.page.locator('[data-where]', { hasText: 'With you, offered to Bo Winter' }).waitFor();
    await bo.page
      .locator('[data-offered="camera.body"]', { hasText: 'Ada Lowell offers it to you' })
      .waitFor();
    await bo.page
      .locator('[data-item="camera.body"]', { hasText: 'With Ada Lowell, offered to you' })
      .waitFor();
    await bo.page.locator('[data-offered="camera.body"]').getByRole('button').click();
    await ada.page.locator('[data-where]', { hasText: 'With Bo Winter since' }).waitFor();
    await bo.page.locator('[data-offered]').waitFor({ state: 'detached' });
    expect(
      await ada.page
        .locator('[data-what]')
        .evaluateAll((all) => all.map((one) => one.getAttribute('data-what'))),
    ).toEqual(['takeOver', 'handOver', 'signOut']);
  });

  it('what was signed out of reach of each other is shown as two stories, and a person says which is true', async () => {
    bo.line.cut();
    await bo.page.locator('[data-link="waiting"], [data-link="connecting"]').waitFor();
    await bo.page.getByRole('button', { name: 'Put back Camera body' }).click();
    await bo.page.locator('[data-item="camera.body"]', { hasText: 'In Case 1' }).waitFor();
    await ada.page.getByRole('button', { name: 'Take it', exact: true }).click();
    await ada.page.locator('[data-where]', { hasText: 'With you since' }).waitFor();
    bo.line.restore();
    await bo.page.evaluate(() => dispatchEvent(new Event('online')));
    await ada.page.locator('[data-fork="camera.body"]').waitFor({ timeout: 30_000 });
    await bo.page.locator('[data-item="camera.body"][data-mark="break"]').waitFor();
    await bo.page.locator('[data-camera-watch="A"][data-state="disputed"]').waitFor();
    expect(await ada.page.locator('[data-branch]').count()).toBe(2);
    // nothing else is offered before it is settled
    expect(await ada.page.locator('.kit-acts').count()).toBe(0);
    await ada.page
      .locator('[data-branch]', { hasText: 'With you' })
      .getByRole('button', { name: 'This is true' })
      .click();
    await ada.page.locator('[data-fork]').waitFor({ state: 'detached' });
    await bo.page.locator('[data-item="camera.body"]', { hasText: 'With Ada Lowell since' }).waitFor();
    await ada.page.locator('[data-what="settle"]').waitFor();
    expect(await ada.page.locator('[data-what]').count()).toBe(6);
  });

  it('what is left alone is seen on every tablet; taken from the stand, its last holder is told', async () => {
    await ada.page.getByRole('button', { name: 'Set down, left alone…' }).click();
    await ada.page.getByLabel('Where it stands').fill('by the north door');
    await ada.page.getByRole('button', { name: 'Set down, left alone', exact: true }).click();
    await bo.page.locator('[data-camera-watch="A"][data-state="unattended"]').waitFor();
    await bo.go('item.camera.body');
    await bo.page.locator('[data-finding^="custody-unattended"]').waitFor();
    await bo.page.getByRole('button', { name: 'Take it', exact: true }).click();
    await ada.go('items');
    await ada.page.locator('[data-taken="camera.body"]', { hasText: 'Bo Winter took it from you' }).waitFor();
  });

  it('what is damaged is not offered, and its setups say so', async () => {
    await ada.go('item.camera.lens');
    await ada.page.getByRole('button', { name: 'Damaged…' }).click();
    const sheet = ada.page.getByRole('dialog');
    expect(await sheet.getByRole('button', { name: 'Sign it' }).isDisabled()).toBe(true);
    await sheet.getByRole('button', { name: 'Glass: at fault' }).click();
    await sheet.getByLabel('What is wrong').fill('scratch on the front element');
    await sheet.getByRole('button', { name: 'Sign it' }).click();
    await ada.page.locator('.kit-kept', { hasText: 'is faulty: scratch on the front element' }).waitFor();
    expect(await ada.page.getByRole('button', { name: 'Sign out to me' }).count()).toBe(0);
    await ada.page.locator('[data-finding="kit-needed.camera.lens"]').waitFor();
    await bo.go('setup.1B');
    await bo.page.locator('[data-item="camera.lens"][data-mark="fault"]').waitFor();
    expect(await bo.page.locator('[data-item]').count()).toBe(2);
  });

  it('an item is added by its department; a value that cannot be is named and goes nowhere', async () => {
    await ada.go('items');
    await ada.page.getByRole('button', { name: 'Add' }).click();
    const sheet = ada.page.getByRole('dialog');
    await sheet.getByLabel('Item').fill('Spare battery door');
    await sheet.getByLabel('Value').fill('-5');
    await sheet.getByRole('alert').waitFor();
    expect(await sheet.getByRole('button', { name: 'Add it' }).isDisabled()).toBe(true);
    await sheet.getByLabel('Value').fill('5');
    await sheet.getByRole('button', { name: 'Add it' }).click();
    await ada.page.getByRole('heading', { name: 'Spare battery door' }).waitFor();
    await bo.go('items');
    await bo.page.locator('[data-item="camera.Sparebatterydoor"]').waitFor();
  });

  it('search finds by person, serial and code as one types, and says when nothing fits', async () => {
    const search = ada.page.getByRole('searchbox', { name: 'Search the kit' });
    await ada.go('items');
    const found = () =>
      ada.page.locator('[data-item]').evaluateAll((all) => all.map((one) => one.getAttribute('data-item')));
    for (const [query, wanted] of [
      ['winter', ['camera.body']],
      ['bm-9', ['sound.boom']],
      [codeText(codeOf('camera.legs')).toLowerCase(), ['camera.legs']],
      ['case 1', ['camera.body', 'camera.lens']],
      ['zzz', []],
    ] as const) {
      await search.fill(query);
      await ada.page.locator(`[data-shown="${wanted.length}"]`).waitFor();
      expect(await found()).toEqual(wanted);
    }
    await ada.page.getByText('Nothing of the kit fits that.').waitFor();
    await search.fill('');
  });

  it('the count at night says what is out and from whom, and is done when all is counted in', async () => {
    await ada.go('people');
    const count = ada.page.locator('.kit-count');
    await ada.page.locator('.kit-count[data-out="1"][data-back="0"][data-due="1"]').waitFor();
    await ada.page.locator('[data-holder][data-count="1"]', { hasText: 'Bo Winter' }).waitFor();
    await ada.page.getByRole('button', { name: 'Count in Camera body' }).click();
    await ada.page.locator('.kit-count[data-out="0"][data-back="1"]').waitFor();
    await ada.page.getByText('Everything is in its case.').waitFor();
    await count.waitFor();
    // the ledger tells who counted it in and from whom
    await ada.go('item.camera.body');
    await ada.page.locator('[data-what="return"]', { hasText: 'You put it back' }).first().waitFor();
    await ada.page
      .locator('[data-what="takeOver"]', { hasText: 'You took it from Bo Winter' })
      .first()
      .waitFor();
  });

  it('a printed label is read by the tablet’s camera, and opens its item', async () => {
    await ada.go('labels');
    const code = codeOf('camera.legs');
    await ada.page.emulateMedia({ media: 'print' });
    const label = ada.page.locator(`[data-label="${code}"]`);
    const picture = (await label.screenshot()).toString('base64');
    await ada.page.emulateMedia({ media: 'screen' });
    const film = join(folder.path, 'label.y4m');
    writeFileSync(film, await y4m(ada.page, picture, { width: 640, height: 480 }));
    const watching = await launchBrowser(
      '--use-fake-ui-for-media-stream',
      '--use-fake-device-for-media-stream',
      `--use-file-for-fake-video-capture=${film}`,
    );
    try {
      const cy = await openKit(watching, at.base, at.board, 'camera', 'Cy Harrow');
      await cy.page.getByRole('button', { name: 'Scan' }).click();
      await cy.page.locator('[data-item-page="camera.legs"]').waitFor({ timeout: 50_000 });
      expect(cy.errors).toEqual([]);
      await cy.close();
    } finally {
      await watching.close();
    }
  });

  it('where there is no camera the short code is typed; a wrong one is named', async () => {
    await bo.go('items');
    await bo.page.getByRole('button', { name: 'Scan' }).click();
    const sheet = bo.page.getByRole('dialog');
    await sheet.getByText('Type the code instead.').waitFor();
    const entry = sheet.getByLabel('The code on the label');
    await entry.fill('K7O');
    await sheet.getByText('A code has no O in it.').waitFor();
    await entry.fill(codeText(codeOf('camera.nothing')));
    await sheet.getByRole('button', { name: 'Find it' }).click();
    await sheet.getByText(/No item of this kit has the code/).waitFor();
    await entry.fill(codeText(codeOf('sound.boom')).toLowerCase());
    await sheet.getByRole('button', { name: 'Find it' }).click();
    await bo.page.locator('[data-item-page="sound.boom"]').waitFor();
  });

  it('the producer reads everything and signs nothing', async () => {
    const rafiq = await openKit(browser, at.base, at.board, 'producer', 'Rafiq Thorne');
    await rafiq.page.locator('[data-item="camera.body"]').waitFor();
    expect(await rafiq.page.getByRole('button', { name: /Sign out|Put back|Add/ }).count()).toBe(0);
    await rafiq.go('item.camera.body');
    await rafiq.page.locator('[data-event]').first().waitFor();
    expect(await rafiq.page.locator('.kit-acts').count()).toBe(0);
    expect(rafiq.errors).toEqual([]);
    await rafiq.close();
  });

  it('and no page complained', () => {
    // the last is how the browser says that a worker's script was asked for while the line was cut
    const lost = /ERR_|WebSocket|Failed to load resource|fetching the script/;
    expect([...ada.errors, ...bo.errors].filter((error) => !lost.test(error))).toEqual([]);
  });
});
