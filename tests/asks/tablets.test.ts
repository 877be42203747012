import { type Base, shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  allStored,
  boardAsSeenBy,
  enter,
  everywhere,
  field,
  goTo,
  join,
  makeBoard,
  type Tablet,
} from '../day/unit.ts';
import { TABLET_FOLDER } from '../offline/built.ts';
import { type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';

const FINDING = '[data-finding="exposure-offset.1B.A"]';
const askIn = (page: Page, state: string) => page.locator(`${FINDING} [data-ask-state="${state}"]`);

/** A setup that is a stop too bright, as three people have it; each step goes on from the one before. */
describe('asking a department for a remedy, on three tablets', () => {
  let base: Base;
  let board: NewBoard;
  let browser: TestBrowser;
  let director: Tablet;
  let camera: Tablet;
  let producer: Tablet;

  beforeAll(async () => {
    base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
    board = await makeBoard(base);
    browser = await borrowBrowser();
    [director, camera, producer] = await Promise.all([
      join(browser, base, board, 'director', 'Ilse Marrowby', false),
      join(browser, base, board, 'camera', 'Teodor Vance', false),
      join(browser, base, board, 'producer', 'Rafiq Thorne', false),
    ]);
    await goTo(camera, board, 'setup/1A');
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
    await Promise.all([director, camera, producer].map((tablet) => goTo(tablet, board, 'setup/1B')));
    await camera.page.locator('[data-copy="1A.A"]').click();
    await enter(camera.page, 'picture/1B.A/keyLux', '1000');
    // One stop: f/4 to f/2.8.
    await enter(camera.page, 'picture/1B.A/aperture', '2.8');
    await everywhere([director, camera, producer], (page) => page.locator(FINDING));
  });

  afterAll(async () => {
    await browser?.close();
    await Promise.all([director, camera, producer].flatMap((tablet) => tablet?.line.close() ?? []));
    await base?.stop();
  });

  it('who may not make it asks with one touch, and the department sees it at the finding, the field and the count', async () => {
    await director.page.locator(`${FINDING} [data-ask-for="ndDensity:0.9"]`).click();
    await askIn(director.page, 'open').waitFor();
    await askIn(camera.page, 'open').waitFor();
    expect(await field(camera.page, 'picture/1B.A/ndDensity').getAttribute('data-asked')).toContain('0.9');
    await camera.page.locator('.bar-chip[data-asked="1"]').waitFor();
    // Asking sets nothing.
    expect(await field(camera.page, 'picture/1B.A/ndDensity').getAttribute('data-value')).toContain('0.6');
  });

  it('the producer may neither ask nor answer, and reads that it was asked', async () => {
    await askIn(producer.page, 'open').waitFor();
    expect(await producer.page.locator('[data-ask-for], [data-take-ask], [data-decline-ask]').count()).toBe(
      0,
    );
  });

  it('declined with a few words, the asker reads them', async () => {
    await camera.page.locator(`${FINDING} [data-decline-ask]`).click();
    await camera.page.getByRole('dialog').getByRole('button', { name: 'Cannot be done here' }).click();
    await askIn(director.page, 'declined').getByText('Cannot be done here').waitFor();
    await director.page.locator('.bar-chip[data-answers="1"]').waitFor();
    await goTo(director, board, 'notices');
    await director.page.locator('[data-ask-state="declined"] [data-withdraw-ask]').click();
    await director.page.locator('[data-ask-state="declined"]').waitFor({ state: 'detached' });
    await goTo(director, board, 'setup/1B');
  });

  it('asked and taken without the network, it is done and answered when the network is back', async () => {
    for (const tablet of [director, camera]) await allStored(tablet);
    director.line.cut();
    await director.page.locator('[data-link]:not([data-link="live"])').waitFor();
    await director.page.locator(`${FINDING} [data-ask-for="ndDensity:0.9"]`).click();
    await askIn(director.page, 'open').waitFor();
    director.line.restore();
    await director.page.evaluate(() => dispatchEvent(new Event('online')));
    await allStored(director);
    await goTo(camera, board, 'notices');
    await camera.page.locator('[data-ask-state="open"]').waitFor();
    camera.line.cut();
    await camera.page.locator('[data-link]:not([data-link="live"])').waitFor();
    await camera.page.locator('[data-take-ask]').click();
    await camera.page.locator('[data-ask-state="open"]').waitFor({ state: 'detached' });
    camera.line.restore();
    await camera.page.evaluate(() => dispatchEvent(new Event('online')));
    await allStored(camera);
    await director.page.locator(FINDING).waitFor({ state: 'detached' });
    const { asks = {}, picture = {} } = await boardAsSeenBy(producer, board);
    expect(picture['1B.A']?.ndDensity).toBe(0.9);
    expect(
      Object.values(asks)
        .map(({ answer }) => answer)
        .sort(),
    ).toEqual(['declined', 'taken']);
    await goTo(director, board, 'notices');
    await director.page.locator('[data-ask-state="taken"]').getByText('Camera did it').waitFor();
  });

  it('one touch takes both back: the value and the answer', async () => {
    await camera.page.getByRole('button', { name: /^Undo/ }).first().click();
    await allStored(camera);
    const { asks = {}, picture = {} } = await boardAsSeenBy(producer, board);
    expect(picture['1B.A']?.ndDensity).toBe(0.6);
    expect(
      Object.values(asks)
        .map(({ answer }) => answer ?? null)
        .sort(),
    ).toEqual(['declined', null]);
    await camera.page.locator('[data-ask-state="open"]').waitFor();
  });

  it('mended in another way, it is no longer needed', async () => {
    await goTo(camera, board, 'setup/1B');
    await enter(camera.page, 'picture/1B.A/aperture', '4');
    await director.page.locator('[data-ask-state="outdated"]').getByText('No longer needed').waitFor();
    expect(await camera.page.locator('[data-asked="1"]').count()).toBe(0);
  });
});
