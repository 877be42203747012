import { fileURLToPath } from 'node:url';
import { shootKind } from '@plumbline/base';
import type { Page } from 'playwright-core';
import {
  call,
  createBoard,
  joinAs as joinByCall,
  type NewBoard,
  type Reachable,
  startTestBase,
} from '../support/base.ts';
import { joinAs, openTablet, type TabletOptions, type TestBrowser } from '../support/browser.ts';
import { type Line, openLine } from '../support/network.ts';

const TABLET =
  process.env.PLUMBLINE_TABLET ?? fileURLToPath(new URL('../../apps/tablet/dist', import.meta.url));

const PLAN = [
  { name: 'shoot.csv', text: 'Setting,Value\r\nTitle,The rope walk\r\n' },
  { name: 'cameras.csv', text: 'Camera,Name\r\nA,Camera A\r\n' },
  { name: 'setups.csv', text: 'Setup,Description,Shooting order\r\n1A,Wide,10\r\n1B,Close,20\r\n' },
  {
    name: 'kit.csv',
    text: [
      'Department,Code,Item,Kind,Serial,Packed in,Weight (kg),Camera,Needed by,Own or hired,Owner,Due back',
      'camera,body,Camera body,Camera,CB-1,Case 1,1.9,A,1A; 1B,,,',
      'camera,lens,Prime lens 50,Lens,PL-5,Case 1,0.4,,1B,,,',
      'camera,legs,Tall legs,Support,TL-3,Van,6.4,,1A,Hired,A hirer of legs,2020-05-14',
      'sound,boom,Boom,Microphone,BM-9,Sound bag,0.2,,,,,',
    ].join('\r\n'),
  },
];

/** A base of this process with the tablet's page, and a board with a little kit. */
export async function startKitBase(plan: readonly { name: string; text: string }[] = PLAN) {
  const base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET });
  const board = await createBoard(base, 'A board to be named by its plan');
  const planner = await joinByCall(base, board, 'director', 'Who brought the plan');
  const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: planner.session,
    body: { files: plan },
  });
  if (status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(body)}`);
  return { base, board };
}

export interface KitTablet {
  readonly page: Page;
  readonly line: Line;
  readonly errors: readonly string[];
  /** Goes to a page of the kit. */
  go(record: string): Promise<void>;
  close(): Promise<void>;
}

/** Somebody's tablet at the kit, over a line of its own. */
export async function openKit(
  browser: TestBrowser,
  base: Reachable,
  board: NewBoard,
  role: string,
  name: string,
  options: Partial<TabletOptions> = {},
): Promise<KitTablet> {
  const line = await openLine(Number(new URL(base.url).port));
  const { context, page, errors } = await openTablet(browser, {
    base: line.url,
    ...options,
  });
  await joinAs(page, board.invites[role] ?? '', name);
  const tablet: KitTablet = {
    page,
    line,
    errors,
    go: async (record) => {
      await page.evaluate((path) => {
        history.pushState(null, '', path);
        dispatchEvent(new PopStateEvent('popstate'));
      }, `/board/${board.boardId}/kit/${record}`);
      await page.locator('.kit-tabs').waitFor();
    },
    close: async () => {
      await context.close();
      await line.close();
    },
  };
  await tablet.go('items');
  return tablet;
}
