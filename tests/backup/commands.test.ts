import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { boardDefinition } from '@plumbline/shared';
import { expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { call, createBoard, joinAs, viewOf } from '../support/base.ts';
import { openTablet } from '../support/clients.ts';
import { runCli, startBaseProcess } from '../support/process.ts';
import { folderOfTest } from './filled.ts';

const summarySchema = z.object({
  boards: z.array(z.object({ id: z.string(), rows: z.int() })),
  sum: z.string(),
});
const historySchema = z.object({
  entries: z.array(z.object({ seq: z.int(), record: z.string(), value: z.unknown() })),
});

it('backed up while people write, a board restored elsewhere has every row up to the backup’s last', async () => {
  const path = folderOfTest();
  const base = await startBaseProcess(path);
  onTestFinished(async () => void (await base.end('SIGKILL')));
  const board = await createBoard(base);
  const member = await joinAs(base, board, 'director');
  const tablets = await Promise.all(
    ['a', 'b', 'c'].map((tab) => openTablet(base, member, boardDefinition, { tab })),
  );
  let count = 0;
  let isWriting = true;
  const writing = tablets.map(async (tablet, index) => {
    while (isWriting) {
      for (let i = 0; i < 10; i++) tablet.set('crew', `w${index}n${++count}`, 'name', `name ${count}`);
      await tablet.settled();
    }
  });
  const file = join(folderOfTest(), 'live.backup');
  const made = await runCli(['backup', file, '--json'], { PLUMBLINE_DATA: path });
  expect({ code: made.code, err: made.err }).toEqual({ code: 0, err: '' });
  const { boards } = summarySchema.parse(JSON.parse(made.out));
  expect(boards).toMatchObject([{ id: board.boardId }]);
  const last = boards[0]?.rows ?? 0;
  expect((await runCli(['verify'], { PLUMBLINE_DATA: path })).code).toBe(0);
  isWriting = false;
  await Promise.all(writing);
  for (const tablet of tablets) tablet.close();
  const history = async (of: typeof base, before: number) => {
    const { body } = await call(
      of,
      'GET',
      `/api/boards/${board.boardId}/history?limit=500&before=${before}`,
      {
        token: member.session,
      },
    );
    return historySchema.parse(body).entries;
  };
  const here = await history(base, last + 1);
  const all = await history(base, Number.MAX_SAFE_INTEGER);
  expect(all[0]?.seq).toBeGreaterThan(last);
  expect(await base.end('SIGTERM')).toBe(0);

  const elsewhere = folderOfTest();
  const back = await runCli(['restore', file, '--json'], { PLUMBLINE_DATA: elsewhere });
  expect({ code: back.code, err: back.err }).toEqual({ code: 0, err: '' });
  const again = await startBaseProcess(elsewhere);
  onTestFinished(async () => void (await again.end('SIGKILL')));
  expect(await history(again, last + 1)).toEqual(here);
  const { crew = {} } = await viewOf(again, member);
  for (const { record, value } of here.filter(({ record }) => record.startsWith('w'))) {
    expect(crew[record]?.name).toBe(value);
  }
  const refused = await runCli(['restore', file], { PLUMBLINE_DATA: elsewhere });
  expect(refused).toMatchObject({ code: 1, err: expect.stringContaining('Another base is using') });
});

it('backup, restore and verify explain themselves, and their exit codes say how it went', async () => {
  const path = folderOfTest();
  const environment = { PLUMBLINE_DATA: path, PLUMBLINE_PORT: '4310' };
  const file = join(folderOfTest(), 'a.backup');
  const helps = ['backup', 'restore', 'verify'].map((name) => runCli([name, '--help'], environment));
  for (const { code, out } of await Promise.all(helps)) {
    expect(code).toBe(0);
    expect(out).toContain('--json');
  }
  expect(await runCli(['backup', file], environment)).toMatchObject({ code: 1 });
  expect(await runCli(['backup'], environment)).toMatchObject({ code: 2 });
  expect((await runCli(['board', 'create', 'First'], environment)).code).toBe(0);
  expect(await runCli(['backup', file], environment)).toMatchObject({ code: 0, err: '' });
  expect(await runCli(['backup', file], environment)).toMatchObject({
    code: 1,
    err: expect.stringContaining('--force'),
  });
  expect((await runCli(['backup', file, '--force'], environment)).code).toBe(0);
  expect((await runCli(['backup', `${file}2`, '--board', 'nowhere'], environment)).code).toBe(1);
  expect(existsSync(`${file}2`)).toBe(false);
  const sound = await runCli(['verify', file, '--json'], environment);
  expect(sound.code).toBe(0);
  expect(JSON.parse(sound.out)).toMatchObject({ isSound: true, flaws: [] });

  const ended = await runCli(['restore', file, '--end-sessions', '--json'], {
    ...environment,
    PLUMBLINE_DATA: folderOfTest(),
  });
  expect(ended.code).toBe(0);
  const { links } = z
    .object({ links: z.record(z.string(), z.record(z.string(), z.string())) })
    .parse(JSON.parse(ended.out));
  expect(Object.values(links).flatMap((ofBoard) => Object.keys(ofBoard))).toEqual([
    'director',
    'camera',
    'sound',
    'producer',
  ]);

  const bytes = readFileSync(file);
  bytes.writeUInt8(bytes.readUInt8(bytes.length >> 1) ^ 4, bytes.length >> 1);
  writeFileSync(file, bytes);
  const damaged = await runCli(['verify', file, '--json'], environment);
  expect(damaged.code).toBe(1);
  expect(JSON.parse(damaged.out)).toMatchObject({ isSound: false });
  const unfit = await runCli(['restore', file], { PLUMBLINE_DATA: folderOfTest() });
  expect(unfit).toMatchObject({ code: 1, err: expect.stringContaining('damaged') });
});
