import { type Json, valueProblem } from '@plumbline/replica';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { IS_WHOLE, PATIENCE_MS, SEED, tell } from '../soak/size.ts';
import { borrowBrowser, openTablet, SIZES, type TestBrowser } from '../support/browser.ts';
import { randomOf } from '../support/random.ts';
import {
  DAY,
  goTo,
  openStage,
  type Role,
  type Stage,
  shootATake,
  sitDown,
  stored,
  storedAll,
} from './stage.ts';
import { fitted, HONEST, honestFor, type TextField, textFields, wrongWords } from './words.ts';

const SCREENS = [
  'day',
  'setup/1A',
  'match',
  'sound/1A',
  'kit',
  'kit/item.sound.boom',
  'kit/people',
  'kit/cards',
  'kit/cards.C1',
  'kit/power',
  'kit/checks',
  'places/loft',
  'progress',
  'papers',
  'notices',
  'unit',
] as const;

const FIELDS = textFields(DAY);
const random = randomOf(SEED);
let stage: Stage;
let browser: TestBrowser;
const pages = new Map<Role, Page>();

beforeAll(async () => {
  stage = await openStage();
  await shootATake(stage, '1A', 1);
  await stage.write('camera', [
    ['batteries/V1/department', 'camera'],
    ['lightReadings/loft.l1/lux', 900],
    ['lightReadings/loft.l1/takenAt', Date.now()],
    ['flags/f1/about', 'setups/1A'],
    ['flags/f1/department', 'camera'],
    ['flags/f1/raisedAt', Date.now()],
  ]);
  await stage.write('sound', [
    ['soundReadings/loft.s1/levelDbA', 40],
    ['soundReadings/loft.s1/takenAt', Date.now()],
  ]);
  browser = await borrowBrowser();
});

afterAll(async () => {
  await browser?.close();
  await stage?.close();
});

/** Every field of words at once, each with another of the texts. */
async function fillAll(shift: number): Promise<Map<string, Json>> {
  const values = new Map<string, Json>();
  for (const [index, { address, field, roles }] of FIELDS.entries()) {
    const value = honestFor(field, HONEST[(index + shift) % HONEST.length] ?? '');
    // a field with a form of its own says no to what does not fit it
    if (valueProblem(field, value) !== null) continue;
    // of the departments that may, one that may on this record
    for (const role of roles) {
      const isStored = await stage.write(role, [[address, value]]).then(
        () => true,
        () => false,
      );
      if (!isStored) continue;
      values.set(address, value);
      break;
    }
    expect(values.has(address), address).toBe(true);
  }
  return values;
}

async function pageOf(role: Role): Promise<Page> {
  const known = pages.get(role);
  if (known) return known;
  const { page } = await sitDown(browser, stage, role);
  pages.set(role, page);
  return page;
}

/** Looks at screens in two widths for words that do not stand as they were written. */
async function lookAt(role: Role, screens: readonly string[]): Promise<string[]> {
  const page = await pageOf(role);
  const wrong: string[] = [];
  for (const size of ['phone', 'landscape'] as const) {
    await page.setViewportSize(SIZES[size]);
    for (const screen of screens) {
      await goTo(page, stage, screen);
      await page.evaluate(() => {
        for (const each of document.querySelectorAll('main details')) each.setAttribute('open', '');
      });
      await page.waitForTimeout(150);
      for (const each of await wrongWords(page)) wrong.push(`${role}, ${size}, ${screen}: ${each}`);
    }
  }
  return wrong;
}

describe(`words as people write them, seed ${SEED}`, () => {
  // in one run every text meets one field in eight; the whole run has every text in every field
  const shifts = IS_WHOLE ? HONEST.map((_, index) => index) : [random.below(HONEST.length)];

  it.each(shifts)(
    'stand whole and in order on every screen, on a phone and on a tablet, texts shifted by %i',
    async (shift) => {
      const values = await fillAll(shift);
      tell(`${FIELDS.length} fields of words, texts shifted by ${shift}`);
      const wrong = await lookAt('director', SCREENS);
      wrong.push(...(await lookAt('camera', ['setup/1A', 'kit/cards.C1'])));
      wrong.push(...(await lookAt('sound', ['sound/1A', 'kit/item.sound.boom'])));
      const isStored = await storedAll(await pageOf('director'), stage);
      for (const [address, value] of values) expect(isStored(address), address).toEqual(value);
      expect([...new Set(wrong)]).toEqual([]);
    },
    PATIENCE_MS,
  );

  it(
    'are stored as they were typed, in whichever field',
    async () => {
      const tried = new Set<string>();
      for (const role of IS_WHOLE ? (['director', 'camera', 'sound'] as const) : (['camera'] as const)) {
        const page = await pageOf(role);
        await page.setViewportSize(SIZES.phone);
        for (const screen of IS_WHOLE ? SCREENS : (['setup/1A'] as const)) {
          await goTo(page, stage, screen);
          await page.evaluate(() => {
            for (const each of document.querySelectorAll('main details')) each.setAttribute('open', '');
          });
          const here = await page
            .locator('main [data-field]:has(> button.field-value)')
            .evaluateAll((fields) => fields.map((field) => field.getAttribute('data-field') ?? ''));
          const words = here.filter((address) => !tried.has(address) && isWords(address));
          for (const address of IS_WHOLE ? words : [random.pick(words), random.pick(words)]) {
            tried.add(address);
            const field = FIELDS.find((each) => sameField(each, address))?.field;
            if (!field) throw new Error(address);
            const value = honestFor(field, random.pick(HONEST));
            await page.locator(`[data-field="${address}"] > button.field-value`).first().click();
            const entry = page.getByRole('dialog').locator('.entry');
            await entry.fill(Array.isArray(value) ? value.join(', ') : value);
            expect(await wrongWords(page, 'dialog[open]'), `${address} in its sheet`).toEqual([]);
            await page.getByRole('dialog').getByRole('button', { name: 'Set', exact: true }).click();
            await page.getByRole('dialog').waitFor({ state: 'detached' });
            await expect.poll(() => stored(page, stage, address), { message: address }).toEqual(value);
          }
        }
      }
      tell(`${tried.size} fields typed into`);
      expect(tried.size).toBeGreaterThan(IS_WHOLE ? 20 : 0);
    },
    PATIENCE_MS,
  );

  it('people keep their names, whatever they are called', async () => {
    for (const name of IS_WHOLE ? HONEST : [random.pick(HONEST), HONEST[0]]) {
      const { context, page } = await openTablet(browser, { base: stage.base.url, size: 'phone' });
      await page.goto(`/join#${stage.board.invites.producer ?? ''}`);
      const given = fitted(name, 60);
      await page.getByLabel('Your name').fill(given);
      await page.getByRole('button', { name: 'Join' }).click();
      await page.locator('[data-link="live"]').waitFor();
      expect(await wrongWords(page)).toEqual([]);
      const answer: { tables: { people: Record<string, { name: string }> } } = await (
        await context.request.get(`${stage.base.url}/api/boards/${stage.board.boardId}/view`)
      ).json();
      // the base keeps names in form NFC (UAX 15), so that one name is the same from whichever keyboard
      expect(Object.values(answer.tables.people).map((person) => person.name)).toContain(
        given.normalize('NFC'),
      );
      await context.close();
    }
  });
});

function isWords(address: string): boolean {
  return FIELDS.some((field) => sameField(field, address));
}

function sameField({ table, name }: TextField, address: string): boolean {
  const [inTable, , inField] = address.split('/');
  return table === inTable && name === inField;
}
