import type { CDPSession, Page } from 'playwright-core';
import { call, joinAs as joinByCall } from '../../support/base.ts';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { BaseServer, Bench, Measure, PlacedBoards } from '../bench.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { type Figure, median, quantile } from '../figures.ts';
import { noteJudged, SLOWER, scrollFrames, slowDown, touchToPainted } from './page.ts';

const DAYS = 20;
const SETUPS = DAYS * DAY.setups;

/** A setup in the middle of the board that is not the reference of its group. */
const EDITED = setupId(9, 1);

/** What a tablet six times slower than this machine makes of a board of 400 setups. */
export const tablet: Measure = {
  name: 'tablet',
  title: `A tablet ${SLOWER} times slower, on a board of ${SETUPS} setups`,
  async run(bench) {
    const placed = await bench.dataFolder('tablet', [await bench.document(DAYS)]);
    const base = await placed.start('usual');
    const browser = await launchBrowser();
    try {
      const { page, context } = await openTablet(browser, { base: base.url });
      const session = await context.newCDPSession(page);
      await noteJudged(page);
      const camera = placed.boards[0]?.invites.camera ?? '';
      await joinAs(page, camera, 'Teodor Vance');
      await judged(page);
      const samples = await measure(bench, { page, session, base, placed });
      return { figures: figuresOf(samples), notes: NOTES };
    } finally {
      await browser.close();
      await base.stop();
    }
  },
};

const NOTES = [
  `${SETUPS} setups in ${SETUPS / 4} match groups, two cameras, six channels; Chromium’s own processor throttling at ${SLOWER}; 1180 × 820`,
  'painted: from the touch to the first task after the frame that shows it; opened first: the page was loaded anew, its rules had judged the board, its screens were fetched',
  'frames: the time between animation frames while a script scrolls 40 px in each',
  'one machine runs the base, the browser and whatever else it has to do',
];

interface Samples {
  readonly opening: number[];
  readonly firstMatch: number[];
  readonly againMatch: number[];
  readonly matchFrames: number[][];
  readonly finding: number[];
  readonly mended: number[];
  readonly day: number[];
  readonly dayFrames: number[][];
}

interface Unit {
  readonly page: Page;
  readonly session: CDPSession;
  readonly base: BaseServer;
  readonly placed: PlacedBoards;
}

async function judged(page: Page): Promise<void> {
  await page.locator('[data-judged="true"]').waitFor({ timeout: 120_000 });
  // The other screens are fetched a while after the first: whoever touches a tab later finds them there.
  await page.waitForTimeout(2_500);
}

/** How long after the page was asked for its rules had judged the board, ms: noted by the page itself. */
function judgedAfter(page: Page): Promise<number> {
  return page.evaluate(() => window.judgedAt ?? Number.NaN);
}

async function measure(bench: Bench, unit: Unit): Promise<Samples> {
  const { page, session } = unit;
  const rounds = bench.isSmoke ? 2 : 7;
  const samples: Samples = {
    opening: [],
    firstMatch: [],
    againMatch: [],
    matchFrames: [],
    finding: [],
    mended: [],
    day: [],
    dayFrames: [],
  };
  await putOnOneDay(unit);
  for (let round = 0; round < rounds; round++) {
    await slowDown(session, SLOWER);
    await page.goto(`/board/${unit.placed.boards[0]?.boardId ?? ''}/unit`);
    await judged(page);
    samples.opening.push(await judgedAfter(page));
    samples.firstMatch.push(await touchToPainted(page, tab('Match'), '.match-group svg .match-line'));
    await page.waitForTimeout(300);
    samples.matchFrames.push(await scrollFrames(page, '.match-scroll', 'left', bench.isSmoke ? 120 : 400));
    samples.day.push(await touchToPainted(page, tab('Day'), '.setup-row'));
    await page.waitForTimeout(300);
    samples.dayFrames.push(await scrollFrames(page, '.shell-page', 'top', bench.isSmoke ? 120 : 400));
    samples.againMatch.push(await touchToPainted(page, tab('Match'), '.match-group svg .match-line'));
    await slowDown(session, 1);
    await edits(unit, samples);
  }
  return samples;
}

/** A camera is set wrong by one touch until its finding is painted, and the same mended by one touch in Match. */
async function edits({ page, session, placed }: Unit, samples: Samples): Promise<void> {
  const finding = `[data-finding="exposure-offset.${EDITED}.A"]`;
  await page.goto(`/board/${placed.boards[0]?.boardId ?? ''}/setup/${EDITED}`);
  await judged(page);
  const steps = page.locator(`[data-field="picture/${EDITED}.A/aperture"] button.step`);
  await steps.first().waitFor();
  await slowDown(session, SLOWER);
  samples.finding.push(
    await touchToPainted(page, `[data-field="picture/${EDITED}.A/aperture"] button.step >> nth=1`, finding),
  );
  samples.mended.push(
    await touchToPainted(page, `[data-field="picture/${EDITED}.A/aperture"] button.step >> nth=0`, finding, {
      gone: true,
    }),
  );
  await slowDown(session, 1);
}

/** The director plans all setups for one day: the hardest day there can be. */
async function putOnOneDay({ base, placed }: Unit): Promise<void> {
  const board = placed.boards[0];
  if (!board) throw new Error('no board');
  const director = await joinByCall(base, board, 'director');
  const rows = Array.from({ length: DAYS }, (_, day) =>
    Array.from({ length: DAY.setups }, (_, setup) => `${setupId(day, setup)},2031-03-01`),
  ).flat();
  const { status, body } = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
    token: director.session,
    body: { files: [{ name: 'setups.csv', text: `Setup,Day\r\n${rows.join('\r\n')}\r\n` }] },
  });
  if (status !== 200) throw new Error(`the day was not taken in: ${JSON.stringify(body)}`);
}

function tab(name: string): string {
  return `nav[aria-label="Screens"] a:has-text("${name}")`;
}

function figuresOf(samples: Samples): Figure[] {
  const figure = (name: string, of: string, values: readonly number[], most?: number): Figure => ({
    name,
    of,
    unit: 'ms',
    value: median(values),
    samples: values.length,
    ...(most === undefined ? {} : { aim: { most } }),
  });
  const p95 = (runs: readonly number[][]): number[] => runs.map((frames) => quantile(frames, 0.95));
  return [
    figure('page asked for to board judged', 'opening', samples.opening),
    figure('touch to painted, opened first', 'Match', samples.firstMatch, 500),
    figure('touch to painted, opened again', 'Match', samples.againMatch, 500),
    figure('scroll frames, p95', 'Match', p95(samples.matchFrames), 20),
    figure('touch to painted, opened first', 'Day', samples.day, 500),
    figure('scroll frames, p95', 'Day', p95(samples.dayFrames), 20),
    figure('edit to its finding painted', 'Setup', samples.finding, 150),
    figure('edit to its finding gone', 'Setup', samples.mended, 150),
  ];
}
