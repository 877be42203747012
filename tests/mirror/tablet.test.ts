import { fileURLToPath } from 'node:url';
import { shootKind } from '@plumbline/base';
import { afterAll, beforeAll, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import type { MachineClock } from '../../apps/base/src/clock.ts';
import { behindWords } from '../../apps/tablet/src/parts/age.ts';
import { call, createBoard, joinAs, type NewBoard, startTestBase } from '../support/base.ts';
import {
  borrowBrowser,
  joinAs as joinOn,
  openTablet as openPage,
  type TestBrowser,
} from '../support/browser.ts';
import { until } from '../support/clients.ts';
import { openMirrorLine } from './line.ts';
import { accept, caughtUp, listed, MIRROR_LIMITS, sendTo } from './pair.ts';

const TABLET =
  process.env.PLUMBLINE_TABLET ?? fileURLToPath(new URL('../../apps/tablet/dist', import.meta.url));

let browser: TestBrowser;
beforeAll(async () => {
  browser = await borrowBrowser();
});
afterAll(() => browser.close());

async function start() {
  const options = { kind: shootKind(), tabletFolder: TABLET, mirrorLimits: MIRROR_LIMITS };
  const base = await startTestBase(options);
  onTestFinished(base.stop);
  let aheadMs = 0;
  const farClock: MachineClock = {
    wall: () => Date.now() + aheadMs,
    monotonic: () => performance.now() + aheadMs,
  };
  const far = await startTestBase({ ...options, machine: farClock });
  onTestFinished(far.stop);
  const line = await openMirrorLine(far.port);
  onTestFinished(line.close);
  const board: NewBoard = await createBoard(base, 'The tide mill at Corvane');
  await joinAs(base, board, 'camera', 'Teodor Vance');
  const keys = await accept(far);
  await sendTo(base, board.boardId, line.url, keys.key);
  await caughtUp({ base, boardId: board.boardId });
  const farLater = (milliseconds: number): void => {
    aheadMs += milliseconds;
  };
  return { base, far, line, board, keys, farLater };
}

it('the producer reads along far away, and is told as of when and how far behind, and that it is a copy', async () => {
  const { base, far, line, board, farLater } = await start();
  const { body } = await call(far, 'PUT', `/api/boards/${board.boardId}/invites/producer`, {
    token: far.adminKey,
  });
  const { invite } = z.object({ invite: z.string() }).parse(body);
  const { page, errors } = await openPage(browser, { base: far.url });
  await joinOn(page, invite, 'Rafiq Thorne');
  const strip = page.locator('[data-mirror]');
  await page.locator('[data-mirror="current"]').waitFor();
  expect((await strip.textContent()) ?? '').toMatch(
    /^As of \d\d:\d\d:\d\d, \d+ s behind\. A copy of the board on location, read only\.$/,
  );
  await page.getByText('The tide mill at Corvane').first().waitFor();
  line.cut();
  // A copy is behind after 20 s of silence; the page asks its base every five.
  farLater(20_000);
  await page.locator('[data-mirror="behind"]').waitFor();
  const asOf = ((await strip.textContent()) ?? '').slice(0, 14);
  await until(
    async () => /(2[1-9]|[3-9]\d) s behind/.test((await strip.textContent()) ?? ''),
    'the seconds to count',
    30_000,
  );
  expect(((await strip.textContent()) ?? '').slice(0, 14)).toBe(asOf);
  expect(errors).toEqual([]);
  await page.context().close();
  expect((await listed(base)).sent[0]?.state.kind).toBe('cut');
});

it('the director is told when the copy has stopped, and nobody else is', async () => {
  const { base, far, board, keys } = await start();
  await call(far, 'DELETE', `/api/mirrors/${keys.id}/key`, { token: far.adminKey });
  await until(async () => (await listed(base)).sent[0]?.state.kind === 'refused', 'the refusal');
  const director = await openPage(browser, { base: base.url });
  await joinOn(director.page, board.invites.director ?? '', 'Ilse Marrowby');
  await director.page.locator('[data-mirror="refused"]').waitFor();
  expect(await director.page.locator('[data-mirror]').textContent()).toContain(
    'does not take this key any more',
  );
  const camera = await openPage(browser, { base: base.url });
  const asked: string[] = [];
  camera.page.on('request', (request) => {
    if (request.url().endsWith('/mirror')) asked.push(request.url());
  });
  const answered = camera.page.waitForResponse((answer) => answer.url().endsWith('/mirror'));
  await joinOn(camera.page, board.invites.camera ?? '', 'Teodor Vance');
  expect((await (await answered).json()).sent?.state.kind).toBe('refused');
  await camera.page.locator('[data-judged="true"]').waitFor();
  expect(await camera.page.locator('[data-mirror]').count()).toBe(0);
  expect(asked).toHaveLength(1);
  for (const { page } of [director, camera]) await page.context().close();
});

it.each([
  [0, '0 s'],
  [40_400, '40 s'],
  [99_400, '99 s'],
  [100_000, '2 min'],
  [12 * 60_000, '12 min'],
  [3 * 3_600_000, '3 hours'],
])('%i ms behind is written %s', (milliseconds, words) => {
  expect(behindWords(milliseconds)).toBe(words);
});
