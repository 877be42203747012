import { type Base, shootKind } from '@plumbline/base';
import { boardDefinition } from '@plumbline/shared';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { TABLET_FOLDER } from '../offline/built.ts';
import {
  call,
  createBoard,
  joinAs as joinByCall,
  type Member,
  type NewBoard,
  startTestBase,
  viewOf,
} from '../support/base.ts';
import { borrowBrowser, type TestBrowser } from '../support/browser.ts';
import { openTablet as openSocket, type TestTablet } from '../support/clients.ts';
import { tabletsOf } from '../support/tablets.ts';

const PLAN = [
  { name: 'setups.csv', text: 'Setup,Shooting order,Longest take (min)\r\n1A,10,5\r\n' },
  {
    name: 'cards.csv',
    text: 'Card,Department,Capacity (GB),State\r\nA-01,Camera,64,Prepared\r\nA-02,Camera,64,Prepared\r\n',
  },
  { name: 'cameras.csv', text: 'Camera,Name,Card in\r\nA,Camera A,A-01\r\n' },
  { name: 'picture.csv', text: 'Setup,Camera,Bit rate (Mbit/s)\r\n1A,A,100\r\n' },
];
const MD5_OF_NOTHING = 'd41d8cd98f00b204e9800998ecf8427e';
const findingsSchema = z.object({
  findings: z.array(z.object({ id: z.string(), rule: z.string(), severity: z.string() })),
});

/** A hand that writes past every act and asks nobody first: what the base answers is the base’s own. */
const UNGUARDED = { ...boardDefinition, guards: [] };

