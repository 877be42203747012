import type { Browser, CDPSession, Page } from 'playwright-core';
import { call, joinAs as joinByCall } from '../../support/base.ts';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { BaseServer, Bench, Measure, PlacedBoards } from '../bench.ts';
import { DAY, setupId } from '../boards/shootDays.ts';
import { type Figure, median, quantile } from '../figures.ts';
import { cpuBetween, cpuOfFrames, SLOWER, scrollFrames, slowDown, touchToPainted, traced } from './page.ts';

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
      const { page, context } = await openTablet(browser, { base: base.url, fetchesAhead: true });
      page.setDefaultTimeout(120_000);
      const session = await context.newCDPSession(page);
      const camera = placed.boards[0]?.invites.camera ?? '';
      await joinAs(page, camera, 'Teodor Vance');
      await judged(page);
      const samples = await measure(bench, {
        page,
        browser,
        session,
        base,
        placed,
        board: placed.boards[0]?.boardId ?? '',
      });
      return { figures: figuresOf(samples), notes: NOTES };
    } finally {
      await browser.close();
      await base.stop();
    }
  },
};

const NOTES = [
  `${SETUPS} setups in ${SETUPS / 4} match groups, all planned for one day, two cameras, six channels; 1180 × 820`,
  `the processor's time of the page's main thread, as the browser's tracing counts it, times ${SLOWER}: what else the machine does meanwhile does not count`,
  'touch to painted: to the first task after the frame that shows it; opened first: the page was loaded anew, its rules had judged the board, its screens were fetched',
  'scroll frames: everything between two animation frames while a script scrolls 40 px in each',
  `on the clock: the same with the browser slowed down ${SLOWER} times; only on a machine that does nothing else does that say something`,
];

/** What was measured, by its name. */
type Samples = ReadonlyMap<string, readonly number[]>;

interface Unit {
  readonly page: Page;
  readonly browser: Browser;
  /** Its id. */
  readonly board: string;
  readonly session: CDPSession;
  readonly base: BaseServer;
  readonly placed: PlacedBoards;
}

async function judged(page: Page): Promise<void> {
  await page.locator('[data-judged="true"]').waitFor({ timeout: 120_000 });
  // The other screens are fetched a while after the first: whoever touches a tab later finds them there.
  await page.waitForTimeout(2_500);
}

async function measure(bench: Bench, unit: Unit): Promise<Samples> {
  const { page, session, browser } = unit;
  const rounds = bench.isSmoke ? 2 : 7;
  const frames = bench.isSmoke ? 120 : 300;
  const samples = new Map<string, number[]>();
  const note = (name: string, value: number): void => {
    samples.set(name, [...(samples.get(name) ?? []), value]);
  };
  const touch = async (name: string, act: () => Promise<number>): Promise<void> => {
    const trace = await traced(browser, page, act);
    const [from = 0] = trace.marks.get('touched') ?? [];
    const [to = 0] = trace.marks.get('painted') ?? [];
    note(name, SLOWER * cpuBetween(trace, from, to));
  };
  const scroll = async (name: string, element: string, way: 'left' | 'top'): Promise<void> => {
    await page.waitForTimeout(1_000);
    const trace = await traced(browser, page, () => scrollFrames(page, element, way, frames));
    note(name, SLOWER * quantile(cpuOfFrames(trace), 0.95));
  };
  await putOnOneDay(unit);
  for (let round = 0; round < rounds; round++) {
    await page.goto(`/board/${unit.board}/unit`);
    await judged(page);
    await touch('first', () => touchToPainted(page, tab('Match'), MATCH_SHOWS));
    await scroll('matchFrames', '.match-scroll', 'left');
    await touch('day', () => touchToPainted(page, tab('Day'), '.setup-row'));
    await scroll('dayFrames', '.shell-page', 'top');
    await touch('again', () => touchToPainted(page, tab('Match'), MATCH_SHOWS));

    await page.goto(`/board/${unit.board}/setup/${EDITED}`);
    await judged(page);
    await page.locator(step(1)).waitFor();
    await touch('finding', () => touchToPainted(page, step(1), FINDING));
    await touch('gone', () => touchToPainted(page, step(0), FINDING, { gone: true }));

    await page.goto(`/board/${unit.board}/unit`);
    await judged(page);
    await slowDown(session, SLOWER);
    note('firstClock', await touchToPainted(page, tab('Match'), MATCH_SHOWS));
    await page.waitForTimeout(1_000);
    const times = await scrollFrames(page, '.match-scroll', 'left', frames);
    note('framesClock', quantile(times, 0.95));
    await slowDown(session, 1);
  }
  return samples;
}

const MATCH_SHOWS = '.match-group svg .match-line';
const FINDING = `[data-finding="exposure-offset.${EDITED}.A"]`;

/** The button that closes the aperture of the edited picture by a step, or opens it. */
function step(which: 0 | 1): string {
  return `[data-field="picture/${EDITED}.A/aperture"] button.step >> nth=${which}`;
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
  const figure = (name: string, of: string, key: string, most?: number): Figure => {
    const values = samples.get(key) ?? [];
    return {
      name,
      of,
      unit: 'ms',
      value: median(values),
      samples: values.length,
      ...(most === undefined ? {} : { aim: { most } }),
    };
  };
  return [
    figure('touch to painted, opened first', 'Match', 'first', 500),
    figure('touch to painted, opened again', 'Match', 'again', 500),
    figure('touch to painted, opened first', 'Day', 'day', 500),
    figure('scroll frames, p95', 'Match', 'matchFrames', 20),
    figure('scroll frames, p95', 'Day', 'dayFrames', 20),
    figure('edit to its finding painted', 'Setup', 'finding', 150),
    figure('edit to its finding gone', 'Setup', 'gone', 150),
    figure('on the clock: touch to painted, opened first', 'Match', 'firstClock'),
    figure('on the clock: scroll frames, p95', 'Match', 'framesClock'),
  ];
}
