import type { Locator, Page } from 'playwright-core';
import * as z from 'zod';
import { brokenWords, faultsOf, smallTargets } from '../support/axe.ts';

/** A sheet, and the way to it. */
export interface Way {
  readonly sheet: string;
  /** Where it is opened from. */
  readonly screen: string;
  /** What is touched on the screen to open it. */
  readonly touch: (page: Page) => Locator;
  /** What is done on the screen before. */
  readonly first?: (page: Page) => Promise<void>;
  /** Held down instead of touched. */
  readonly held?: true;
  /** It makes something new: every box of it says what it is for. */
  readonly makes?: true;
  /** Another that is made of the same parts: this one is looked at in the whole run only. */
  readonly like?: string;
}

const button =
  (name: string | RegExp) =>
  (page: Page): Locator =>
    page
      .locator('main, .shell-bar, .shell-tabs')
      .getByRole('button', { name, ...(typeof name === 'string' && { exact: true }) })
      .first();

const field =
  (name: string) =>
  (page: Page): Locator =>
    page.locator(`[data-field="${name}"] button.field-value`).first();

const marked =
  (selector: string) =>
  (page: Page): Locator =>
    page.locator(selector).first();

/** What is folded is unfolded, unless it is already. */
const opened =
  (selector: string) =>
  async (page: Page): Promise<void> => {
    const details = page.locator(selector).first();
    await details.waitFor();
    if ((await details.getAttribute('open')) === null) await details.locator('summary').click();
  };

/** A grey point as a PNG (W3C PNG, third edition), what a device would hand over. */
const PICTURE = {
  name: 'wheel.png',
  mimeType: 'image/png',
  buffer: Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==',
    'base64',
  ),
};

/** From here on the page hands over a picture when it asks for one. */
const withPicture = async (page: Page): Promise<void> => {
  page.removeAllListeners('filechooser');
  page.on('filechooser', (chooser) => void chooser.setFiles(PICTURE));
};

/** Adds a picture as a hand would. */
const pictured = async (page: Page): Promise<void> => {
  await page.locator('[data-take="device"]').setInputFiles(PICTURE);
  await page.locator('.photo-preview').waitFor();
  await page.locator('dialog[open]').getByRole('button', { name: 'Add it' }).click();
  await page.locator('dialog[open]').waitFor({ state: 'detached' });
};

