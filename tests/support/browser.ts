import { existsSync } from 'node:fs';
import sparticuz from '@sparticuz/chromium';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';

/** Where systems and CI images usually keep a browser; the first that exists is taken. */
const INSTALLED = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/usr/bin/google-chrome-stable',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
];

const ARGUMENTS = ['--no-sandbox', '--disable-gpu', '--disable-background-networking'];

/** The browser to test with: named in PLUMBLINE_BROWSER, installed, or else the one that comes as an npm package. */
async function browserPath(): Promise<string> {
  const named = process.env.PLUMBLINE_BROWSER;
  if (named) return named;
  return INSTALLED.find((path) => existsSync(path)) ?? (await sparticuz.executablePath());
}

/** Starts a headless browser. Whoever starts it closes it. */
export async function launchBrowser(...more: readonly string[]): Promise<Browser> {
  return chromium.launch({
    executablePath: await browserPath(),
    args: [...ARGUMENTS, ...more],
    headless: true,
  });
}

/** Where tablets are opened: a browser, or one's part of one that others use as well. */
export type TestBrowser = Pick<Browser, 'newContext' | 'close'>;

let common: Promise<Browser> | null = null;

/** Starts the browser in common; where it ends unasked, whoever comes next has a new one. */
async function startCommon(): Promise<Browser> {
  // all cores are at work anyway: what V8 does on other threads to be quicker costs more than it brings
  const browser = await launchBrowser('--js-flags=--single-threaded');
  browser.once('disconnected', () => {
    common = null;
  });
  return browser;
}

/**
 * The browser that all files which run in this process have in common, since starting one takes longer than most of what
 * is done with it. Nothing passes from context to context, as from device to device. Closing it closes the contexts that
 * were opened through it; the browser itself goes with the process.
 */
export async function borrowBrowser(): Promise<TestBrowser> {
  common ??= startCommon();
  const browser = await common;
  const opened: BrowserContext[] = [];
  return {
    newContext: async (options) => {
      const context = await browser.newContext(options);
      opened.push(context);
      return context;
    },
    close: async () => {
      await Promise.all(opened.splice(0).map((context) => context.close()));
    },
  };
}

/** Sizes that the screens are looked at in, CSS px. */
export const SIZES = {
  landscape: { width: 1180, height: 820 },
  portrait: { width: 820, height: 1180 },
  phone: { width: 390, height: 844 },
} as const;

export interface TabletOptions {
  /** Where the base listens: `http://127.0.0.1:PORT`. */
  readonly base: string;
  readonly size?: keyof typeof SIZES;
  readonly theme?: 'dark' | 'light';
  /** Whether the page may put itself on the device, which a fresh one does all anew and takes long for. */
  readonly keepsItself?: boolean;
  /**
   * Whether the page fetches the screens that were not opened yet, which only who cuts the line needs. Otherwise the device
   * is one that was asked to save data. Left out: as `keepsItself`.
   */
  readonly fetchesAhead?: boolean;
  /** The language and region that the device is set to. */
  readonly locale?: string;
  readonly timezoneId?: string;
}

/** What a browser says of a device that was asked to save data: https://wicg.github.io/savedata/ */
const SAVES_DATA = `if (navigator.connection) Object.defineProperty(navigator.connection, 'saveData', { value: true });`;

/** A tablet of one's own: a fresh browser context, with touch, and one page. Errors on the page are collected. */
export async function openTablet(
  browser: TestBrowser,
  {
    base,
    size = 'landscape',
    theme = 'dark',
    keepsItself = false,
    fetchesAhead = keepsItself,
    locale = 'en-GB',
    timezoneId = 'Europe/Lisbon',
  }: TabletOptions,
): Promise<{ context: BrowserContext; page: Page; errors: string[] }> {
  const context = await browser.newContext({
    baseURL: base,
    viewport: SIZES[size],
    hasTouch: true,
    colorScheme: theme,
    reducedMotion: 'reduce',
    serviceWorkers: keepsItself ? 'allow' : 'block',
    locale,
    timezoneId,
  });
  if (!fetchesAhead) await context.addInitScript(SAVES_DATA);
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  return { context, page, errors };
}

/** Joins by an invite's token, under a name, and waits for the board. */
export async function joinAs(page: Page, token: string, name: string): Promise<void> {
  await page.goto(`/join#${token}`);
  await page.getByLabel('Your name').fill(name);
  await page.getByRole('button', { name: 'Join' }).click();
  await page.locator('[data-link="live"]').waitFor();
}

/** Files of the app that a page does not get until they are let go, and how often they were asked for. */
export async function heldBack(
  page: Page,
  files: string,
): Promise<{ readonly asked: () => number; readonly letGo: () => void }> {
  let letGo = (): void => {};
  const isLet = new Promise<void>((resolve) => {
    letGo = resolve;
  });
  let asked = 0;
  await page.route(files, async (route) => {
    asked++;
    await isLet;
    // those of a page that is gone are asked for no more
    await route.continue().catch(() => {});
  });
  return { asked: () => asked, letGo };
}
