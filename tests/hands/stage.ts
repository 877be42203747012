import { type Base, shootKind } from '@plumbline/base';
import type { Json } from '@plumbline/replica';
import { boardDefinition } from '@plumbline/shared';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { TABLET_FOLDER } from '../offline/built.ts';
import { call, createBoard, joinAs as joinByCall, type NewBoard, startTestBase } from '../support/base.ts';
import { borrowBrowser, joinAs, openTablet, type SIZES, type TestBrowser } from '../support/browser.ts';
import { openTablet as openWriter } from '../support/clients.ts';

export type Role = 'director' | 'camera' | 'sound' | 'producer';
export const ROLES: readonly Role[] = ['director', 'camera', 'sound', 'producer'];
export const NAMES: Readonly<Record<Role, string>> = {
  director: 'Ilse Marrowby',
  camera: 'Teodor Vance',
  sound: 'Nkechi Aldous',
  producer: 'Rafiq Thorne',
};

/** Tomorrow, so that the day is the next whenever it is run. */
export const DAY = new Date(Date.now() + 86_400_000).toISOString().slice(0, 10);

/** A small unit's plan: two setups that cut together and a third, one camera, one recorder, cards and a case. */
const PLAN = [
  {
    name: 'shoot.csv',
    text: 'Setting,Value\r\nTitle,The rope walk\r\nMains,50 Hz\r\nFrame rate,25\r\nSample rate,48000\r\n',
  },
  { name: 'days.csv', text: `Date,Call,Planned wrap\r\n${DAY},07:00,18:00\r\n` },
  { name: 'places.csv', text: 'ID,Place\r\nloft,The loft\r\n' },
  { name: 'scenes.csv', text: 'Number,Title,Place,Story order\r\n1,Twisting,The loft,10\r\n' },
  {
    name: 'setups.csv',
    text: `Setup;Scene;Description;Story order;Shooting order;Day;Match group;Reference setup;Planned (min)\r\n1A;1;Wide;10;10;${DAY};walk;1A;30\r\n1B;1;Close;20;20;${DAY};walk;1A;20\r\n1C;1;Hands;30;30;${DAY};;;20\r\n`,
  },
  {
    name: 'cameras.csv',
    text: 'Camera;Name;Base ISO;Highest ISO;Gain is set as;ND available (density);Card in\r\nA;Camera A;800;6400;ISO;"0,3; 0,6; 0,9; 1,2";C1\r\n',
  },
  {
    name: 'recorders.csv',
    text: 'Recorder,Name,Channels,Sample rate (Hz),Bit depth (bit)\r\nR1,Recorder,2,48000,24\r\n',
  },
  {
    name: 'inputs.csv',
    text: 'Setup,Recorder,Channel,Source,Level (dBFS)\r\n1A,R1,1,Boom,-24\r\n1B,R1,1,Boom,-24\r\n',
  },
  {
    name: 'cards.csv',
    text: 'Card,Kind,Department,Capacity (GB),State\r\nC1,Card,Camera,256,Prepared\r\nC2,Card,Camera,256,Prepared\r\n',
  },
  { name: 'kit.csv', text: 'Department;Code;Item;Kind\r\nsound;boom;Boom pole;Pole\r\n' },
];

/** What stands in the camera department’s fields: 1B is a stop off its reference. */
const PICTURE: Readonly<Record<string, Readonly<Record<string, Json>>>> = {
  '1A.A': {
    frameRate: '25',
    shutter: { angleDeg: 180 },
    aperture: 4,
    iso: 800,
    ndDensity: 0.6,
    whiteBalanceK: 5600,
    keyLux: 1000,
  },
  '1B.A': {
    frameRate: '25',
    shutter: { angleDeg: 180 },
    aperture: 2.8,
    iso: 800,
    ndDensity: 0.6,
    whiteBalanceK: 5600,
    keyLux: 1000,
  },
};

/** A base with the unit's board, in the middle of a morning. */
export interface Stage {
  readonly base: Base;
  readonly board: NewBoard;
  /** Sets values as somebody of a role who has a tablet elsewhere; resolves when they are stored. */
  write(role: Exclude<Role, 'producer'>, values: Values): Promise<void>;
  close(): Promise<void>;
}

