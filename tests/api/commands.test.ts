import { statSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { joinWith, temporaryFolder, viewOf } from '../support/base.ts';
import { runCli, runCliAlone, startBaseProcess } from '../support/process.ts';

const boardSchema = z.object({
  boardId: z.string(),
  invites: z.record(z.string(), z.string()),
  links: z.record(z.string(), z.string()),
});

function dataFolder(): { path: string; environment: Record<string, string> } {
  const folder = temporaryFolder();
  onTestFinished(folder.remove);
  return { path: folder.path, environment: { PLUMBLINE_DATA: folder.path, PLUMBLINE_PORT: '4310' } };
}

describe('plumbline', () => {
  it('explains itself, with every setting', async () => {
    const { environment } = dataFolder();
    const all = await runCliAlone(['--help'], environment);
    expect(all.code).toBe(0);
    for (const command of ['serve', 'board', 'invite', 'import']) expect(all.out).toContain(command);
    const serve = await runCli(['serve', '--help'], environment);
    expect(serve.code).toBe(0);
    for (const name of ['PORT', 'HOST', 'DATA', 'ADMIN_KEY', 'TLS_CERT', 'TLS_KEY', 'DEMO', 'LOG_LEVEL']) {
      expect(serve.out).toContain(`PLUMBLINE_${name}`);
    }
  });

  it.concurrent.each([
    [['nonsense'], {}],
    [['invite'], {}],
    [['board', 'create'], {}],
    [['serve', '--nonsense'], {}],
    [['serve'], { PLUMBLINE_PORT: 'x' }],
    [['serve'], { PLUMBLINE_PORT: '70000' }],
    [['serve'], { PLUMBLINE_DEMO: 'yes' }],
    [['serve'], { PLUMBLINE_ADMIN_KEY: 'short' }],
    [['serve'], { PLUMBLINE_TLS_CERT: '/nowhere' }],
    [['serve'], { PLUMBLINE_TLS_CERT: '/nowhere', PLUMBLINE_TLS_KEY: '/nowhere' }],
  ])('%j with %j is not understood: exit code 2 and a reason', async (args, more) => {
    const { environment } = dataFolder();
    const { code, err } = await runCli(args, { ...environment, ...more });
    expect(code).toBe(2);
    expect(err).not.toBe('');
    for (const [name] of Object.entries(more).slice(0, 1)) expect(err).toContain(name);
  });

  it('makes boards and invites with and without a base that runs', async () => {
    const { path, environment } = dataFolder();
    const first = await runCliAlone(['board', 'create', 'First', '--json'], environment);
    expect({ code: first.code, err: first.err }).toEqual({ code: 0, err: '' });
    const alone = boardSchema.parse(JSON.parse(first.out));
    expect(alone.links.camera).toBe(`http://localhost:4310/join#${alone.invites.camera}`);

    const base = await startBaseProcess(path);
    onTestFinished(async () => void (await base.end('SIGKILL')));
    const director = await joinWith(base, alone.invites.director ?? '', 'Ana');
    expect((await viewOf(base, director)).shoot).toEqual({ shoot: { title: 'First' } });

    const second = boardSchema.parse(
      JSON.parse((await runCli(['board', 'create', 'Second', '--json'], environment)).out),
    );
    expect(second.links.sound).toBe(
      `${base.url.replace('127.0.0.1', 'localhost')}/join#${second.invites.sound}`,
    );
    const rotated = await runCli(['invite', alone.boardId, 'camera'], environment);
    expect(rotated.code).toBe(0);
    const token = /join#([\w-]+)/.exec(rotated.out)?.[1] ?? '';
    await expect(joinWith(base, alone.invites.camera ?? '', 'Ben')).rejects.toThrow(/403/);
    expect(await joinWith(base, token, 'Ben')).toMatchObject({ role: 'camera' });

    const failed = await runCliAlone(['invite', 'nowhere', 'camera'], environment);
    expect({ code: failed.code, err: failed.err }).toEqual({ code: 1, err: 'There is no such board.\n' });
    const twice = await runCli(['serve'], { ...environment, PLUMBLINE_PORT: '0' });
    expect(twice.code).toBe(1);
    expect(twice.err).toContain('Another base is using');
    expect(await base.end('SIGTERM')).toBe(0);
  });

  it('a plan that is not right is named line by line, with exit code 1', async () => {
    const { path, environment } = dataFolder();
    const board = boardSchema.parse(
      JSON.parse((await runCli(['board', 'create', 'Plan', '--json'], environment)).out),
    );
    const file = join(path, 'setups.csv');
    writeFileSync(file, 'nonsense,columns\n1,2\n');
    const { code, err } = await runCli(['import', board.boardId, file], environment);
    expect(code).toBe(1);
    expect(err).toMatch(/setups\.csv/);
    const missing = await runCli(['import', board.boardId, join(path, 'none.csv')], environment);
    expect(missing.code).toBe(1);
    expect(missing.err).toContain('none.csv');
  });

  it('keeps its folder to its owner, and leaves no lock behind when it is killed', async () => {
    const { path } = dataFolder();
    const first = await startBaseProcess(path);
    expect(await first.end('SIGKILL')).toBe('SIGKILL');
    const second = await startBaseProcess(path);
    expect(await second.end('SIGINT')).toBe(0);
    expect(statSync(path).mode & 0o077).toBe(0);
    expect(statSync(join(path, 'admin-key')).mode & 0o077).toBe(0);
  });
});

describe('with a certificate', () => {
  const file = (name: string) => fileURLToPath(new URL(`../support/tls/${name}`, import.meta.url));

  it('the base speaks TLS, loads its demo, marks its cookie and takes commands from its own machine', async () => {
    const { path, environment } = dataFolder();
    const base = await startBaseProcess(path, {
      PLUMBLINE_TLS_CERT: file('cert.pem'),
      PLUMBLINE_TLS_KEY: file('key.pem'),
      PLUMBLINE_DEMO: '1',
    });
    onTestFinished(async () => void (await base.end('SIGKILL')));
    expect(base.url).toMatch(/^https:/);
    expect(Object.keys(base.greeting.links ?? {})).toEqual(['director', 'camera', 'sound', 'producer']);
    const made = await runCli(['board', 'create', 'Under cover', '--json'], environment);
    expect({ code: made.code, err: made.err }).toEqual({ code: 0, err: '' });
    const { invites } = boardSchema.parse(JSON.parse(made.out));
    const cookie = await new Promise<string>((resolve, reject) => {
      const joining = request(
        `${base.url}/api/join`,
        { method: 'POST', headers: { 'content-type': 'application/json' }, rejectUnauthorized: false },
        (answer) => {
          answer.resume();
          resolve(String(answer.headers['set-cookie']));
        },
      );
      joining.on('error', reject);
      joining.end(JSON.stringify({ invite: invites.sound, name: 'Ana' }));
    });
    expect(cookie).toContain('Secure');
    expect(await base.end('SIGTERM')).toBe(0);
  });
});
