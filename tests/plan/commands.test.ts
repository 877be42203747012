import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { PLAN_KINDS } from '@plumbline/shared/plan';
import readSpreadsheet from 'read-excel-file/node';
import { describe, expect, it, onTestFinished } from 'vitest';
import * as z from 'zod';
import { adminClient } from '../../apps/base/src/cli/client.ts';
import { exportPlan, importPlan } from '../../apps/base/src/cli/plan.ts';
import { shootKind } from '../../apps/base/src/shoot.ts';
import { joinWith, startTestBase, temporaryFolder, viewOf } from '../support/base.ts';
import { runCli } from '../support/process.ts';
import { workbook } from '../support/workbook.ts';

const DEMO = fileURLToPath(new URL('../../demo-data/', import.meta.url));
const boardSchema = z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) });

/** A base in this process, used as the commands use it. */
async function running() {
  const base = await startTestBase({ kind: shootKind() });
  onTestFinished(base.stop);
  const client = adminClient({ url: base.url }, base.adminKey);
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const board = async (title: string, from?: string) => {
    const { boardId, invites } = boardSchema.parse(
      await client.call('POST', '/api/boards', boardSchema, { title, ...(from !== undefined && { from }) }),
    );
    const director = await joinWith(base, invites.director ?? '', 'Ana');
    return { boardId, view: () => viewOf(base, director) };
  };
  const take = (boardId: string, paths: readonly string[], dry = false) =>
    importPlan(client, boardId, paths, { dry });
  return { client, folder: folder.path, board, take };
}

const demoPaths = readdirSync(DEMO)
  .filter((name) => /\.[ct]sv$/.test(name))
  .map((name) => join(DEMO, name));

type View = Readonly<Record<string, Readonly<Record<string, Readonly<Record<string, unknown>>>>>>;

/** The tables of a plan, the title left out, which a board is given when it is made. */
function planOf(view: View): View {
  const tables = Object.fromEntries(PLAN_KINDS.map(({ table }) => [table, view[table] ?? {}]));
  return { ...tables, shoot: { shoot: { ...tables.shoot?.shoot, title: '' } } };
}

describe('a plan goes out and comes back in', () => {
  it('as a spreadsheet and as a folder of CSV files, value for value', async () => {
    const { client, folder, board, take } = await running();
    const first = await board('First');
    await take(first.boardId, demoPaths);
    const plan = planOf(await first.view());
    expect(Object.keys(plan.setups ?? {})).toHaveLength(15);
    for (const path of [join(folder, 'plan.xlsx'), join(folder, 'plan')]) {
      await exportPlan(client, first.boardId, path);
      const second = await board('Second');
      const paths = path.endsWith('.xlsx') ? [path] : readdirSync(path).map((name) => join(path, name));
      await take(second.boardId, paths);
      expect(planOf(await second.view())).toEqual(plan);
      expect(await take(second.boardId, paths)).toEqual({ values: 0 });
    }
    await expect(exportPlan(client, first.boardId, join(folder, 'plan.xlsx'))).rejects.toThrow('plan.xlsx');
    expect(readFileSync(join(folder, 'plan', 'setups.csv'), 'utf8').startsWith('\ufeffID,')).toBe(true);
    const [sheet] = await readSpreadsheet(join(folder, 'plan.xlsx'));
    expect(sheet?.sheet).toBe('Shoot');
  });

  it('the next day’s board starts from the plan and the settings, and from no take', async () => {
    const { board, take } = await running();
    const first = await board('Day one');
    await take(first.boardId, demoPaths);
    const second = await board('Day two', first.boardId);
    const view: View = await second.view();
    expect(planOf(view)).toEqual(planOf(await first.view()));
    expect(view.shoot?.shoot?.title).toBe('Day two');
    expect(view.takes ?? {}).toEqual({});
    await expect(board('Day three', 'nowhere')).rejects.toThrow('no such board');
  });
});

describe('a spreadsheet', () => {
  it('written by the standard is read: dates, times of day, numbers, text, a second sheet', async () => {
    const { folder, board, take } = await running();
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
          ['1B', 12, '2027-05-14'],
        ],
      }),
    );
    expect(await take(boardId, [path], true)).toEqual({ values: 8 });
    expect((await view()).setups ?? {}).toEqual({});
    expect(await take(boardId, [path])).toEqual({ values: 8 });
    expect((await view()).days).toEqual({ '2027-05-14': { call: '07:30', wrap: '18:15' } });
    expect((await view()).setups).toEqual({
      '1A': { label: '1A', plannedMinutes: 45, day: '2027-05-14' },
      '1B': { label: '1B', plannedMinutes: 12, day: '2027-05-14' },
    });
  });

  it('that is none is named, and nothing is written', async () => {
    const { folder, board, take } = await running();
    const { boardId, view } = await board('Board');
    const before = await view();
    for (const [name, bytes] of [
      ['empty.xlsx', Buffer.alloc(0)],
      ['noise.xlsx', Buffer.from('PK\x03\x04 not really')],
      ['half.xlsx', workbook({ A: [['Setup'], ['1A']] }).subarray(0, 900)],
    ] as const) {
      writeFileSync(join(folder, name), bytes);
      await expect(take(boardId, [join(folder, name)])).rejects.toThrow(name);
    }
    expect(await view()).toEqual(before);
  });
});

it('the commands tell the same: what would be taken in, and where it was written', async () => {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const environment = { PLUMBLINE_DATA: folder.path };
  const created = await runCli(['board', 'create', 'Board', '--json'], environment);
  const { boardId } = boardSchema.parse(JSON.parse(created.out));
  const path = join(folder.path, 'own.xlsx');
  writeFileSync(path, workbook({ Setups: [['Setup'], ['1A']] }));
  const dry = await runCli(['import', boardId, path, '--dry'], environment);
  expect(dry).toMatchObject({ code: 0, out: '1 value would be taken in\n' });
  const out = await runCli(['export', boardId, join(folder.path, 'out'), '--json'], environment);
  expect(JSON.parse(out.out)).toEqual({ files: [join(folder.path, 'out', 'shoot.csv')] });
});
