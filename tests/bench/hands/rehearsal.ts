import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import type { CDPSession } from 'playwright-core';
import { z } from 'zod';
import { joinAs, launchBrowser, openTablet } from '../../support/browser.ts';
import type { Measure } from '../bench.ts';
import { watchOver } from '../children.ts';
import type { Figure } from '../figures.ts';
import { CLI } from '../paths.ts';

const SEED = 7;
const PEOPLE = 8;
/** Two hours of the day, and how fast they are played. */
const PLAYED_HOURS = 2;
const SPEED = { whole: 12, smoke: 240 } as const;

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
      const { context, page } = await openTablet(browser, { base: greeting.url });
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

/** What the page's own heap holds once its garbage is collected, bytes. */
async function heldBy(session: CDPSession): Promise<number> {
  for (let round = 0; round < 2; round++) await session.send('HeapProfiler.collectGarbage');
  return (await session.send('Runtime.getHeapUsage')).usedSize;
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