export type Values = readonly (readonly [address: string, value: Json])[];

/** Starts the base and takes the plan in. */
export async function openStage(options: { readonly plan?: boolean } = {}): Promise<Stage> {
  const base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
  const board = await createBoard(base, 'The rope walk');
  const writers = new Map<string, Awaited<ReturnType<typeof openWriter>>>();
  const write: Stage['write'] = async (role, values) => {
    let writer = writers.get(role);
    if (!writer) {
      writer = await openWriter(
        base,
        await joinByCall(base, board, role, `${role} elsewhere`),
        boardDefinition,
      );
      writers.set(role, writer);
    }
    for (const [address, value] of values) {
      const [table = '', record = '', field = ''] = address.split('/');
      writer.set(table, record, field, value);
    }
    await writer.settled();
  };
  if (options.plan !== false) {
    const { session } = await joinByCall(base, board, 'director', 'Who brought the plan');
    const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
      token: session,
      body: { files: PLAN },
    });
    if (status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(body)}`);
    await write(
      'camera',
      Object.entries(PICTURE).flatMap(([record, fields]) =>
        Object.entries(fields).map(([field, value]) => [`picture/${record}/${field}`, value] as const),
      ),
    );
  }
  return {
    base,
    board,
    write,
    close: async () => {
      for (const writer of writers.values()) writer.close();
      await base.stop();
    },
  };
}

/** A setup in work with a take that was cut a moment ago. */
export async function shootATake(stage: Stage, setup: string, take: number): Promise<void> {
  const now = Date.now();
  await stage.write('director', [
    [`setups/${setup}/state`, 'inWork'],
    [`setups/${setup}/startedAt`, now - 600_000],
  ]);
  await stage.write('camera', [[`takes/${setup}.${take}/rolledAt`, now - 60_000]]);
  await stage.write('camera', [[`takes/${setup}.${take}/cutAt`, now - 30_000]]);
}

/** A stage and a browser for all tests of a file, put away after the last. Both are there once the first test begins. */
export function onAStage(
  before: (stage: Stage) => Promise<void> = async () => {},
  options: Parameters<typeof openStage>[0] = {},
): { readonly stage: Stage; readonly browser: TestBrowser } {
  let stage: Stage | undefined;
  let browser: TestBrowser | undefined;
  beforeAll(async () => {
    stage = await openStage(options);
    await before(stage);
    browser = await borrowBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await stage?.close();
  });
  const there = <T>(what: T | undefined): T => {
    if (what === undefined) throw new Error('The stage is not set up yet.');
    return what;
  };
  return {
    get stage() {
      return there(stage);
    },
    get browser() {
      return there(browser);
    },
  };
}

/** Somebody's tablet, joined by their invite, on the screen that their role lives on. */
export async function sitDown(
  browser: TestBrowser,
  stage: Stage,
  role: Role,
  size: keyof typeof SIZES = 'landscape',
): Promise<{ context: BrowserContext; page: Page; errors: string[] }> {
  const opened = await openTablet(browser, { base: stage.base.url, size });
  await joinAs(opened.page, stage.board.invites[role] ?? '', NAMES[role]);
  await opened.page.locator('[data-judged="true"]').waitFor();
  return opened;
}

/** Goes to a screen without loading the page anew. */
export async function goTo(page: Page, { board }: Stage, screen: string): Promise<void> {
  await page.evaluate((path) => {
    history.pushState(null, '', path);
    dispatchEvent(new PopStateEvent('popstate'));
  }, `/board/${board.boardId}/${screen}`);
  await page.locator('main :is(h1, h2)').first().waitFor();
}

/** The values that the base has stored, by their addresses, asked for over the page's own session. */
export async function storedAll(page: Page, { base, board }: Stage): Promise<(address: string) => unknown> {
  const answer = await page.context().request.get(`${base.url}/api/boards/${board.boardId}/view`);
  const view: { tables: Record<string, Record<string, Record<string, unknown>>> } = await answer.json();
  return (address) => {
    const [table = '', record = '', field = ''] = address.split('/');
    return view.tables[table]?.[record]?.[field];
  };
}

/** A value as the base has it stored. */
export async function stored(page: Page, stage: Stage, address: string): Promise<unknown> {
  return (await storedAll(page, stage))(address);
}
