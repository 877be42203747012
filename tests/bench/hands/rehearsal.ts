import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { Browser, Page } from 'playwright-core';
import { z } from 'zod';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { Measure } from '../bench.ts';
import { watchOver } from '../children.ts';
import type { Figure } from '../figures.ts';
import { CLI } from '../paths.ts';
import { compiledIn, heldBy } from './held.ts';

const SEED = 7;
const PEOPLE = 8;
/** Two hours of the day, and how fast they are played. */
const PLAYED_HOURS = 2;
const SPEED = { whole: 12, smoke: 240 } as const;

/** A page anew fetches and reads all that it will within this time. */
const SETTLED_MS = 15_000;
/** What a page may hold beyond one that is opened anew on the same board. */
const BEYOND_AIM_MB = 0.4;

const greetingSchema = z.object({ url: z.string(), boardId: z.string() });
const beganSchema = z.object({ boardId: z.string(), links: z.record(z.string(), z.string()) });

/** What a page and the base hold after two hours of a day that eight people work on. */
export const rehearsal: Measure = {
  name: 'rehearsal',
  title: `A rehearsal of ${PLAYED_HOURS} hours by ${PEOPLE} people, seed ${SEED}: what a page that looks on holds`,
  async run(bench) {
    const speed = bench.isSmoke ? SPEED.smoke : SPEED.whole;
    const environment = {
      PATH: process.env.PATH,
      PLUMBLINE_DATA: join(bench.folder, 'rehearsal'),
      PLUMBLINE_PORT: '0',
      PLUMBLINE_DEMO: '1',
      PLUMBLINE_LOG_LEVEL: 'warn',
    };
    const run = (...args: string[]) => {
      const child = spawn(process.execPath, [CLI, ...args, '--json'], {
        env: environment,
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      watchOver(child);
      return child;
    };
    const serve = run('serve');
    const browser = await launchBrowser('--js-flags=--expose-gc');
    try {
      const greeting = greetingSchema.parse(await firstLine(serve.stdout));
      const play = run(
        'rehearse',
        greeting.boardId,
        '--speed',
        String(speed),
        '--people',
        String(PEOPLE),
        '--seed',
        String(SEED),
      );
      const lines = createInterface({ input: play.stdout });
      let steps = -1;
      const began = new Promise<z.infer<typeof beganSchema>>((resolve) => {
        lines.on('line', (line) => {
          if (++steps === 0) resolve(beganSchema.parse(JSON.parse(line)));
        });
      });
      const { links } = await began;
      const { context, page } = await openTablet(browser, { base: greeting.url, fetchesAhead: true });
      await joinAs(page, links.director?.split('#')[1] ?? '', 'Who looks on');
      await page.locator('[data-judged="true"]').waitFor();
      const session = await context.newCDPSession(page);
      const points: { at: number; page: number; base: number }[] = [];
      const begun = performance.now();
      const lasts = (PLAYED_HOURS * 3_600_000) / speed;
      const pauses = 12;
      for (let point = 0; point <= pauses; point++) {
        points.push({
          at: (performance.now() - begun) / 3_600_000,
          page: await heldBy(session),
          base: residentOf(serve.pid ?? 0),
        });
        if (point < pauses && play.exitCode === null) await page.waitForTimeout(lasts / pauses);
      }
      const isEnded = play.exitCode !== null;
      play.kill('SIGINT');
      await page.waitForTimeout(SETTLED_MS);
      const held = { all: await heldBy(session), compiled: await compiledIn(session) };
      const anew = await heldAnew(browser, page, greeting.url, links.director);
      await context.close();
      // what is loaded and grows to its size at the beginning is no leak
      const settled = points.slice(Math.floor(points.length / 3));
      const figure = (name: string, of: string, unit: string, value: number): Figure => ({
        name,
        of,
        unit,
        value,
      });
      const minutes = (performance.now() - begun) / 60_000;
      return {
        figures: [
          figure('held at first', 'page', 'MB', (points[0]?.page ?? 0) / 1e6),
          figure('held at the end', 'page', 'MB', (points.at(-1)?.page ?? 0) / 1e6),
          figure('once the play has stopped', 'page', 'MB', held.all / 1e6),
          figure('once the play has stopped', 'page anew', 'MB', anew.all / 1e6),
          figure('of it compiled code', 'page', 'MB', held.compiled / 1e6),
          figure('of it compiled code', 'page anew', 'MB', anew.compiled / 1e6),
          {
            ...figure(
              'beyond a page anew, code apart',
              'page',
              'MB',
              (held.all - held.compiled - (anew.all - anew.compiled)) / 1e6,
            ),
            aim: { most: BEYOND_AIM_MB },
          },
          figure(
            'growth per hour of the clock',
            'page',
            'MB',
            slope(settled.map(({ at, page }) => [at, page / 1e6])),
          ),
          figure(
            'growth per hour that is played',
            'page',
            'MB',
            slope(settled.map(({ at, page }) => [at, page / 1e6])) / speed,
          ),
          figure('resident at first', 'base', 'MB', (points[0]?.base ?? 0) / 1e6),
          figure('resident at the end', 'base', 'MB', (points.at(-1)?.base ?? 0) / 1e6),
          figure('steps played', 'page', '', steps),
        ],
        notes: [
          `${minutes.toFixed(1)} min of the clock at ${speed} times its speed; ${isEnded ? 'the day was over before that' : 'the day went on'}; ${points.length} looks, each after the page's garbage was collected twice; growth is the slope of the later two thirds`,
          `page anew: opened on the same screen of the same board once the play has stopped, looked at after ${SETTLED_MS / 1000} s; what the page that looked on all the time holds beyond it is no content of the board. Apart is told what the browser has compiled of the page’s functions and learnt while they ran, which a page that has done little has less of`,
          'the director’s page on Day, which shows every setup; the base is what `plumbline serve` is, and its resident memory includes what it gives back only under pressure',
        ],
      };
    } finally {
      await browser.close();
      serve.kill('SIGTERM');
    }
  },
};

function firstLine(stream: NodeJS.ReadableStream): Promise<unknown> {
  return new Promise((resolve) => {
    createInterface({ input: stream }).once('line', (line) => resolve(JSON.parse(line)));
  });
}

/** What a page holds that is opened anew where another one stands, bytes. */
async function heldAnew(
  browser: Browser,
  there: Page,
  base: string,
  link = '',
): Promise<{ all: number; compiled: number }> {
  const { context, page } = await openTablet(browser, { base, fetchesAhead: true });
  await joinAs(page, link.split('#')[1] ?? '', 'Who comes late');
  await page.goto(there.url());
  await page.locator('[data-judged="true"]').waitFor();
  await page.waitForTimeout(SETTLED_MS);
  const session = await context.newCDPSession(page);
  const held = { all: await heldBy(session), compiled: await compiledIn(session) };
  await context.close();
  return held;
}

/** Resident memory of a process, bytes; 0 where the system does not tell. */
function residentOf(pid: number): number {
  try {
    const kilobytes = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
    return Number(kilobytes ?? 0) * 1024;
  } catch {
    return 0;
  }
}

/** The slope of the straight line through some points, by least squares. */
function slope(points: readonly (readonly [x: number, y: number])[]): number {
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / points.length;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / points.length;
  const above = points.reduce((sum, [x, y]) => sum + (x - meanX) * (y - meanY), 0);
  const below = points.reduce((sum, [x]) => sum + (x - meanX) ** 2, 0);
  return above / below;
}
