import { createHash } from 'node:crypto';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it } from 'vitest';
import * as z from 'zod';
import { call, joinWith, type Member, temporaryFolder, viewOf } from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { type BaseProcess, startBaseProcess } from '../support/process.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';
import { type TestPosition, withPosition } from './exif.ts';

const folder = temporaryFolder('photos');
const boardSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });
const photoSchema = z.object({
  hash: z.string(),
  thumbHash: z.string(),
  about: z.string(),
  by: z.string(),
  widthPx: z.number(),
  caption: z.string().optional(),
  latitudeDeg: z.number().optional(),
  longitudeDeg: z.number().optional(),
});

let base: BaseProcess;
let browser: TestBrowser;
let board: z.infer<typeof boardSchema>;
let reader: Member;

beforeAll(async () => {
  base = await startBaseProcess(folder.path);
  browser = await borrowBrowser();
  const made = await call(base, 'POST', '/api/boards', { token: base.adminKey, body: { title: 'A film' } });
  board = boardSchema.parse(made.body);
  const director = await joinWith(base, board.invites.director ?? '', 'Ida');
  const plan = 'ID,Place\nyard,Yard\n';
  const answer = await fetch(`${base.url}/api/boards/${board.boardId}/import?name=places.csv`, {
    method: 'POST',
    headers: { authorization: `Bearer ${director.session}`, 'content-type': 'text/csv' },
    body: plan,
  });
  expect(answer.status).toBe(200);
  reader = director;
});

afterAll(async () => {
  await browser.close();
  await base.end('SIGTERM');
  folder.remove();
});

const tablets = tabletsOf(() => ({ browser, base: base.url, ...board }));

/** A tablet at the place. */
async function atThePlace(role: string): Promise<LentTablet> {
  const tablet = await tablets.at(role, 'places/yard', 'portrait');
  await tablet.page.locator('[data-place="yard"]').waitFor();
  return tablet;
}

/** A photograph as a camera would save it, 3000 px wide, in a colour of its own. */
async function photograph(page: Page, colour: string, position: TestPosition | null): Promise<Buffer> {
  const jpeg = await page.evaluate(async (fill) => {
    const canvas = document.createElement('canvas');
    canvas.width = 3000;
    canvas.height = 2000;
    const context = canvas.getContext('2d');
    if (context) {
      context.fillStyle = fill;
      context.fillRect(0, 0, 3000, 2000);
    }
    const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg'));
    return blob ? [...new Uint8Array(await blob.arrayBuffer())] : [];
  }, colour);
  const bytes = Uint8Array.from(jpeg);
  return Buffer.from(position ? withPosition(bytes, position) : bytes);
}

async function choose(page: Page, buffer: Buffer): Promise<void> {
  await page
    .locator('[data-take="device"]')
    .setInputFiles({ name: 'one.jpg', mimeType: 'image/jpeg', buffer });
  await page.locator('.photo-preview').waitFor();
}

async function photos(): Promise<z.infer<typeof photoSchema>[]> {
  const { photos: rows = {} } = await viewOf(base, reader);
  return Object.values(rows).map((row) => photoSchema.parse(row));
}

async function stored(hash: string): Promise<Buffer | null> {
  const answer = await fetch(`${base.url}/api/boards/${board.boardId}/photos/${hash}`, {
    headers: { authorization: `Bearer ${reader.session}` },
  });
  return answer.ok ? Buffer.from(await answer.arrayBuffer()) : null;
}

