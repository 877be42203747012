import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { CommandError } from '../../apps/base/src/cli/commandError.ts';
import { report } from '../../apps/base/src/cli/report.ts';
import { readSettings } from '../../apps/base/src/settings.ts';
import { temporaryFolder } from '../support/base.ts';
import { type BaseProcess, runCli, startBaseProcess } from '../support/process.ts';
import { readPdf, textOf } from './pdf.ts';

describe('plumbline report', () => {
  const folder = temporaryFolder('report');
  const environment = { PLUMBLINE_DATA: join(folder.path, 'data') };
  let base: BaseProcess;
  const run = (...args: string[]) => runCli(['report', ...args], environment);
  let board = '';

  beforeAll(async () => {
    base = await startBaseProcess(environment.PLUMBLINE_DATA, { PLUMBLINE_DEMO: '1' });
    board = base.greeting.boardId ?? '';
  });
  afterAll(async () => {
    await base.end('SIGTERM');
    folder.remove();
  });

  it('writes a paper where it is told to while a base runs, and says what of the log is in it', async () => {
    const out = join(folder.path, 'scouting.pdf');
    const { code, out: said, err } = await run(board, 'scouting', '--out', out, '--json');
    expect([code, err]).toEqual([0, '']);
    const told = z.object({ file: z.string(), bytes: z.number(), seq: z.number() }).parse(JSON.parse(said));
    expect(told.file).toBe(out);
    expect(told.bytes).toBe(readFileSync(out).length);
    expect(textOf(await readPdf(readFileSync(out)))).toContain('Scoutingsheet');
  });

  it('writes to its output, and nothing else with it', async () => {
    const { code, out } = await run(board, 'kit', '--form', 'csv', '--out', '-');
    expect(code).toBe(0);
    expect(out.startsWith('\uFEFFDepartment,Code,')).toBe(true);
  });

  it('goes back to before anything stood on the board', async () => {
    const { out } = await run(board, 'kit', '--form', 'json', '--out', '-', '--at', '2001-01-01T00:00:00Z');
    expect(JSON.parse(out)).toMatchObject({ seq: 0, sheet: { rows: [] } });
  });

  it('hands the plan over as a calendar', async () => {
    const { out } = await run(board, 'plan', '--form', 'ics', '--out', '-');
    expect(out.startsWith('BEGIN:VCALENDAR\r\n')).toBe(true);
  });

  it.each([
    ['lunch', { form: 'pdf' }],
    ['kit', { form: 'docx' }],
    ['kit', { form: 'pdf', day: 'tomorrow' }],
    ['kit', { form: 'pdf', at: 'soon' }],
    ['kit', { form: 'pdf', seq: '99999999' }],
    ['kit', { form: 'pdf', seq: '1', at: '2' }],
    ['kit', { form: 'pdf', size: 'A3' }],
    ['remarks', { form: 'vtt' }],
  ])('says why there is no %s of %j, and writes nothing', async (paper, choice) => {
    const out = join(folder.path, 'none');
    const settings = readSettings(environment);
    const asked = report(settings, board, paper, { size: 'A4', out, ...choice });
    await expect(asked).rejects.toThrow(CommandError);
    expect(existsSync(out)).toBe(false);
  });

  it('ends with exit code 1 and one line where there is no such board, with 2 where it was not understood', async () => {
    const { code, err } = await run('nobody', 'kit');
    expect(code).toBe(1);
    expect(err.trim().split('\n')).toEqual(['There is no board nobody here.']);
    expect((await run(board)).code).toBe(2);
  });

  it('lists papers and forms in its help', async () => {
    const { code, out } = await run('--help');
    expect(code).toBe(0);
    for (const word of ['camera', 'continuity', 'scouting', 'otio', 'ics', 'vtt'])
      expect(out).toContain(word);
  });
});
