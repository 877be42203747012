import { type Base, type BaseOptions, shootKind, startBase } from '@plumbline/base';
import type { BrowserContext, Page } from 'playwright-core';
import { vi } from 'vitest';
import { z } from 'zod';
import { makeBoard } from '../day/unit.ts';
import { call, joinAs as joinWith, type NewBoard, temporaryFolder } from '../support/base.ts';
import { joinAs, openTablet, type TestBrowser } from '../support/browser.ts';
import { TABLET_FOLDER } from './built.ts';

/** A machine that does much else at once is slow, which is nothing that these tests are about. */
const PATIENCE_MS = 90_000;
vi.setConfig({ testTimeout: 5 * PATIENCE_MS, hookTimeout: 2 * PATIENCE_MS });

/** A base that can be stopped and started again at the same address, as a laptop is shut and opened. */
export interface Station {
  readonly url: string;
  readonly board: NewBoard;
  readonly dataFolder: string;
  readonly base: Base;
  stop(): Promise<void>;
  start(changes?: Partial<BaseOptions>): Promise<void>;
  close(): Promise<void>;
}

export async function openStation(): Promise<Station> {
  const folder = temporaryFolder('offline');
  const options: BaseOptions = {
    kind: shootKind(),
    dataFolder: folder.path,
    tabletFolder: TABLET_FOLDER,
    version: '0.0.0',
  };
  let base: Base = await startBase(options);
  let running = true;
  const { port, url } = base;
  const board = await makeBoard(base);
  const stop = async (): Promise<void> => {
    if (running) await base.stop();
    running = false;
  };
  return {
    url,
    board,
    dataFolder: folder.path,
    get base() {
      return base;
    },
    stop,
    start: async (changes = {}) => {
      if (running) return;
      base = await startBase({ ...options, port, ...changes });
      running = true;
    },
    close: async () => {
      await stop();
      folder.remove();
    },
  };
}

/**
 * Joins as camera in a browser context of its own and waits until the page is kept on the device, unless it is not to be
 * kept: that takes long, and only who loads it anew with the base gone needs it.
 */
export async function joinStation(
  browser: TestBrowser,
  station: Station,
  { script, keepsItself = true }: { readonly script?: string; readonly keepsItself?: boolean } = {},
): Promise<{ context: BrowserContext; page: Page; errors: string[] }> {
  const tablet = await openTablet(browser, { base: station.url, keepsItself, fetchesAhead: true });
  tablet.context.setDefaultTimeout(PATIENCE_MS);
  if (script !== undefined) await tablet.context.addInitScript({ content: script });
  await joinAs(tablet.page, station.board.invites.camera ?? '', 'Teodor Vance');
  if (keepsItself) await keptWhole(tablet.page);
  return tablet;
}

/** Resolves when every file of the page is on the device. */
export async function keptWhole(page: Page): Promise<void> {
  await page.evaluate(async () => {
    const registration = await navigator.serviceWorker.ready;
    const { active } = registration;
    while (active && active.state !== 'activated') await new Promise((go) => setTimeout(go, 20));
    while (!navigator.serviceWorker.controller) await new Promise((go) => setTimeout(go, 20));
  });
}

/** Opens a screen by its address, as from a bookmark. */
export async function openScreen(page: Page, station: Station, screen: string): Promise<void> {
  await page.goto(`${station.url}/board/${station.board.boardId}/${screen}`);
  await opened(page);
}

/** Resolves when a screen is there with all that it fetches. */
export async function opened(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const main = document.querySelector('main.shell-page');
    if (main === null || main.querySelector('[data-opening]')) return false;
    return main.childElementCount > 0 && !main.textContent?.includes('Opening…');
  });
}

/** The values that a cell has had, in the order that they were stored, as the base's history tells. */
export async function storedValues(station: Station, address: string): Promise<unknown[]> {
  const [table = '', record = '', field = ''] = address.split('/');
  const watcher = await joinWith(station.base, station.board, 'director', 'Who looks');
  const query = new URLSearchParams({ table, record, field, limit: '500' });
  const { body } = await call(station.base, 'GET', `/api/boards/${station.board.boardId}/history?${query}`, {
    token: watcher.session,
  });
  const { entries } = historySchema.parse(body);
  return entries.sort((a, b) => a.seq - b.seq).map(({ value }) => value);
}

const historySchema = z.object({ entries: z.array(z.object({ seq: z.number(), value: z.unknown() })) });
