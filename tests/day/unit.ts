import type { BrowserContext, Locator, Page } from 'playwright-core';
import { z } from 'zod';
import { call, createBoard, joinAs as joinByCall, type NewBoard, type Reachable } from '../support/base.ts';
import { joinAs, openTablet, type TestBrowser } from '../support/browser.ts';
import { type Line, openLine } from '../support/network.ts';

/** What the unit's spreadsheet holds before the day: two setups that cut together, one camera, one recorder. */
const PLAN = [
  {
    name: 'shoot.csv',
    text: 'Setting,Value\r\nTitle,The rope walk\r\nMains,50 Hz\r\nFrame rate,25\r\nSample rate,48000\r\n',
  },
  { name: 'scenes.csv', text: 'Number,Title,Story order\r\n1,Twisting,10\r\n' },
  {
    name: 'setups.csv',
    text: 'Setup;Scene;Description;Story order;Shooting order;Match group;Reference setup\r\n1A;1;Wide;10;10;walk;1A\r\n1B;1;Close;20;20;walk;1A\r\n',
  },
  {
    name: 'cameras.csv',
    text: 'Camera;Name;Base ISO;Highest ISO;Gain is set as;ND available (density)\r\nA;Camera A;800;6400;ISO;"0,3; 0,6; 0,9; 1,2"\r\n',
  },
  {
    name: 'recorders.csv',
    text: 'Recorder,Name,Channels,Sample rate (Hz),Bit depth (bit)\r\nR1,Recorder,4,48000,24\r\n',
  },
];

export const ROLES = ['director', 'camera', 'sound', 'producer'] as const;
export type Role = (typeof ROLES)[number];

/** One person's tablet on the board. */
export interface Tablet {
  readonly role: Role;
  readonly page: Page;
  readonly context: BrowserContext;
  readonly line: Line;
  /** Errors that the page reported, connections refused while the line was cut apart. */
  readonly errors: readonly string[];
}

/** Makes a board and takes the plan in, as the director would. */
export async function makeBoard(base: Reachable): Promise<NewBoard> {
  const board = await createBoard(base, 'A board to be named by its plan');
  const planner = await joinByCall(base, board, 'director', 'Who brought the plan');
  const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: planner.session,
    body: { files: PLAN },
  });
  if (status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(body)}`);
  return board;
}

/**
 * Joins in a browser context of its own, over a line of its own. The page puts itself on the device unless it is told not
 * to, which takes long and only who loads it anew without the base needs.
 */
export async function join(
  browser: TestBrowser,
  base: Reachable,
  board: NewBoard,
  role: Role,
  name: string,
  keepsItself = true,
): Promise<Tablet> {
  const line = await openLine(Number(new URL(base.url).port));
  const { context, page, errors } = await openTablet(browser, {
    base: line.url,
    keepsItself,
    fetchesAhead: true,
  });
  await joinAs(page, board.invites[role] ?? '', name);
  return { role, page, context, line, errors };
}

export function field(page: Page, address: string): Locator {
  return page.locator(`[data-field="${address}"]`);
}

/** Types a value into a field as a person does: touch it, type, set. */
export async function enter(page: Page, address: string, text: string): Promise<void> {
  await field(page, address).locator('button.field-value').click();
  const sheet = page.getByRole('dialog');
  await sheet.locator('.entry').fill(text);
  await sheet.getByRole('button', { name: 'Set', exact: true }).click();
  await page.getByRole('dialog').waitFor({ state: 'detached' });
}

/** Goes to a screen of the board without loading the page anew. */
export async function goTo(tablet: Tablet, board: NewBoard, screen: string): Promise<void> {
  await tablet.page.evaluate((path) => {
    history.pushState(null, '', path);
    dispatchEvent(new PopStateEvent('popstate'));
  }, `/board/${board.boardId}/${screen}`);
  await tablet.page.locator('main :is(h1, h2)').first().waitFor();
}

/** Resolves when every tablet shows it. */
export async function everywhere(
  tablets: readonly Tablet[],
  what: (page: Page) => Locator,
  state: 'visible' | 'detached' = 'visible',
): Promise<void> {
  await Promise.all(tablets.map(({ page }) => what(page).first().waitFor({ state, timeout: 60_000 })));
}

/** Resolves when everything that was entered on the tablet is on the base's disk. */
export async function allStored(tablet: Tablet): Promise<void> {
  await tablet.page.locator('[data-link="live"][data-stored="all"]').waitFor({ timeout: 20_000 });
}

const viewSchema = z.object({
  tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), z.unknown()))),
});

/** What stands on the board, asked for with a tablet's own cookie. */
export async function boardAsSeenBy(
  tablet: Tablet,
  board: NewBoard,
): Promise<z.infer<typeof viewSchema>['tables']> {
  const answer = await tablet.context.request.get(`${tablet.line.url}/api/boards/${board.boardId}/view`);
  return viewSchema.parse(await answer.json()).tables;
}
