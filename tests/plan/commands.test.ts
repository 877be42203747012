import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PLAN_KINDS } from '@plumbline/shared/plan';
import readSpreadsheet from 'read-excel-file/node';
import { describe, expect, it, onTestFinished } from 'vitest';
import * as z from 'zod';
import { joinWith, temporaryFolder, viewOf } from '../support/base.ts';
import { runCli, startBaseProcess } from '../support/process.ts';
import { workbook } from '../support/workbook.ts';

const DEMO = fileURLToPath(new URL('../../demo-data/', import.meta.url));
const boardSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });

async function running() {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const base = await startBaseProcess(folder.path);
  onTestFinished(async () => void (await base.end('SIGKILL')));
  const cli = (...args: string[]) => runCli(args, { PLUMBLINE_DATA: folder.path });
  const board = async (...args: string[]) => {
    const { boardId, invites } = boardSchema.parse(
      JSON.parse((await cli('board', 'create', ...args, '--json')).out),
    );
    const director = await joinWith(base, invites.director ?? '', 'Ana');
    return { boardId, view: () => viewOf(base, director) };
  };
  return { folder: folder.path, cli, board };
}

type View = Readonly<Record<string, Readonly<Record<string, Readonly<Record<string, unknown>>>>>>;

/** The tables of a plan, the title left out, which a board is given when it is made. */
function planOf(view: View): View {
  const tables = Object.fromEntries(PLAN_KINDS.map(({ table }) => [table, view[table] ?? {}]));
  return { ...tables, shoot: { shoot: { ...tables.shoot?.shoot, title: '' } } };
}

describe('a plan goes out and comes back in', () => {
  it('as a spreadsheet and as a folder of CSV files, value for value', async () => {
    const { folder, cli, board } = await running();
    const first = await board('First');
    const files = readdirSync(DEMO).filter((name) => /\.[ct]sv$/.test(name));
    const taken = await cli('import', first.boardId, ...files.map((name) => join(DEMO, name)));
    expect(taken.err).toBe('');
    const plan = planOf(await first.view());
    expect(Object.keys(plan.setups ?? {})).toHaveLength(15);
    for (const path of [join(folder, 'plan.xlsx'), join(folder, 'plan')]) {
      const written = await cli('export', first.boardId, path, '--json');
      expect(written.err).toBe('');
      const second = await board('Second');
      const paths = existsSync(join(path, 'setups.csv'))
        ? readdirSync(path).map((name) => join(path, name))
        : [path];
      const back = await cli('import', second.boardId, ...paths);
      expect(back.err).toBe('');
      expect(planOf(await second.view())).toEqual(plan);
      const again = await cli('import', second.boardId, ...paths, '--json');
      expect(JSON.parse(again.out)).toEqual({ values: 0 });
    }
    expect((await cli('export', first.boardId, join(folder, 'plan.xlsx'))).code).toBe(1);
    expect(readFileSync(join(folder, 'plan', 'setups.csv'), 'utf8').startsWith('\ufeffID,')).toBe(true);
    const [sheet] = await readSpreadsheet(join(folder, 'plan.xlsx'));
    expect(sheet?.sheet).toBe('Shoot');
  });

  it('the next day’s board starts from the plan and the settings, and from no take', async () => {
    const { cli, board } = await running();
    const first = await board('Day one');
    const files = readdirSync(DEMO).filter((name) => /\.[ct]sv$/.test(name));
    await cli('import', first.boardId, ...files.map((name) => join(DEMO, name)));
    const second = await board('Day two', '--from', first.boardId);
    const view: View = await second.view();
    expect(planOf(view)).toEqual(planOf(await first.view()));
    expect(view.shoot?.shoot?.title).toBe('Day two');
    expect(view.takes ?? {}).toEqual({});
    expect((await cli('board', 'create', 'Day three', '--from', 'nowhere')).code).toBe(1);
  });
});

describe('a spreadsheet', () => {
  it('written by the standard is read: dates, times of day, numbers, text, a second sheet', async () => {
    const { folder, cli, board } = await running();
    const { boardId, view } = await board('Board');
    const path = join(folder, 'own.xlsx');
    writeFileSync(
      path,
      workbook({
        // 46521 is 2027-05-14, and 0.3125 of a day is 07:30
        Days: [
          ['Date', 'Call', 'Planned wrap'],
          [{ date: 46_521 }, { time: 0.3125 }, '18:15'],
        ],
        'Setups & more': [
          ['Setup', 'Planned (min)', 'Day'],
          ['1A', 45, { date: 46_521 }],
          ['1B', 12.0, '2027-05-14'],
        ],
      }),
    );
    const dry = await cli('import', boardId, path, '--dry', '--json');
    expect(dry.err).toBe('');
    expect(JSON.parse(dry.out)).toEqual({ values: 8 });
    expect((await view()).setups ?? {}).toEqual({});
    expect((await cli('import', boardId, path)).out).toBe('8 values taken in\n');
    expect((await view()).days).toEqual({ '2027-05-14': { call: '07:30', wrap: '18:15' } });
    expect((await view()).setups).toEqual({
      '1A': { label: '1A', plannedMinutes: 45, day: '2027-05-14' },
      '1B': { label: '1B', plannedMinutes: 12, day: '2027-05-14' },
    });
  });

  it('that is none is named, and nothing is written', async () => {
    const { folder, cli, board } = await running();
    const { boardId } = await board('Board');
    for (const [name, bytes] of [
      ['empty.xlsx', Buffer.alloc(0)],
      ['noise.xlsx', Buffer.from('PK\x03\x04 not really')],
      ['half.xlsx', workbook({ A: [['Setup'], ['1A']] }).subarray(0, 900)],
    ] as const) {
      writeFileSync(join(folder, name), bytes);
      const { code, err } = await cli('import', boardId, join(folder, name));
      expect([name, code]).toEqual([name, 1]);
      expect(err).toContain(name);
    }
  });
});
