import { readFileSync } from 'node:fs';
import { type Base, shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import readSpreadsheet from 'read-excel-file/node';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { TABLET_FOLDER } from '../offline/built.ts';
import { createBoard, type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';
import { workbook } from '../support/workbook.ts';

let base: Base;
let browser: TestBrowser;
let board: NewBoard;

beforeAll(async () => {
  base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
  board = await createBoard(base, 'A film');
  browser = await borrowBrowser();
});

afterAll(async () => {
  await browser.close();
  await base.stop();
});

const tablets = tabletsOf(() => ({ browser, base: base.url, ...board }));

async function atThePlan(role: string): Promise<LentTablet> {
  const tablet = await tablets.at(role, 'plan', 'portrait');
  await tablet.page.getByRole('heading', { name: 'Plan', exact: true }).waitFor();
  return tablet;
}

const chosen = (page: Page) => page.getByLabel('Choose files');
const csv = (name: string, text: string) => ({ name, mimeType: 'text/csv', buffer: Buffer.from(text) });

it('a foreign spreadsheet is matched by hand, tried out, taken in, and taken in again without doubling', async () => {
  const { page, errors, giveBack } = await atThePlan('director');
  const book = {
    name: 'shots.xlsx',
    mimeType: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet',
    buffer: workbook({
      List: [
        ['Setup', 'Discription', 'How long', 'Mood'],
        ['1A', 'Wide', 45, 'calm'],
        ['1B', 'Close', 20, 'tense'],
      ],
    }),
  };
  await chosen(page).setInputFiles(book);
  const sheet = page.locator('[data-sheet="shots.xlsx"]');
  await sheet.waitFor();
  expect(await sheet.getAttribute('data-kind')).toBe('setups');
  expect(await sheet.getAttribute('data-open')).toBe('3');
  await sheet.locator('[data-column="Discription"] select').selectOption('description');
  await sheet.locator('select').first().waitFor();
  // what is told once is a matching of its own: the rest is passed over unless it is told too
  await sheet.getByRole('button', { name: 'Show all columns' }).click();
  await sheet.locator('[data-column="How long"] select').selectOption('plannedMinutes');
  const ready = page.locator('[data-dry-run]');
  await ready.waitFor();
  expect(await ready.textContent()).toContain('Setups 2 new');
  await page.getByRole('button', { name: 'Take in 6 values' }).click();
  await page.getByText('Taken in: 6 values.').waitFor();
  await chosen(page).setInputFiles(csv('setups.csv', 'Setup,Planned (min)\n1A,50\n1B,20\n'));
  await page.getByRole('button', { name: 'Take in 1 value' }).click();
  await page.getByText('Taken in: 1 value.').waitFor();
  expect(errors).toEqual([]);
  await giveBack();
});

it('what is wrong is named with its row and column, and nothing can be taken in', async () => {
  const { page } = await atThePlan('director');
  await chosen(page).setInputFiles([
    csv('setups.csv', 'Setup,Planned (min)\n1A,soon\n1B,20\n'),
    csv('noise.csv', ''),
  ]);
  await page.locator('[data-sheet="noise.csv"]').getByText('The file is empty.').waitFor();
  await page.locator('[data-sheet="noise.csv"]').getByRole('button', { name: 'Leave out' }).click();
  await page.getByText('setups.csv, row 2, column 2').waitFor();
  expect(await page.getByRole('button', { name: /^Take in/ }).count()).toBe(0);
  await chosen(page).setInputFiles({
    name: 'broken.xlsx',
    mimeType: 'application/octet-stream',
    buffer: Buffer.from('PK\x03\x04 not really'),
  });
  await page.getByText(/broken.xlsx: It cannot be read as a spreadsheet/).waitFor();
});

it('whoever is not the director takes a plan out, and is not offered to take one in', async () => {
  const { page } = await atThePlan('camera');
  expect(await chosen(page).count()).toBe(0);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'One spreadsheet (.xlsx)' }).click(),
  ]);
  const sheets = await readSpreadsheet(readFileSync(await download.path()));
  expect(sheets[0]).toMatchObject({
    sheet: 'Shoot',
    data: [
      ['Setting', 'Value'],
      ['Title', 'A film'],
    ],
  });
});
