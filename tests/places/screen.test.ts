import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type Base, shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import * as z from 'zod';
import { TABLET_FOLDER } from '../offline/built.ts';
import { call, joinWith, type Member, startTestBase, viewOf } from '../support/base.ts';
import { borrowBrowser, type SIZES, type TestBrowser } from '../support/browser.ts';
import { type LentTablet, tabletsOf } from '../support/tablets.ts';

const boardSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

let base: Base;
let browser: TestBrowser;
let board: z.infer<typeof boardSchema>;
let reader: Member;

/** Two places, one of them known by position; a day with an exterior before sunrise and an interior by the window. */
const PLAN: Readonly<Record<string, string>> = {
  'places.csv':
    'ID,Place,Latitude,Longitude,Time zone,Window bearing,Light\nmill,Mill,55.1209,10.9498,Europe/Copenhagen,200,Windows to the south\nyard,Yard,,,,,\n',
  'days.csv': 'Date,Call\n2027-05-14,04:50\n',
  'scenes.csv':
    'Number,Title,Place,Int/Ext,Day or night\n1,The gate,Mill,Exterior,Day\n2,The floor,Mill,Interior,Day\n',
  'setups.csv': 'Setup,Scene,Day,Shooting order,Planned\n1A,1,2027-05-14,1,30\n2A,2,2027-05-14,2,600\n',
};

beforeAll(async () => {
  base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
  browser = await borrowBrowser();
  const made = await call(base, 'POST', '/api/boards', { token: base.adminKey, body: { title: 'A film' } });
  board = boardSchema.parse(made.body);
  reader = await joinWith(base, board.invites.director ?? '', 'Ida');
  const files = Object.entries(PLAN).map(([name, text]) => ({ name, text }));
  const answer = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: reader.session,
    body: { files },
  });
  expect(answer.status, JSON.stringify(answer.body)).toBe(200);
});

afterAll(async () => {
  await browser.close();
  await base.stop();
});

const tablets = tabletsOf(() => ({ browser, base: base.url, ...board }));

async function at(role: string, place = 'mill', size: keyof typeof SIZES = 'landscape'): Promise<LentTablet> {
  const tablet = await tablets.at(role, `places/${place}`, size);
  await tablet.page.locator(`[data-place="${place}"]`).waitFor();
  return tablet;
}

async function valueAt(table: string, record: string, field: string): Promise<unknown> {
  return (await viewOf(base, reader))[table]?.[record]?.[field];
}

const numberAt = async (page: Page, hook: string): Promise<number> =>
  Number(await page.locator(`[data-sun-${hook}]`).getAttribute(`data-sun-${hook}`));

