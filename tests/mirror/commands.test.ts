import { spawn } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { call, createBoard, joinAs, temporaryFolder } from '../support/base.ts';
import { CLI, runCli, startBaseProcess } from '../support/process.ts';
import { caughtUp } from './pair.ts';

const acceptedSchema = z.object({ id: z.string(), key: z.string(), directorKey: z.string() });

async function start() {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  const base = await startBaseProcess(folder.path);
  onTestFinished(async () => void (await base.end('SIGTERM')));
  return { base, environment: { PLUMBLINE_DATA: folder.path }, folder: folder.path };
}

/** Runs a command that reads from its input. */
async function runWithInput(args: readonly string[], environment: Record<string, string>, input: string) {
  const child = spawn(process.execPath, [CLI, ...args], {
    env: { PATH: process.env.PATH, ...environment },
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  child.stdin.end(input);
  let told = '';
  for (const stream of [child.stdout, child.stderr])
    stream.on('data', (data) => {
      told += data;
    });
  const code = await new Promise<number | null>((resolve) => child.on('close', resolve));
  return { code, told };
}

it('plumbline mirror pairs two bases, lists, removes, revokes and takes into use; keys come by file, environment or input', async () => {
  const near = await start();
  const far = await start();
  const board = await createBoard(near.base, 'The tide mill at Corvane');
  await joinAs(near.base, board, 'director');
  const { boardId } = board;

  const accepted = await runCli(['mirror', 'accept', 'Corvane, far away'], far.environment);
  expect(accepted).toMatchObject({ code: 0, err: '' });
  expect(accepted.out).toMatch(/^key {11}\S{27}$/m);
  const again = await runCli(['mirror', 'accept', 'Corvane', '--json'], far.environment);
  const keys = acceptedSchema.parse(JSON.parse(again.out));

  const nothing = await runWithInput(['mirror', 'add', boardId, far.base.url], near.environment, '');
  expect(nothing).toMatchObject({ code: 1, told: expect.stringContaining('There is no key') });
  const unsafe = await runWithInput(
    ['mirror', 'add', boardId, 'http://far.example.org'],
    near.environment,
    keys.key,
  );
  expect(unsafe).toMatchObject({ code: 1, told: expect.stringContaining('https://') });
  const added = await runWithInput(
    ['mirror', 'add', boardId, far.base.url],
    near.environment,
    `${keys.key}\n`,
  );
  expect(added.code).toBe(0);
  const list = async (environment: Record<string, string>): Promise<string> =>
    (await runCli(['mirror', 'list'], environment)).out;
  await caughtUp({ base: near.base, boardId });
  expect(await list(far.environment)).toMatch(
    new RegExp(`kept {2}${keys.id} {2}${boardId} {2}The tide mill at Corvane: as of `),
  );
  expect(await list(near.environment)).not.toContain(keys.key);

  expect((await runCli(['mirror', 'remove', boardId], near.environment)).code).toBe(0);
  expect((await runCli(['mirror', 'remove', boardId], near.environment)).code).toBe(1);
  expect(await list(near.environment)).toBe('There are no mirrors here.\n');
  const file = join(near.folder, 'key');
  writeFileSync(file, keys.key);
  expect(
    (await runCli(['mirror', 'add', boardId, far.base.url, '--key-file', file], near.environment)).code,
  ).toBe(0);
  expect((await runCli(['mirror', 'revoke', 'nothing'], far.environment)).code).toBe(1);

  const promoted = await runCli(['mirror', 'promote', boardId, '--at', far.base.url, '--json'], {
    ...near.environment,
    PLUMBLINE_MIRROR_KEY: keys.directorKey,
  });
  expect(promoted).toMatchObject({ code: 0, err: '' });
  const { links } = z.object({ links: z.record(z.string(), z.string()) }).parse(JSON.parse(promoted.out));
  const invite = links.director?.split('#')[1] ?? '';
  const { status } = await call(far.base, 'POST', '/api/join', { body: { invite, name: 'Ilse Marrowby' } });
  expect(status).toBe(200);
  expect(await list(far.environment)).toContain('in use as a board of its own');
  expect((await runCli(['mirror', 'revoke', keys.id], far.environment)).code).toBe(0);
}, 600_000);
