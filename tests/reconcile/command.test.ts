import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { z } from 'zod';
import { call, joinAs, type NewBoard, temporaryFolder, viewOf } from '../support/base.ts';
import { type BaseProcess, runCli, startBaseProcess } from '../support/process.ts';
import { boardWithTakes, cardFolder } from './unit.ts';

const answerSchema = z.object({
  agrees: z.boolean(),
  counts: z.record(z.string(), z.number()),
  matched: z.array(
    z.object({
      path: z.string(),
      take: z.string(),
      device: z.string(),
      card: z.string().nullable(),
      isSure: z.boolean(),
      differences: z.array(z.object({ field: z.string(), board: z.string().nullable(), file: z.string() })),
      checksums: z.array(z.object({ kind: z.string(), value: z.string() })),
    }),
  ),
  unusable: z.array(z.object({ path: z.string(), problems: z.array(z.string()) })),
  missing: z.array(z.object({ take: z.string(), device: z.string() })),
});

// Each test starts the program once or more, which takes long on a machine that does other things too.
vi.setConfig({ testTimeout: 600_000, hookTimeout: 600_000 });

describe('plumbline reconcile', () => {
  const folder = temporaryFolder('reconcile');
  const environment = { PLUMBLINE_DATA: join(folder.path, 'data') };
  const cards = join(folder.path, 'cards');
  let base: BaseProcess;
  let board: NewBoard;
  const run = (...args: string[]) => runCli(['reconcile', ...args], environment);

  beforeAll(async () => {
    base = await startBaseProcess(environment.PLUMBLINE_DATA);
    board = await boardWithTakes(base);
    await cardFolder(cards);
    writeFileSync(join(cards, 'A-01', 'A001C009.mov'), '');
    writeFileSync(join(cards, 'A-01', 'notes.txt'), 'No recording.');
    // round in a circle, and to somewhere else
    symlinkSync(cards, join(cards, 'again'));
  });
  afterAll(async () => {
    await base.end('SIGTERM');
    folder.remove();
  });

  it('puts files to takes, says what differs and what is missing, and ends with 1', async () => {
    const { code, out, err } = await run(board.boardId, cards, '--json');
    const told = answerSchema.parse(JSON.parse(out));
    expect(code).toBe(1);
    expect(told.agrees).toBe(false);
    expect(
      told.matched.map(({ path, take, device, card, isSure }) => [path, take, device, card, isSure]),
    ).toEqual([
      ['A-01/A001C001.mov', '1a.1', 'A', 'c1', true],
      ['A-01/A001C002.mov', '1a.2', 'A', 'c1', true],
      ['S-01/1A-T001.wav', '1a.1', 'R1', 's1', true],
      ['S-01/1A-T002.wav', '1a.2', 'R1', 's1', true],
      ['S-01/1A-T003.wav', '1a.3', 'R1', 's1', true],
    ]);
    const differing = told.matched.map(({ differences }) =>
      differences.filter((each) => each.board !== null),
    );
    expect(differing.map((each) => each.map(({ field }) => field))).toEqual([
      [],
      ['frameRate', 'timecodeRate'],
      [],
      [],
      [],
    ]);
    expect(told.missing).toEqual(
      [{ take: '1a.3', device: 'A', says: expect.any(String) }].map(({ take, device }) => ({ take, device })),
    );
    expect(told.unusable.map(({ path }) => path)).toEqual(['A-01/A001C009.mov']);
    expect(told.counts).toMatchObject({ files: 6, others: 1, differences: 2 });
    // how far it is goes to the error stream, and is never mixed with what it found
    expect(err).toMatch(/^0 of 6 files, 0 %\n/);
    expect(err).toMatch(/6 of 6 files, 100 %\n$/);
  });

  it('says the same in words', async () => {
    const { out } = await run(board.boardId, cards);
    expect(out).toContain('A-01/A001C002.mov  take 2 of 1A, camera A');
    expect(out).toContain('≠ Frame rate: board 25 frames/s, file 24 frames/s');
    expect(out).toContain('A-01/A001C009.mov  cannot be used');
    expect(out).toContain('No file of take 3 of 1A, camera A. It should be on card A-01.');
  });

  it('ends with 0 where all agrees', async () => {
    const { code } = await run(board.boardId, join(cards, 'S-01'));
    expect(code).toBe(0);
  });

  it.each([
    ['sha256', (bytes: Buffer) => createHash('sha256').update(bytes).digest('hex')],
    ['md5', (bytes: Buffer) => createHash('md5').update(bytes).digest('hex')],
  ] as const)('makes the checksums that Node’s own %s makes', async (kind, sum) => {
    const { out } = await run(board.boardId, join(cards, 'S-01'), '--checksum', kind, '--json');
    const told = answerSchema.parse(JSON.parse(out));
    for (const { path, checksums } of told.matched) {
      expect(checksums).toEqual([{ kind, value: sum(readFileSync(join(cards, 'S-01', path))) }]);
    }
    expect(told.matched).toHaveLength(3);
  });

  it('makes the xxHash of 64 bit that its specification gives', async () => {
    const lone = join(folder.path, 'lone');
    mkdirSync(lone, { recursive: true });
    // XXH64 with seed 0, as the README of the Python binding `xxhash` shows it (from memory)
    writeFileSync(join(lone, 'words.wav'), 'Nobody inspects the spammish repetition');
    const { out } = await run(board.boardId, lone, '--checksum', 'xxh64', '--json');
    const told = z
      .object({ unusable: z.array(z.object({ checksums: z.array(z.unknown()) })) })
      .parse(JSON.parse(out));
    expect(told.unusable[0]?.checksums).toEqual([{ kind: 'xxh64', value: 'fbcea83c8a378bf1' }]);
  });

  it('writes nothing unless it is told to, and then by way of the base that runs', async () => {
    const member = await joinAs(base, board, 'producer');
    expect((await viewOf(base, member)).recordings ?? {}).toEqual({});
    const { code, out } = await run(board.boardId, cards, '--write', '--checksum', 'xxh64', '--json');
    expect(code).toBe(1);
    expect(
      z.object({ counts: z.object({ written: z.number() }) }).parse(JSON.parse(out)).counts.written,
    ).toBeGreaterThan(30);
    const kept = Object.values((await viewOf(base, member)).recordings ?? {});
    expect(kept.map(({ name, take, device }) => [name, take, device]).sort()).toEqual([
      ['1A-T001.wav', '1a.1', 'R1'],
      ['1A-T002.wav', '1a.2', 'R1'],
      ['1A-T003.wav', '1a.3', 'R1'],
      ['A001C001.mov', '1a.1', 'A'],
      ['A001C002.mov', '1a.2', 'A'],
    ]);
    expect(
      kept.every(({ noticedBy, checksums }) => noticedBy === undefined && Array.isArray(checksums)),
    ).toBe(true);
    const again = await run(board.boardId, cards, '--write', '--checksum', 'xxh64', '--json');
    expect(
      z.object({ counts: z.object({ written: z.number() }) }).parse(JSON.parse(again.out)).counts.written,
    ).toBe(0);
  });

  it('names what it does not understand', async () => {
    for (const args of [
      ['no-board', cards],
      [board.boardId, join(folder.path, 'nowhere')],
      [board.boardId, cards, '--checksum', 'crc'],
    ]) {
      const { code, out, err } = await run(...args);
      expect([code, out]).toEqual([1, '']);
      expect(err.trim().split('\n')).toHaveLength(1);
    }
    expect(existsSync(cards)).toBe(true);
  });

  it('goes on when a file cannot be opened', async () => {
    const lone = join(folder.path, 'gone');
    mkdirSync(lone, { recursive: true });
    symlinkSync(join(lone, 'nothing'), join(lone, 'link.mov'));
    writeFileSync(join(lone, 'text.mov'), 'words');
    const { out } = await run(board.boardId, lone, '--json');
    expect(answerSchema.parse(JSON.parse(out)).unusable.map(({ path }) => path)).toEqual(['text.mov']);
    rmSync(lone, { recursive: true });
  });

  it('the base keeps nothing of a file where any of it is not right, and signs for whoever sends it', async () => {
    const path = `/api/boards/${board.boardId}/recordings`;
    const director = await joinAs(base, board, 'director');
    const camera = await joinAs(base, board, 'camera');
    const record = 'p-0123456789abcdef';
    const values = [{ record, field: 'name', value: 'A001C077.mov' }];
    const post = (token: string, body: unknown) => call(base, 'POST', path, { token, body });
    expect((await post(camera.session, { values })).status).toBe(403);
    for (const wrong of [
      { record, field: 'bytes', value: -1 },
      { record: 'x', field: 'name', value: 'a' },
      { record, field: 'noticedBy', value: camera.personId },
      { record, field: 'constructor', value: 1 },
    ]) {
      expect((await post(director.session, { values: [...values, wrong] })).status).toBe(422);
    }
    expect((await viewOf(base, director)).recordings?.[record]).toBeUndefined();
    expect((await post(director.session, { values })).status).toBe(200);
    expect((await viewOf(base, director)).recordings?.[record]).toEqual({
      name: 'A001C077.mov',
      noticedBy: director.personId,
    });
  });
});
