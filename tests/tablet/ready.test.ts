import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { allStored, boardAsSeenBy, enter, field, goTo, join, type Tablet } from '../day/unit.ts';
import { openStation, type Station } from '../offline/station.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';

const check = (page: Page, record: string) => page.locator(`[data-check="${record}"]`);

/** Two setups of one group, the second a stop too bright, as camera and producer have them. */
describe('before a take', () => {
  let station: Station;
  let browser: TestBrowser;
  let camera: Tablet;
  let producer: Tablet;

  beforeAll(async () => {
    station = await openStation();
    browser = await borrowBrowser();
    camera = await join(browser, station.base, station.board, 'camera', 'Teodor Vance', false);
    producer = await join(browser, station.base, station.board, 'producer', 'Rafiq Thorne', false);
    await goTo(camera, station.board, 'setup/1A');
    for (const [name, value] of [
      ['frameRate', '25'],
      ['shutter', '180°'],
      ['aperture', 'f/4'],
      ['iso', '800'],
      ['ndDensity', '0.6'],
      ['keyLux', '1000'],
    ] as const) {
      await enter(camera.page, `picture/1A.A/${name}`, value);
    }
    await allStored(camera);
  });

  afterAll(async () => {
    await browser?.close();
    await Promise.all([camera, producer].map((tablet) => tablet?.line.close()));
    await station?.close();
  });

  const roll = (take: string) => camera.page.locator(`[data-roll="${take}"]`);
  const cut = (take: string) => camera.page.locator(`[data-cut="${take}"]`);

  it('one touch rolls where nothing stands against it', async () => {
    await camera.page.locator('[data-roll="1A.1"][data-against="0"]').click();
    await cut('1A.1').waitFor();
    expect(await camera.page.getByRole('dialog').count()).toBe(0);
    await cut('1A.1').click();
    await roll('1A.2').waitFor();
    await allStored(camera);
    expect((await boardAsSeenBy(producer, station.board)).takes?.['1A.1']?.rolledAnyway).toBeUndefined();
  });

  it('a second touch says why where something does, and the take keeps the reason', async () => {
    await goTo(camera, station.board, 'setup/1B');
    await camera.page.locator('[data-copy="1A.A"]').click();
    await enter(camera.page, 'picture/1B.A/keyLux', '1000');
    // one stop: f/4 to f/2.8
    await enter(camera.page, 'picture/1B.A/aperture', '2.8');
    await camera.page.locator('[data-roll="1B.1"]:not([data-against="0"])').click();
    const why = camera.page.getByRole('dialog', { name: 'Roll take 1 anyway: why?' });
    await why.waitFor();
    expect(await cut('1B.1').count(), 'nothing rolls before the reason').toBe(0);
    await why.getByRole('button', { name: 'No time to mend' }).click();
    await cut('1B.1').click();
    await camera.page.locator('[data-take="1B.1"] [data-rolled-anyway="No time to mend"]').waitFor();
    await allStored(camera);
    expect((await boardAsSeenBy(producer, station.board)).takes?.['1B.1']?.rolledAnyway).toBe(
      'No time to mend',
    );
  });

  it('closing the sheet rolls nothing', async () => {
    await roll('1B.2').click();
    await camera.page.getByRole('dialog').waitFor();
    await camera.page.keyboard.press('Escape');
    await camera.page.getByRole('dialog').waitFor({ state: 'detached' });
    await roll('1B.2').waitFor();
  });

  it('the routine stands there line by line, and a tick is signed and seen by all', async () => {
    await goTo(producer, station.board, 'setup/1B');
    const focus = check(camera.page, '1B.camera.focus');
    await focus.and(camera.page.locator('[data-done="false"]')).getByRole('button').click();
    // what is done is folded away: there, though not in view
    await Promise.all(
      [camera, producer].map(({ page }) =>
        check(page, '1B.camera.focus')
          .and(page.locator('[data-done="true"][data-ticked="true"]'))
          .waitFor({ state: 'attached' }),
      ),
    );
    await allStored(camera);
    const stored = (await boardAsSeenBy(producer, station.board)).checks?.['1B.camera.focus'];
    expect(stored?.title).toBe('Focus marks taken; back of the frame looked at');
    expect(stored?.doneAt).toBeTypeOf('number');
  });

  it('a line that the board can see by itself says what it sees', async () => {
    const byHand = check(camera.page, '1B.camera.byHand');
    expect(await byHand.getAttribute('data-ticked')).toBe('false');
    expect(await byHand.textContent()).toContain('Not entered for A.');
  });

  it('a check in words of one’s own is listed, stands against the setup, and is ticked', async () => {
    await camera.page.getByRole('button', { name: 'List a check' }).click();
    const sheet = camera.page.getByRole('dialog');
    await sheet.getByLabel('The check').fill('Rope clear of the lens');
    await sheet.getByRole('button', { name: 'List it' }).click();
    const listed = camera.page.locator('[data-check]', { hasText: 'Rope clear of the lens' });
    await listed.and(camera.page.locator('[data-done="false"]')).getByRole('button').click();
    await listed.and(camera.page.locator('[data-done="true"]')).waitFor({ state: 'attached' });
  });

  it('the producer reads what stands against it and has nothing to touch', async () => {
    const panel = producer.page.locator('.ready');
    await panel.and(producer.page.locator('[data-ready="false"]')).waitFor();
    expect(await producer.page.locator('[data-roll], [data-cut]').count()).toBe(0);
    expect(await panel.locator('[data-ready-finding]').count()).toBeGreaterThan(0);
    expect(await panel.locator('[data-check] button').count()).toBe(0);
    expect(await panel.getByRole('button', { name: 'List a check' }).count()).toBe(0);
  });

  it('the keyboard takes one’s last edit back and brings it again', async () => {
    const aperture = (words: RegExp) =>
      field(camera.page, 'picture/1B.A/aperture')
        .and(camera.page.locator('[data-value]'))
        .filter({ hasText: words });
    await enter(camera.page, 'picture/1B.A/aperture', '5.6');
    await aperture(/5\.6/).waitFor();
    await camera.page.keyboard.press('Control+z');
    await aperture(/2\.8/).waitFor();
    await camera.page.keyboard.press('Control+Shift+z');
    await aperture(/5\.6/).waitFor();
    await allStored(camera);
    expect((await boardAsSeenBy(producer, station.board)).picture?.['1B.A']?.aperture).toBe(5.6);
  });

  it('no page reported an error of its own', () => {
    expect([...camera.errors, ...producer.errors]).toEqual([]);
  });
});