describe('the sun', () => {
  it('stands on the shoot’s day where craft says, and the slider moves it by touch and by keys', async () => {
    const { page, errors, giveBack } = await at('producer');
    expect(await page.getByLabel('Date', { exact: true }).inputValue()).toBe('2027-05-14');
    // 55.1209° N 10.9498° E: sunrise 05:10, sunset 21:15, highest 13:12, summer time (craft, held against published tables).
    await page.locator('[data-sun-event="Sunrise"]').getByText('05:10').waitFor();
    await page.locator('[data-sun-event="Sunset"]').getByText('21:15').waitFor();
    await page.locator('[data-sun-event="Highest"]').getByText('13:12').waitFor();
    const slider = page.getByRole('slider', { name: 'Time of day' });
    await slider.fill(String(10 * 60));
    expect(await page.locator('[data-sun-time]').getAttribute('data-sun-time')).toBe('10:00');
    expect(await numberAt(page, 'bearing')).toBeCloseTo(115.5, 1);
    expect(await numberAt(page, 'height')).toBeCloseTo(38.6, 1);
    expect(await slider.getAttribute('aria-valuetext')).toMatch(
      /^10:00: 115° ESE, 38.6° above the horizon, day$/,
    );
    await slider.focus();
    await page.keyboard.press('ArrowRight');
    expect(await page.locator('[data-sun-time]').getAttribute('data-sun-time')).toBe('10:05');
    await slider.fill('60');
    await page.getByText('Astronomical twilight', { exact: true }).waitFor();
    await page.locator('[data-sun-daylight="between"]').waitFor();
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('keeps its time of day over dates, and says where the clocks are changed', async () => {
    const { page, giveBack } = await at('producer');
    await page.getByRole('slider').fill(String(10 * 60));
    await page.getByLabel('Date', { exact: true }).fill('2027-03-28');
    await page.getByText(/changed on this date: it has 23 hours/).waitFor();
    expect(await page.locator('[data-sun-time]').getAttribute('data-sun-time')).toBe('10:00');
    // 23 hours: the slider ends an hour earlier.
    expect(await page.getByRole('slider').getAttribute('max')).toBe(String(23 * 60 - 1));
    await page.getByRole('button', { name: 'The day before' }).click();
    expect(await page.locator('[data-sun-time]').getAttribute('data-sun-time')).toBe('10:00');
    await page.getByRole('button', { name: 'Friday 14 May' }).click();
    await page.locator('[data-sun-event="Sunrise"]').getByText('05:10').waitFor();
    await giveBack();
  });

  it('of a place that nobody has located is asked for, not guessed', async () => {
    const { page, giveBack } = await at('producer', 'yard');
    await page.getByText(/it takes the place’s latitude and longitude/).waitFor();
    expect(await page.locator('svg.sun-rose').count()).toBe(0);
    await giveBack();
  });

  it('that does not set or rise is said so', async () => {
    const { page, giveBack } = await at('director', 'yard');
    const set = async (field: string, text: string): Promise<void> => {
      await page.locator(`[data-field="places/yard/${field}"] .field-value`).click();
      await page.locator('dialog .entry').first().fill(text);
      await page.getByRole('button', { name: 'Set', exact: true }).click();
      await page.locator('dialog').waitFor({ state: 'detached' });
    };
    await set('latitudeDeg', '89.9');
    await set('longitudeDeg', '15');
    await set('timeZone', 'Arctic/Longyearbyen');
    await page.locator('[data-sun-state="polar day"]').waitFor();
    await page.getByLabel('Date', { exact: true }).fill('2027-12-21');
    await page.locator('[data-sun-state="polar night"]').waitFor();
    await page.locator('svg.sun-rose').waitFor();
    await giveBack();
  });
});

describe('the scouting record', () => {
  it('the camera enters an opening with its width: the sun is told for it, and against what is planned', async () => {
    const { page, errors, giveBack } = await at('camera');
    await page.locator('[data-opening="Main windows"]').getByText('width not entered').waitFor();
    await page.getByRole('button', { name: 'Add an opening' }).click();
    await page.getByLabel('Opening', { exact: true }).fill('South window');
    await page.getByLabel(/Looks towards/).fill('400');
    await page.getByRole('button', { name: 'Set', exact: true }).click();
    await page
      .getByRole('alert')
      .getByText(/between 0 and 360/)
      .waitFor();
    await page.getByLabel(/Looks towards/).fill('180');
    await page.getByLabel(/Width/).fill('60°');
    await page.getByRole('button', { name: 'Set', exact: true }).click();
    // The sun passes 150° at 11:54 and 210° at 14:30 on that day (craft).
    await page.locator('[data-opening="South window"]').getByText('sun from 11:54 to 14:30').waitFor();
    await page
      .locator('[data-rule="light-opening-sun"]')
      .getByText(/South window 11:54–14:30/)
      .waitFor();
    await page
      .locator('[data-rule="light-sun-down"]')
      .getByText(/the sun rises at 05:10/)
      .waitFor();
    expect(await valueAt('places', 'mill', 'openings')).toEqual([
      { name: 'South window', bearingDeg: 180, arcDeg: 60 },
    ]);
    expect(errors).toEqual([]);
    await giveBack();
  });

  it('the camera reads the light in EV, the sound the room in dB(A); each changes its own and reads the other’s', async () => {
    const camera = await at('camera');
    await camera.page.getByRole('button', { name: 'Add a reading of the light' }).click();
    await camera.page.getByRole('button', { name: 'In EV at ISO 100' }).click();
    await camera.page.getByLabel('Exposure value, EV').fill('12');
    // EV 12 at ISO 100 with C = 250: 2^12 · 250 / 100 = 10 240 lx (ISO 2720).
    await camera.page.getByText(/Reads as 10.200 lx, EV 12.0/).waitFor();
    await camera.page.getByLabel('Date', { exact: true }).last().fill('2027-05-01');
    await camera.page.getByLabel('Time there').fill('10:15');
    await camera.page.getByRole('button', { name: 'Set', exact: true }).click();
    await camera.page.locator('[data-readings="lightReadings"]').getByText('10:15').waitFor();
    expect(await camera.page.getByRole('button', { name: 'Add a reading of the sound' }).count()).toBe(0);

    const sound = await at('sound', 'mill', 'phone');
    await sound.page.locator('[data-readings="lightReadings"]').getByText(/EV 12/).waitFor();
    expect(await sound.page.getByRole('button', { name: 'Add a reading of the light' }).count()).toBe(0);
    await sound.page.getByRole('button', { name: 'Add a reading of the sound' }).click();
    await sound.page.getByLabel('Level, dB(A)').fill('41.5 dB');
    await sound.page.getByLabel('What is heard').fill('The weir');
    await sound.page.getByRole('button', { name: 'Set', exact: true }).click();
    await sound.page.locator('[data-readings="soundReadings"]').getByText('41.5 dB(A)').waitFor();
    await camera.page.locator('[data-readings="soundReadings"]').getByText('The weir').waitFor();
    const readings = (await viewOf(base, reader)).lightReadings ?? {};
    const [light] = Object.values(readings);
    expect(light?.lux).toBe(10_240);
    // 10:15 in Copenhagen in May is 08:15 UTC.
    expect(light?.takenAt).toBe(Date.UTC(2027, 4, 1, 8, 15));
    await camera.giveBack();
    await sound.giveBack();
  });

  it('a hazard that is marked shows its caution to everybody', async () => {
    const { page, giveBack } = await at('sound');
    await page.locator('[data-hazard="water"]').click();
    await page
      .locator('[data-caution="water"]')
      .getByText(/never alone/)
      .waitFor();
    const producer = await at('producer');
    await producer.page.locator('[data-caution="water"]').waitFor();
    expect(await producer.page.locator('[data-hazard]').count()).toBe(0);
    await giveBack();
    await producer.giveBack();
  });

  it('the director adds a place and takes it out of use; nobody else can', async () => {
    const { page, giveBack } = await at('director');
    await page.getByRole('button', { name: 'Add a place' }).click();
    await page.getByLabel('Place', { exact: true }).fill('Ferry landing');
    await page.getByRole('button', { name: 'Add it' }).click();
    await page.locator('[data-place="ferrylanding"]').waitFor();
    await page.getByRole('button', { name: 'Take this place out of use' }).click();
    await page.getByRole('button', { name: 'Take it out of use', exact: true }).click();
    await page.getByRole('link', { name: 'Ferry landing' }).waitFor({ state: 'detached' });
    expect(await valueAt('places', 'ferrylanding', 'retired')).toBe(true);
    const camera = await at('camera');
    expect(await camera.page.getByRole('button', { name: /Add a place|out of use/ }).count()).toBe(0);
    await giveBack();
    await camera.giveBack();
  });

  it('this device’s position is asked for by a touch alone, and a refusal is said', async () => {
    const { page, giveBack } = await at('director');
    const before = await valueAt('places', 'mill', 'latitudeDeg');
    await page.getByRole('button', { name: 'Use where this device is' }).click();
    await page.getByText(/Not allowed on this device|does not know where it is/).waitFor();
    expect(await valueAt('places', 'mill', 'latitudeDeg')).toBe(before);
    await page.context().grantPermissions(['geolocation']);
    await page.context().setGeolocation({ latitude: 55.123456, longitude: 10.987654, accuracy: 12 });
    await page.getByRole('button', { name: 'Use where this device is' }).click();
    await page.getByText('Set from this device, good to about 12 m.').waitFor();
    await expect.poll(() => valueAt('places', 'mill', 'latitudeDeg')).toBe(55.12346);
    await giveBack();
  });
});

describe('on a tablet and on a phone', () => {
  it.each(['landscape', 'phone'] as const)(
    '%s: nothing sticks out, and assistive technology finds no fault',
    async (size) => {
      const { page, giveBack } = await at('director', 'mill', size);
      const { scroll, client } = await page
        .locator('.shell-page')
        .evaluate((element) => ({ scroll: element.scrollWidth, client: element.clientWidth }));
      expect(scroll).toBeLessThanOrEqual(client);
      await page.evaluate(AXE);
      const faults = await page.evaluate(async () => {
        const { axe } = window as unknown as {
          axe: {
            run(
              of: string,
              how: object,
            ): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
          };
        };
        const { violations } = await axe.run('.shell-page', {
          runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'],
        });
        return violations.map(
          ({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 160)).join(' | ')}`,
        );
      });
      expect(faults).toEqual([]);
      await giveBack();
    },
  );
});