/** The sheets that each role has, by the way a hand takes to them. A kind that all have stands with one. */
export const WAYS: Readonly<Record<'director' | 'camera' | 'sound' | 'producer', readonly Way[]>> = {
  director: [
    { sheet: 'Find', screen: 'day', touch: marked('[data-find]') },
    { sheet: 'Findings', screen: 'day', touch: button(/^Findings: /) },
    { sheet: 'All screens', like: 'Find', screen: 'day', touch: button('More') },
    {
      sheet: 'Back and forth',
      like: 'Find',
      screen: 'day',
      touch: button(/^(Undo: |Nothing to undo)/),
      held: true,
    },
    { sheet: 'A day', screen: 'day', touch: button('Hours and order'), makes: true },
    { sheet: 'Add a setup', screen: 'day', touch: button('Add a setup'), makes: true },
    { sheet: 'Add a scene', screen: 'day', touch: button('Add a scene'), makes: true },
    { sheet: 'Accept it', screen: 'setup/1D', touch: marked('[data-accept]') },
    { sheet: 'Details of a setup', screen: 'setup/1D', touch: button('Details') },
    { sheet: 'Raise a flag', screen: 'setup/1D', touch: button('Raise a flag'), makes: true },
    { sheet: 'Roll anyway', like: 'Accept it', screen: 'setup/3C', touch: button(/^Roll take/) },
    { sheet: 'What stood against a take', screen: 'setup/1D', touch: marked('.found-then') },
    { sheet: 'Two setups beside each other', screen: 'match', touch: button('Compare two') },
    { sheet: 'Answer a flag', like: 'Accept it', screen: 'setup/1D', touch: button('Answer') },
    { sheet: 'Add a place', screen: 'places/mill', touch: button('Add a place'), makes: true },
    {
      sheet: 'An opening',
      like: 'A circuit',
      screen: 'places/mill',
      touch: button('Add an opening'),
      makes: true,
    },
    { sheet: 'A circuit', screen: 'places/mill', touch: button('Add a circuit'), makes: true },
    {
      sheet: 'A reading of the light',
      screen: 'places/mill',
      touch: button('Add a reading of the light'),
      makes: true,
    },
    { sheet: 'A sketch', screen: 'places/mill', touch: button('Sketch') },
    {
      sheet: 'Add a photograph',
      like: 'A sketch',
      screen: 'places/mill',
      first: withPicture,
      touch: button('From this device'),
      makes: true,
    },
    {
      sheet: 'A photograph',
      like: 'A sketch',
      screen: 'places/mill',
      first: pictured,
      touch: marked('.photo'),
    },
    {
      sheet: 'A place out of use',
      like: 'A sketch',
      screen: 'places/mill',
      touch: button('Take this place out of use'),
    },
    { sheet: 'Words', screen: 'places/mill', touch: field('places/mill/hazards') },
    {
      sheet: 'What a setup needs',
      like: 'Sign out to',
      screen: 'kit/setup.1A',
      touch: button('What it needs…'),
    },
    { sheet: 'One of a few', like: 'Words', screen: 'unit', touch: field('shoot/shoot/mainsHz') },
    { sheet: 'Keys', like: 'Find', screen: 'unit', touch: button('Keys') },
    { sheet: 'A second device', screen: 'unit', touch: button('Join with a second device') },
  ],
  camera: [
    { sheet: 'The keys of a number', screen: 'setup/1D', touch: field('picture/1D.A/aperture') },
    { sheet: 'About a camera', screen: 'setup/1D', touch: button('About camera A') },
    {
      sheet: 'A check of a setup',
      like: 'Accept it',
      screen: 'setup/1D',
      first: opened('.ready'),
      touch: button('List a check'),
    },
    {
      sheet: 'Decline what is asked',
      like: 'Accept it',
      screen: 'notices',
      touch: marked('[data-decline-ask]'),
    },
    { sheet: 'Add to the kit', screen: 'kit', touch: button('Add'), makes: true },
    { sheet: 'Find by a label', screen: 'kit', touch: button('Scan') },
    { sheet: 'Sign out to', screen: 'kit/item.camera.legs-low', touch: button('Sign out to…') },
    {
      sheet: 'Look over',
      like: 'Damaged',
      screen: 'kit/item.camera.legs-low',
      touch: button('Look over, sign out'),
      makes: true,
    },
    { sheet: 'Damaged', screen: 'kit/item.camera.legs-low', touch: button('Damaged…'), makes: true },
    { sheet: 'A card', screen: 'kit/cards', touch: button('Add a card or drive'), makes: true },
    { sheet: 'A copy', screen: 'kit/cards.A-01', touch: marked('[data-act="copy"]'), makes: true },
    {
      sheet: 'A check of a copy',
      like: 'A copy',
      screen: 'kit/cards.A-01',
      touch: marked('[data-act="check:0"]'),
      makes: true,
    },
    {
      sheet: 'Do not prepare',
      like: 'A copy',
      screen: 'kit/cards.A-01',
      touch: marked('[data-act="prepared"]'),
    },
    { sheet: 'A battery', screen: 'kit/power', touch: button('Add a battery'), makes: true },
    { sheet: 'A charge', screen: 'kit/power', touch: marked('[data-act="charge"]') },
    {
      sheet: 'Where a battery goes',
      like: 'A charge',
      screen: 'kit/power',
      touch: marked('[data-act="move"]'),
    },
    { sheet: 'Onto a circuit', screen: 'kit/power', touch: button('Plan something on it'), makes: true },
    { sheet: 'A load', like: 'About a camera', screen: 'kit/power', touch: marked('.power-load') },
    {
      sheet: 'A line of the routine',
      like: 'Accept it',
      screen: 'kit/checks',
      first: (page) => button('Change the routine')(page).click(),
      touch: button('Add a line'),
    },
  ],
  sound: [
    { sheet: 'A channel', screen: 'sound/3C', touch: marked('button.channel-body') },
    { sheet: 'Flag a channel', like: 'Accept it', screen: 'sound/3C', touch: button(/^Flag channel/) },
    {
      sheet: 'A reading of the sound',
      like: 'A reading of the light',
      screen: 'places/mill',
      touch: button('Add a reading of the sound'),
      makes: true,
    },
  ],
  producer: [{ sheet: 'Hours', like: 'A day', screen: 'day', touch: button('Hours') }],
};

const lookSchema = z.object({ name: z.string(), inside: z.boolean(), silent: z.array(z.string()) });

/** What a sheet is called, whether the keyboard is in it, and which of its boxes say nothing of what they are for. */
const LOOK = `(() => {
  const sheet = [...document.querySelectorAll('dialog[open]')].at(-1);
  const text = (ids) => (ids ?? '').split(' ').map((id) => document.getElementById(id)?.textContent ?? '').join(' ').trim();
  return {
    name: text(sheet.getAttribute('aria-labelledby')) || (sheet.getAttribute('aria-label') ?? ''),
    inside: sheet.contains(document.activeElement),
    silent: [...sheet.querySelectorAll('form :is(input, textarea, select, fieldset)')]
      .filter((box) => !/\\S.*[.!?…]$/.test(text(box.getAttribute('aria-describedby'))))
      .map((box) => (box.labels?.[0] ?? box.querySelector('legend') ?? box).textContent.trim() || box.outerHTML.slice(0, 80)),
  };
})()`;

/** Opens a sheet, looks at it as `look` asks, and closes it again. What is wrong with it, one line each. */
export async function faultsOfSheet(page: Page, way: Way): Promise<string[]> {
  const opener = way.touch(page);
  await (way.held ? opener.click({ delay: 700 }) : opener.click());
  const sheet = page.locator('dialog[open]');
  await sheet.locator('h2').first().waitFor();
  const { name, inside, silent } = lookSchema.parse(await page.evaluate(LOOK));
  const faults = [
    ...(await faultsOf(page, 'dialog[open]')),
    ...(await smallTargets(page)).map((target) => `too small for a finger: ${target}`),
    ...(await brokenWords(page, 'dialog[open]')).map((word) => `parted: ${word}`),
    ...(name === '' ? ['it has no name'] : []),
    ...(inside ? [] : ['the keyboard is not in it']),
    ...(way.makes ? silent.map((box) => `says nothing of what it is for: ${box}`) : []),
  ];
  await page.keyboard.press('Escape');
  await sheet.waitFor({ state: 'detached' });
  const isBack = await opener.evaluate((element) => element === document.activeElement);
  return (isBack ? faults : [...faults, 'the keyboard is not back where it was opened']).map(
    (fault) => `${way.sheet} (${way.screen}): ${fault}`,
  );
}
