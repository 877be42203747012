import { messageFrame, readFrame, syncFrame } from '@plumbline/replica';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import * as Y from 'yjs';
import { z } from 'zod';
import { keptWhole } from '../offline/station.ts';
import { type NewBoard, temporaryFolder } from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { until } from '../support/clients.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
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
} from './unit.ts';

/** A day on one board, as four people have it; each step goes on from the one before. */
describe('a shooting day on four tablets', () => {
  const folder = temporaryFolder('day');
  let base: BaseProcess;
  let board: NewBoard;
  let browser: TestBrowser;
  let director: Tablet;
  let camera: Tablet;
  let sound: Tablet;
  let producer: Tablet;
  let all: readonly Tablet[];

  beforeAll(async () => {
    base = await startBaseProcess(folder.path);
    board = await makeBoard(base);
    browser = await borrowBrowser();
    [director, camera, sound, producer] = await Promise.all([
      join(browser, base, board, 'director', 'Ilse Marrowby', false),
      join(browser, base, board, 'camera', 'Teodor Vance'),
      join(browser, base, board, 'sound', 'Nkechi Aldous', false),
      join(browser, base, board, 'producer', 'Rafiq Thorne', false),
    ]);
    all = [director, camera, sound, producer];
  });

  afterAll(async () => {
    await browser?.close();
    await Promise.all((all ?? []).map(({ line }) => line.close()));
    await base?.end('SIGTERM');
    folder.remove();
  });

  // Exposure checked by hand, ISO 2720 form with C = 250 lx s ISO, the stop behind f/4 being 4 exactly:
  // asked = N² C / (t S) · 10^D = 16 · 250 / (1/50 · 800) · 10^0.6 = 250 · 3.981 = 995 lx; log2(1000 / 995) = 0.007.
  it('camera enters a setup’s picture, and all see that it agrees with the meter', async () => {
    await goTo(director, board, 'setup/1A');
    await goTo(camera, board, 'setup/1A');
    const { page } = camera;
    await enter(page, 'picture/1A.A/frameRate', '25');
    await enter(page, 'picture/1A.A/shutter', '180°');
    await enter(page, 'picture/1A.A/aperture', 'f/4');
    await enter(page, 'picture/1A.A/iso', '800');
    await enter(page, 'picture/1A.A/ndDensity', '0.6');
    await enter(page, 'picture/1A.A/whiteBalanceK', '5600');
    await enter(page, 'picture/1A.A/keyLux', '1000');
    await Promise.all([goTo(sound, board, 'setup/1A'), goTo(producer, board, 'setup/1A')]);
    await everywhere(all, (p) =>
      p.locator('[data-offset="1A.A"][data-known="true"]', { hasText: '0.0 stop' }),
    );
  });

  it('nonsense is answered with a sentence and goes nowhere', async () => {
    const { page } = camera;
    await field(page, 'picture/1A.A/aperture').locator('button.field-value').click();
    const entry = page.getByRole('dialog').locator('.entry');
    await entry.fill('wide open');
    await page.getByRole('alert').waitFor();
    await entry.press('Enter');
    expect(await page.getByRole('dialog').count()).toBe(1);
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    expect(await field(page, 'picture/1A.A/aperture').getAttribute('data-value')).toContain('4');
  });

  it('a stop more on the next setup is a break on every tablet, with what would mend it', async () => {
    await Promise.all(all.map((tablet) => goTo(tablet, board, 'setup/1B')));
    await camera.page.locator('[data-copy="1A.A"]').click();
    if ((await field(camera.page, 'picture/1B.A/keyLux').getAttribute('data-value')) === 'not set')
      await enter(camera.page, 'picture/1B.A/keyLux', '1000');
    await enter(camera.page, 'picture/1B.A/aperture', '2.8');
    const broken = (page: Page) =>
      page.locator('[data-severity="break"][data-finding]', { hasText: /1\.0 stops?/ });
    await everywhere(all, broken);
    await everywhere(all, (page) => broken(page).locator('[data-remedy]', { hasText: /ND 0\.6 → 0\.9/ }));
  });

  it('one touch on the remedy that keeps the aperture mends it on every tablet', async () => {
    await camera.page
      .locator('button[data-remedy]', { hasText: /ND 0\.6 → 0\.9/ })
      .first()
      .click();
    await everywhere(
      all,
      (page) => page.locator('[data-severity="break"][data-finding]', { hasText: /1\.0 stops?/ }),
      'detached',
    );
    expect(await field(director.page, 'picture/1B.A/aperture').getAttribute('data-value')).toContain('2.8');
    await everywhere(all, (page) => page.locator('[data-offset="1B.A"]', { hasText: '0.0 stop' }));
  });

  it('two sources on one channel are a conflict that all see', async () => {
    const { page } = sound;
    for (const [channel, source] of [
      ['1', 'Boom'],
      ['2', 'Lavalier'],
    ] as const) {
      await page.locator(`[data-channel="1B.R1.${channel}"] .channel-body`).click();
      await fillIn(page, `inputs/1B.R1.${channel}/source`, source);
    }
    await page.locator('[data-channel="1B.R1.1"] .channel-body').click();
    await fillIn(page, 'inputs/1B.R1.1/secondSource', 'Lavalier two');
    await everywhere(all, (each) =>
      each.locator('[data-finding][data-severity="fault"]', { hasText: 'Lavalier two' }),
    );
  });

  it('a flagged channel is before the director’s eyes before anybody rolls', async () => {
    await sound.page.getByRole('button', { name: 'Flag channel 2' }).click();
    await sound.page.getByRole('dialog').getByRole('button', { name: 'Rustle' }).click();
    await director.page
      .locator('[aria-label="Ready to roll"] [data-ready-of="sound"]', {
        hasText: /channel 2 .*flagged.*Rustle/,
      })
      .waitFor();
  });

  it('a take keeps the settings as they were when it was shot', async () => {
    await camera.page.locator('[data-roll="1B.1"]').click();
    await camera.page.getByRole('dialog').getByRole('button', { name: 'No time to mend' }).click();
    await everywhere(all, (page) => page.locator('[data-rolling]'));
    await camera.page.locator('[data-cut="1B.1"]').click();
    await allStored(camera);
    await enter(camera.page, 'picture/1B.A/aperture', '8');
    await allStored(camera);
    const take = (await boardAsSeenBy(producer, board)).takes?.['1B.1'];
    expect(take?.asShotPicture).toMatchObject({ A: { aperture: 2.8, ndDensity: 0.9, iso: 800 } });
    expect(JSON.stringify(take?.findingsAsShot)).toContain('sound-two-sources');
    expect(take?.rolledAnyway).toBe('No time to mend');
    await everywhere(all, (page) =>
      page.locator('[data-take="1B.1"] [data-as-shot-camera="A"]', { hasText: '2.8' }),
    );
  });

  it('the producer’s counts move while they look', async () => {
    await goTo(producer, board, 'progress');
    const figure = (name: string, value: number) =>
      producer.page.locator(`[data-figure="${name}"][data-value="${value}"]`);
    await figure('takes', 1).waitFor();
    await figure('good-takes', 0).waitFor();
    await director.page
      .locator('[data-take="1B.1"]')
      .getByRole('button', { name: 'Good', exact: true })
      .click();
    await figure('good-takes', 1).waitFor();
    await director.page.getByRole('button', { name: 'Start' }).click();
    await director.page.getByRole('button', { name: 'Mark complete' }).click();
    await figure('setups-complete', 1).waitFor();
    await figure('setups-left', 1).waitFor();
  });

  it('the producer’s tablet has nothing that writes', async () => {
    for (const screen of ['day', 'setup/1B', 'sound', 'match', 'progress', 'unit']) {
      await goTo(producer, board, screen);
      const main = producer.page.locator('main');
      expect(
        await main
          .locator('input, textarea, select, button.field-value, .stepper, [data-roll], [data-cut]')
          .count(),
      ).toBe(0);
      expect(await main.locator('button[data-remedy]').count()).toBe(0);
    }
  });

  it('an edit or a raw update from the producer’s session is refused, and nobody else is disturbed', async () => {
    const before = await boardAsSeenBy(producer, board);
    const cookie = (await producer.context.cookies()).map(({ name, value }) => `${name}=${value}`).join('; ');
    const open = (): WebSocket =>
      new WebSocket(`${producer.line.url.replace('http', 'ws')}/sync/${board.boardId}?tab=raw-bytes`, {
        headers: { cookie, origin: producer.line.url },
      });

    const writing = open();
    const refusals: string[] = [];
    writing.on('message', (data: Buffer) => {
      const frame = readFrame(data);
      if (frame?.type === 'hello') {
        const entry = { table: 'setups', record: '1A', field: 'description', value: 'Changed', seen: 0 };
        writing.send(messageFrame('edit', { n: 1, stamp: Date.now() * 1024, entries: [entry] }));
      } else if (frame?.type === 'refused') refusals.push(frame.text);
    });
    await until(() => refusals.length > 0, 'the refusal');
    expect(JSON.parse(refusals[0] ?? '')).toMatchObject({ n: 1, code: 'right' });
    writing.close();

    const forging = open();
    const forged = new Y.Doc();
    forged.getMap('setups').set('1A/description', ['Forged', Date.now() * 1024, 'p1-1']);
    const code = new Promise<number>((done) => forging.on('close', done));
    forging.on('open', () => forging.send(syncFrame('update', Y.encodeStateAsUpdate(forged))));
    expect(await code).toBe(4409);

    expect(await boardAsSeenBy(producer, board)).toEqual(before);
    for (const tablet of all) await tablet.page.locator('[data-link="live"]').waitFor();
    await enter(camera.page, 'picture/1B.A/aperture', '2.8');
    await allStored(camera);
  });

  it('of two values set unseen by each other the newer stands, and its author’s one touch puts the other back', async () => {
    const assistant = await join(browser, base, board, 'camera', 'Mirele Okonjo');
    // Whoever has just joined can do without the network once the page is kept on the device.
    await keptWhole(assistant.page);
    const five = [...all, assistant];
    await Promise.all(five.map((tablet) => goTo(tablet, board, 'setup/1A')));
    const away = [camera, assistant];
    for (const { line } of away) line.cut();
    await Promise.all(away.map(({ page }) => page.locator('[data-link]:not([data-link="live"])').waitFor()));
    const white = (page: Page, kelvin: RegExp) =>
      page.locator('[data-field="picture/1A.A/whiteBalanceK"]', { hasText: kelvin });
    await enter(camera.page, 'picture/1A.A/whiteBalanceK', '4300');
    await enter(assistant.page, 'picture/1A.A/whiteBalanceK', '4800');
    camera.line.restore();
    await reconnected(camera);
    await everywhere([director, sound, producer], (page) => white(page, /4300/));
    assistant.line.restore();
    await reconnected(assistant);
    await everywhere(five, (page) => white(page, /4800/));

    const notice = camera.page.locator('[data-contest="picture/1A.A/whiteBalanceK"]', { hasText: '4300' });
    await notice.getByRole('button', { name: /^Put back/ }).click();
    await everywhere(five, (page) => white(page, /4300/));
    await everywhere(five, (page) => page.locator('[data-contest="picture/1A.A/whiteBalanceK"]'), 'detached');
    await assistant.context.close();
    await assistant.line.close();
  });

  it('what was done without the network is there when it is back, and so is what the others did', async () => {
    camera.line.cut();
    await camera.page.locator('[data-link]:not([data-link="live"])').waitFor();
    await enter(camera.page, 'picture/1A.A/tint', '4');
    await enter(camera.page, 'picture/1A.A/focalLengthMm', '35');
    await director.page.getByRole('button', { name: 'Details' }).click();
    await fillIn(director.page, 'setups/1A/description', 'Wide, from the loft');
    camera.line.restore();
    await reconnected(camera);
    await everywhere(all, (page) =>
      page.locator('[data-field="picture/1A.A/focalLengthMm"]', { hasText: '35' }),
    );
    await everywhere(all, (page) => page.locator('.setup-description', { hasText: 'Wide, from the loft' }));
  });

  it('what was entered offline survives a reload of the page', async () => {
    camera.line.cut();
    await camera.page.locator('[data-link]:not([data-link="live"])').waitFor();
    await enter(camera.page, 'picture/1A.A/focusDistanceM', '2.4');
    await camera.page.waitForTimeout(500);
    camera.line.restore();
    await camera.page.reload();
    await allStored(camera);
    await everywhere(all, (page) =>
      page.locator('[data-field="picture/1A.A/focusDistanceM"]', { hasText: '2.4' }),
    );
  });

  it('a base killed in the middle of edits has every value that a tablet was told is stored', async () => {
    const { port } = base;
    const values = Array.from({ length: 40 }, (_, i) => 2000 + i);
    const typing = (async () => {
      for (const value of values) await enter(camera.page, 'picture/1A.A/keyLux', String(value));
    })();
    await until(async () => (await keyLux(camera)) >= 2010, 'some edits');
    await base.end('SIGKILL');
    await typing;
    base = await startBaseProcess(folder.path, { PLUMBLINE_PORT: String(port) });
    await Promise.all(all.map(reconnected));
    await everywhere(all, (page) =>
      page.locator('[data-field="picture/1A.A/keyLux"]', { hasText: /2,?039/ }),
    );
    // Everything told stored before the end, and everything sent again after it, is there exactly once.
    const answer = await camera.context.request.get(
      `${camera.line.url}/api/boards/${board.boardId}/history?table=picture&record=1A.A&field=keyLux&limit=100`,
    );
    const { entries } = historySchema.parse(await answer.json());
    expect(
      entries
        .map(({ value }) => value)
        .filter((value) => Number(value) >= 2000)
        .sort(),
    ).toEqual(values);
  });

  it('no page reported an error of its own', () => {
    for (const { errors } of all) {
      expect(errors.filter((error) => !/WebSocket|ERR_|Failed to load resource/.test(error))).toEqual([]);
    }
  });
});

async function fillIn(page: Page, address: string, text: string): Promise<void> {
  const sheet = page.getByRole('dialog').first();
  await sheet.locator(`[data-field="${address}"] button.field-value`).click();
  const entry = page.getByRole('dialog').last().locator('.entry');
  await entry.fill(text);
  await page.getByRole('dialog').last().getByRole('button', { name: 'Set', exact: true }).click();
  await page.keyboard.press('Escape');
  await page.getByRole('dialog').waitFor({ state: 'detached' });
}

async function reconnected(tablet: Tablet): Promise<void> {
  await tablet.page.evaluate(() => dispatchEvent(new Event('online')));
  await allStored(tablet);
}

const historySchema = z.object({ entries: z.array(z.object({ value: z.unknown() })) });

async function keyLux(tablet: Tablet): Promise<number> {
  const value = await field(tablet.page, 'picture/1A.A/keyLux').getAttribute('data-value');
  return Number((value ?? '').replace(/\D/g, ''));
}