describe('a card from the camera to the shelf, on a tablet', () => {
  let base: Base;
  let board: NewBoard;
  let browser: TestBrowser;
  let hand: TestTablet<typeof boardDefinition.tables>;
  let member: Member;
  let page: Page;
  let errors: readonly string[];
  const tablets = tabletsOf(() => ({ browser, base: base.url, ...board }));

  beforeAll(async () => {
    base = await startTestBase({ kind: shootKind(), tabletFolder: TABLET_FOLDER });
    board = await createBoard(base, 'Cards');
    const planner = await joinByCall(base, board, 'director', 'Who brought the plan');
    const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
      token: planner.session,
      body: { files: PLAN },
    });
    if (status !== 200) throw new Error(`the plan was not taken in: ${JSON.stringify(body)}`);
    member = await joinByCall(base, board, 'camera', 'Odile Wren');
    hand = await openSocket(base, member, UNGUARDED);
    browser = await borrowBrowser();
    ({ page, errors } = await tablets.at('camera', 'kit/cards', { name: 'Teodor Vance', size: 'portrait' }));
    await page.locator('[data-card="A-01"]').waitFor();
  });

  afterAll(async () => {
    hand?.close();
    await browser?.close();
    await base?.stop();
  });

  const card = (id: string) => page.locator(`[data-card="${id}"]`);
  const act = (id: string, name: string) => card(id).locator(`[data-act="${name}"]`);
  const stands = (id: string, state: string) =>
    page.locator(`[data-card="${id}"][data-state="${state}"]`).waitFor();
  const stored = () => page.locator('[data-stored="all"]').waitFor();
  const onBase = async (record: string) => (await viewOf(base, member)).cards?.[record];

  /** Rolls and cuts a take of setup 1A. */
  async function shoot(number: number): Promise<void> {
    hand.set('takes', `1A.${number}`, 'rolledAt', Date.now() - 60_000);
    hand.set('takes', `1A.${number}`, 'cutAt', Date.now() - 30_000);
    await hand.settled();
  }

  async function copyTo(where: string, check: string, sum?: string): Promise<void> {
    await act('A-01', 'copy').click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Where the copy is').fill(where);
    await sheet.getByRole('button', { name: check, exact: true }).click();
    if (sum !== undefined) {
      await sheet.getByRole('button', { name: 'MD5' }).click();
      await sheet.getByLabel('Its value').fill(sum);
    }
    await sheet.getByRole('button', { name: 'Record the copy' }).click();
    await sheet.waitFor({ state: 'detached' });
  }

  it('a roll writes which card was in which camera, and the card counts as in the camera', async () => {
    await shoot(1);
    await stands('A-01', 'inCamera');
    const { takes } = await viewOf(base, member);
    expect(takes?.['1A.1']).toMatchObject({ cards: ['A-01'], cardsIn: { 'cameras/A': 'A-01' } });
  });

  it('taken out full with one touch, it is in no camera any more', async () => {
    await act('A-01', 'takeOutFull').click();
    await stands('A-01', 'full');
    await stored();
    expect((await viewOf(base, member)).cameras?.A?.card).toBeUndefined();
    expect(await onBase('A-01')).toMatchObject({ state: 'full', holder: 'Teodor Vance' });
  });

  it('uncopied it is not cleared on the tablet, with a sentence that says why', async () => {
    await act('A-01', 'clear').click();
    const refusal = card('A-01').getByRole('alert');
    expect(await refusal.textContent()).toContain(
      'It holds take 1A.1 with 0 verified copies in different places; 2 are needed before it is cleared.',
    );
    expect(await onBase('A-01')).toMatchObject({ state: 'full' });
  });

  it('nor by the base, where the bare word is sent past every act', async () => {
    hand.set('cards', 'A-01', 'state', 'cleared');
    await hand.settled();
    expect(hand.replica.tray.peek()).toMatchObject([
      {
        code: 'guard',
        reasons: [{ record: 'A-01', field: 'state', reason: expect.stringContaining('0 verified copies') }],
      },
    ]);
    expect(await onBase('A-01')).toMatchObject({ state: 'full' });
  });

  it('before it is said to be prepared, the tablet says what that destroys', async () => {
    await act('A-01', 'prepared').click();
    const sheet = page.getByRole('dialog', { name: 'Do not prepare A-01' });
    await sheet.getByText('Preparing it destroys them').waitFor();
    await sheet.getByRole('button', { name: 'Leave it as it is' }).click();
    await sheet.waitFor({ state: 'detached' });
    await stands('A-01', 'full');
  });

  it('a checksum of the wrong length is named and not taken', async () => {
    await act('A-01', 'copy').click();
    const sheet = page.getByRole('dialog');
    await sheet.getByLabel('Where the copy is').fill('Disk 1');
    await sheet.getByRole('button', { name: 'By checksum' }).click();
    await sheet.getByRole('button', { name: 'MD5' }).click();
    await sheet.getByLabel('Its value').fill('d41d8');
    await sheet.getByText('This kind has 32 digits').waitFor();
    expect(await sheet.getByRole('button', { name: 'Record the copy' }).isDisabled()).toBe(true);
    await sheet.getByRole('button', { name: 'Close' }).click();
  });

  it('with two verified copies in two places it is verified, then cleared, then prepared', async () => {
    await copyTo('Disk 1', 'By checksum', MD5_OF_NOTHING);
    await stands('A-01', 'copied');
    await copyTo('Office', 'By eye');
    await stands('A-01', 'verified');
    await act('A-01', 'clear').click();
    await stands('A-01', 'cleared');
    await stored();
    expect(await onBase('A-01')).toMatchObject({
      state: 'cleared',
      copies: [
        { where: 'Disk 1', checked: 'checksum', sum: { kind: 'md5', value: MD5_OF_NOTHING } },
        { where: 'Office', checked: 'byEye' },
      ],
    });
    await act('A-01', 'prepared').click();
    await stands('A-01', 'prepared');
  });

  it('its own page tells what happened to it', async () => {
    await card('A-01').getByRole('link', { name: 'A-01' }).click();
    const history = page.getByRole('region', { name: 'What happened to it' });
    await history.getByText('1A take 1').waitFor();
    await history.getByText(`Copied to Disk 1 by Teodor Vance: by checksum md5 ${MD5_OF_NOTHING}`).waitFor();
    await page.getByRole('link', { name: 'All cards' }).click();
    await card('A-02').waitFor();
  });

  it('one that was prepared all the same is recorded as it happened, and comes before everything on the board', async () => {
    await act('A-02', 'putIn:A').click();
    await stands('A-02', 'inCamera');
    await stored();
    await shoot(2);
    await page.locator('[data-card="A-02"][data-lacking="1"]').waitFor();
    await act('A-02', 'takeOut').click();
    await stands('A-02', 'out');
    await act('A-02', 'prepared').click();
    await page.getByRole('dialog').locator('[data-act="preparedAnyway"]').click();
    await stands('A-02', 'prepared');
    const loud = page.locator('.cards-loud [data-rule="media-card-wiped"]');
    expect(await loud.textContent()).toContain(
      'Card A-02 was prepared with 1A take 2 on it and no verified copy.',
    );
    await stored();
    const { body } = await call(base, 'GET', `/api/boards/${board.boardId}/findings`, {
      token: member.session,
    });
    expect(findingsSchema.parse(body).findings[0]).toMatchObject({
      rule: 'media-card-wiped',
      severity: 'fault',
    });
    expect(await onBase('A-02')).toMatchObject({ state: 'prepared', preparedAt: [expect.any(Number)] });
  });

  it('the producer reads it and is offered no act', async () => {
    const { page: producers, errors: theirs } = await tablets.at('producer', 'kit/cards', {
      name: 'Rafiq Thorne',
      size: 'phone',
    });
    await producers.locator('[data-card="A-02"]').waitFor();
    expect(await producers.locator('[data-acts]').count()).toBe(0);
    expect(theirs).toEqual([]);
    expect(errors).toEqual([]);
  });
});
