import { copyFileSync, mkdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { shootKind } from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { TABLET_FOLDER } from '../offline/built.ts';
import {
  joinAs as joinByCall,
  type NewBoard,
  startTestBase,
  temporaryFolder,
  viewOf,
} from '../support/base.ts';
import { borrowBrowser, SIZES, type TestBrowser } from '../support/browser.ts';
import { until } from '../support/clients.ts';
import { tabletsOf } from '../support/tablets.ts';
import { boardWithTakes, cardFolder } from './unit.ts';

vi.setConfig({ testTimeout: 600_000, hookTimeout: 600_000 });

describe('the screen of recorded files', () => {
  const folder = temporaryFolder('recorded');
  const cards = join(folder.path, 'cards');
  let base: Awaited<ReturnType<typeof startTestBase>>;
  let board: NewBoard;
  let browser: TestBrowser;

  beforeAll(async () => {
    await cardFolder(cards);
    writeFileSync(join(cards, 'A-01', 'A001C009.mov'), '');
    base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
    board = await boardWithTakes(base);
    browser = await borrowBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await base?.stop();
    folder.remove();
  });

  const tablets = tabletsOf(() => ({ browser, base: base.url, ...board }));

  async function open(role: string, name: string) {
    const tablet = await tablets.at(role, 'reconcile', { name });
    tablet.page.setDefaultTimeout(240_000);
    await tablet.page.getByRole('heading', { name: 'Recorded files' }).waitFor();
    return tablet;
  }

  it('a folder is chosen, what differs is shown, one word is taken, and no file leaves the device', async () => {
    const { page, errors, giveBack } = await open('camera', 'Ana Reis');
    const sent: string[] = [];
    page.on('request', (request) => {
      if (request.method() !== 'GET') sent.push(`${request.method()} ${request.url()}`);
    });
    await page.locator('[data-take="folder"]').setInputFiles(cards);
    const outcome = page.locator('[data-files="6"]');
    await outcome.waitFor();
    expect(await outcome.getAttribute('data-differences')).toBe('2');
    for (const [part, count] of Object.entries({ all: 5, missing: 1, unlogged: 0, unread: 1, look: 1 })) {
      expect([part, await page.locator(`[data-part="${part}"]`).getAttribute('data-count')]).toEqual([
        part,
        `${count}`,
      ]);
    }
    const file = page.locator('[data-recording="cards/A-01/A001C002.mov"]');
    expect(await file.getAttribute('data-take')).toBe('1a.2/A');
    const rate = file.locator('[data-difference="frameRate"]');
    expect(await rate.textContent()).toMatch(/25 frames\/s[\s\S]*24 frames\/s/);
    await rate.locator('[data-word="file"]').click();
    await file.locator('[data-difference="frameRate"][data-settled="file"]').waitFor();
    await page.locator('[data-files="6"][data-differences="1"]').waitFor();
    await file.locator('[data-difference="clip"] [data-word="file"]').click();
    const producer = await joinByCall(base, board, 'producer');
    await until(async () => {
      const { recordings = {}, takes = {} } = await viewOf(base, producer);
      return Object.keys(recordings).length === 1 && takes['1a.2']?.clip === 'A001C002';
    }, 'the word on the board');
    const { recordings = {}, takes = {} } = await viewOf(base, producer);
    expect(Object.values(recordings)[0]).toMatchObject({
      name: 'A001C002.mov',
      take: '1a.2',
      device: 'A',
      settled: { frameRate: 'file', clip: 'file' },
    });
    expect(takes['1a.2']?.asShotPicture).toMatchObject({ A: { frameRate: '25' } });
    // sound is the recordist's to settle
    await page.locator('[data-part="all"]').click();
    const sound = page.locator('[data-recording="cards/S-01/1A-T001.wav"]');
    await sound.waitFor();
    expect(await sound.locator('button[data-word]').count()).toBe(0);
    await page.locator('[data-part="unread"]').click();
    await page.getByText('It is empty: nothing was written, or the copying broke off.').waitFor();
    for (const size of Object.values(SIZES)) {
      await page.setViewportSize(size);
      const wide = await page.locator('.shell-page').evaluate((main) => main.scrollWidth - main.clientWidth);
      expect(wide).toBeLessThanOrEqual(0);
    }
    expect(sent).toEqual([]);
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('the checksums of a card are kept, and a copy of it is noted as verified with the card', async () => {
    const { page, giveBack } = await open('director', 'Ilse Marrowby');
    await page.getByLabel('Checksum').selectOption('xxh64');
    const card = join(cards, 'S-01');
    await page.locator('[data-take="folder"]').setInputFiles(card);
    const copy = page.locator('[data-copy-of="s1"]');
    await copy.getByText('made for the first time').waitFor();
    await page.locator('[data-keep]').click();
    await page.locator('[data-keep]').waitFor({ state: 'detached' });
    // a reading is no copy of itself
    await page.locator('[data-copy-of="s1"][data-checked="open"]').waitFor();
    expect(await copy.getByRole('button', { name: 'Note it as a verified copy' }).count()).toBe(0);
    await giveBack();
    const { page: sound, giveBack: giveSoundBack } = await open('sound', 'Nkechi Aldous');
    await sound.getByLabel('Checksum').selectOption('xxh64');
    await sound.locator('[data-take="folder"]').setInputFiles(card);
    const verified = sound.locator('[data-copy-of="s1"][data-checked="checksum"]');
    await verified.getByLabel('Where this copy is').fill('Disk 1');
    await verified.getByRole('button', { name: 'Note it as a verified copy' }).click();
    const producer = await joinByCall(base, board, 'producer');
    await until(async () => {
      const { cards: all = {} } = await viewOf(base, producer);
      return Array.isArray(all.s1?.copies);
    }, 'the copy on the card');
    expect((await viewOf(base, producer)).cards?.s1).toMatchObject({
      copies: [{ where: 'Disk 1', checked: 'checksum', sum: { kind: 'xxh64' } }],
    });
    await giveSoundBack();
  });

  it('reading stops when it is told to, and what was read until then is shown', async () => {
    const large = join(folder.path, 'large');
    mkdirSync(large, { recursive: true });
    copyFileSync(join(cards, 'A-01', 'A001C001.mov'), join(large, 'A001C001.mov'));
    writeFileSync(join(large, 'B.mov'), '');
    // 40 GB that take up no room: long enough to press a button
    truncateSync(join(large, 'B.mov'), 40 * 1024 ** 3);
    const { page, errors, giveBack } = await open('camera', 'Ana Reis');
    await page.getByLabel('Checksum').selectOption('sha256');
    await page.locator('[data-take="folder"]').setInputFiles(large);
    await page.getByText(/^1 of 2 files/).waitFor();
    await page.getByRole('button', { name: 'Stop' }).click();
    await page.getByText('Stopped. Below is what was read until then.').waitFor();
    await page.locator('[data-files="1"]').waitFor();
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('says calmly when what reads the files cannot be had', async () => {
    const { context, page } = await open('camera', 'Bela Trent');
    await context.route('**/*.wasm', (route) => route.abort());
    await page.locator('[data-take="folder"]').setInputFiles(cards);
    await page.getByText('What reads the files comes from the base, which is not reached now.').waitFor();
    await context.close();
  });
});