function files(): string[] {
  return readdirSync(join(folder.path, 'photos', board.boardId), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map(({ name }) => name);
}

const section = (page: Page) => page.locator('[data-photos]');
const shows = (page: Page, count: number, unsent: number) =>
  section(page)
    .and(page.locator(`[data-photos="${count}"][data-unsent="${unsent}"]`))
    .waitFor({ timeout: 45_000 });

/** After so long a tablet looks again for a picture that was nowhere; the one that waits for it here does so sooner. */
const LOOKS_AGAIN_MS = 20_000;

const POSITION: TestPosition = {
  little: true,
  latitude: [55, 7, 15.24],
  latitudeRef: 'N',
  longitude: [10, 56, 59.28],
  longitudeRef: 'E',
};

it('a position in a photograph stays behind unless it is ticked, and then stands on the board, never in the picture', async () => {
  const { page, giveBack } = await atThePlace('camera');
  const buffer = await photograph(page, '#2a6', POSITION);
  expect(buffer.includes('Exif')).toBe(true);
  await choose(page, buffer);
  await page.getByLabel('Caption').fill('without');
  await page.getByRole('button', { name: 'Add it' }).click();
  await shows(page, 1, 0);
  await choose(page, await photograph(page, '#26a', POSITION));
  await page.getByLabel('Caption').fill('with');
  await page.getByLabel(/Keep where it was taken: 55.1209, 10.9498/).check();
  await page.getByRole('button', { name: 'Add it' }).click();
  await shows(page, 2, 0);
  const all = await photos();
  const [without, ticked] = ['without', 'with'].map((caption) => all.find((one) => one.caption === caption));
  expect(without).toMatchObject({ about: 'places/yard', widthPx: 2048 });
  expect(without?.latitudeDeg).toBeUndefined();
  expect(ticked).toMatchObject({ latitudeDeg: 55.1209, longitudeDeg: 10.9498 });
  for (const hash of [without?.hash, without?.thumbHash, ticked?.hash, ticked?.thumbHash]) {
    const bytes = await stored(hash ?? '');
    if (!bytes) throw new Error('a picture is not stored');
    expect(createHash('sha256').update(bytes).digest('hex')).toBe(hash);
    expect(bytes.includes('Exif')).toBe(false);
  }
  await giveBack();
});

it('a file that is no picture is named, and nothing is added', async () => {
  const { page, giveBack } = await atThePlace('camera');
  const before = (await photos()).length;
  await page
    .locator('[data-take="device"]')
    .setInputFiles({ name: 'one.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('not a picture') });
  await page
    .getByRole('alert')
    .getByText(/no picture/)
    .waitFor();
  expect(await page.getByRole('button', { name: 'Add it' }).isDisabled()).toBe(true);
  expect((await photos()).length).toBe(before);
  await giveBack();
});

it('a photograph taken while the base is away waits on the device, over a reload, and is stored once', async () => {
  const { context, page } = await atThePlace('camera');
  const other = await atThePlace('sound');
  await other.page.evaluate(
    ([pauseMs, shortMs]) => {
      window.setTimeout = new Proxy(window.setTimeout, {
        apply: (later, self, [act, ms, ...more]) =>
          Reflect.apply(later, self, [act, ms === pauseMs ? shortMs : ms, ...more]),
      });
    },
    [LOOKS_AGAIN_MS, 1_000] as const,
  );
  const before = files().length;
  const { port } = base;
  await base.end('SIGTERM');
  await choose(page, await photograph(page, '#c33', null));
  await page.getByLabel('Caption').fill('the red door');
  await page.getByRole('button', { name: 'Add it' }).click();
  await section(page).getByText('1 picture waiting to be stored').waitFor();
  // What was taken here is seen here, base or no base.
  await page
    .getByRole('button', { name: /the red door/ })
    .locator('img[data-picture="here"]')
    .waitFor();

  // The base is back, but pictures do not come through: a reload must not lose one.
  await context.route('**/api/boards/*/photos/*', (route) => route.abort());
  base = await startBaseProcess(folder.path, { PLUMBLINE_PORT: String(port) });
  await expect
    .poll(async () => (await photos()).some(({ caption }) => caption === 'the red door'), { timeout: 45_000 })
    .toBe(true);
  await page.reload();
  await section(page).getByText('1 picture waiting to be stored').waitFor({ timeout: 45_000 });
  expect(files().length).toBe(before);
  // Another tablet knows of it and says calmly that it is not there yet.
  await other.page
    .getByRole('button', { name: /^Not stored yet: still on the tablet it was added on\..*the red door/ })
    .waitFor({ timeout: 45_000 });

  await context.unroute('**/api/boards/*/photos/*');
  await page.evaluate(() => dispatchEvent(new Event('online')));
  await page.locator('[data-unsent="0"]').waitFor({ timeout: 90_000 });
  expect(files().length).toBe(before + 2);
  expect((await photos()).filter(({ caption }) => caption === 'the red door')).toHaveLength(1);
  await other.page.getByRole('img', { name: 'the red door' }).waitFor({ timeout: 60_000 });
  await context.close();
  await other.context.close();
}, 240_000);

it('a sketch is drawn by finger, a line is taken back, and it is stored as PNG', async () => {
  const { page, giveBack } = await atThePlace('sound');
  const before = (await photos()).length;
  await page.getByRole('button', { name: 'Sketch' }).click();
  const canvas = page.locator('canvas.sketch');
  const box = await canvas.boundingBox();
  if (!box) throw new Error('no paper');
  const line = async (from: number): Promise<void> => {
    await page.mouse.move(box.x + from, box.y + 40);
    await page.mouse.down();
    await page.mouse.move(box.x + from + 60, box.y + 120, { steps: 5 });
    await page.mouse.up();
  };
  await line(40);
  await page.getByRole('button', { name: 'Thick' }).click();
  await line(140);
  await page.getByRole('img', { name: /Sketch with 2 lines,/ }).waitFor();
  await page.getByRole('button', { name: 'Last line away' }).click();
  await page.getByRole('img', { name: /Sketch with 1 line,/ }).waitFor();
  await page.getByLabel('Caption').fill('where the boom stands');
  await page.getByRole('button', { name: 'Add it' }).click();
  await shows(page, before + 1, 0);
  const sketch = (await photos()).find(({ caption }) => caption === 'where the boom stands');
  const bytes = await stored(sketch?.hash ?? '');
  expect(bytes?.subarray(1, 4).toString()).toBe('PNG');
  await giveBack();
});

it('the producer sees the photographs and adds none', async () => {
  const { page, giveBack } = await atThePlace('producer');
  await page.locator('[data-photo]').first().waitFor();
  expect(await page.getByRole('button', { name: 'Take a photograph' }).count()).toBe(0);
  await page.locator('[data-photo]').first().click();
  await page.locator('dialog img.photo-large').waitFor();
  expect(await page.getByRole('button', { name: 'Take it off the list' }).count()).toBe(0);
  await giveBack();
});
