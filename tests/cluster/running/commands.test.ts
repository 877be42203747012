import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { folderOfTest } from '../../backup/filled.ts';
import { call } from '../../support/base.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, natsVersion, startNats } from '../../support/nats.ts';
import { runCli, startBaseProcess } from '../../support/process.ts';

const ADMIN_KEY = 'a-key-for-the-fleet-1';
const boardsSchema = z.object({ boards: z.array(z.object({ id: z.string(), rows: z.int() })) });
const boardSchema = z.object({ boardId: z.string() });
const listSchema = z.object({ boards: z.array(z.object({ id: z.string() })) });

describe.skipIf(NATS_SERVER === null)(`commands of a fleet${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  const environment = (more: Readonly<Record<string, string>> = {}): Record<string, string> => ({
    PLUMBLINE_DATA: folderOfTest(),
    PLUMBLINE_PORT: '0',
    PLUMBLINE_ADMIN_KEY: ADMIN_KEY,
    PLUMBLINE_CLUSTER_MONITORING: nats.servers.map(({ monitoring }) => monitoring).join(','),
    PLUMBLINE_LOG_LEVEL: 'silent',
    ...more,
  });

  it('a node does not join servers that may lose what they confirmed, and says what to change', async () => {
    const flag = ['serve', '--cluster', nats.urls.join(',')];
    const refused = await runCli(flag, environment());
    expect(refused.code).toBe(1);
    expect(refused.err).toContain('PLUMBLINE_CLUSTER_RISKS=accept');
    expect(refused.err).toContain('set sync_interval to always');
    expect(refused.err).toContain('run 3 servers as one cluster');
    const isOld = natsVersion().localeCompare('2.12.0', 'en', { numeric: true }) < 0;
    expect(refused.err.includes('update it to 2.12')).toBe(isOld);
    expect(await runCli(flag, { ...environment(), PLUMBLINE_ADMIN_KEY: '' })).toMatchObject({
      code: 2,
      err: expect.stringContaining('the same on every node'),
    });
    expect(await runCli(['serve', '--cluster', 'somewhere'], environment())).toMatchObject({ code: 2 });
    const nobody = await runCli(
      ['serve', '--cluster', 'nats://127.0.0.1:1'],
      environment({ PLUMBLINE_CLUSTER_RISKS: 'accept' }),
    );
    expect(nobody).toMatchObject({ code: 1, err: expect.stringContaining('lets this node in') });
    expect(nobody.err).not.toContain('    at ');
  });

  it('a node that takes the risk makes boards with the others, and what the commands do is done by it', async () => {
    const settings = { PLUMBLINE_CLUSTER: nats.urls.join(','), PLUMBLINE_CLUSTER_PREFIX: 'serving' };
    const risk = { PLUMBLINE_CLUSTER_RISKS: 'accept', PLUMBLINE_CLUSTER_REPLICAS: '1' };
    const folders = [folderOfTest(), folderOfTest()];
    const nodes = await Promise.all(
      folders.map((folder) =>
        startBaseProcess(folder, environment({ ...settings, ...risk, PLUMBLINE_DATA: folder })),
      ),
    );
    onTestFinished(async () => {
      for (const node of nodes) await node.end('SIGKILL');
    });
    const [one, other] = nodes;
    if (!one || !other) throw new Error('no node');
    // nobody loads the demo into a fleet
    expect(one.greeting.boardId).toBeUndefined();
    const made = await runCli(
      ['board', 'create', 'Shared', '--json'],
      environment({ ...settings, PLUMBLINE_DATA: folders[0] ?? '' }),
    );
    expect(made).toMatchObject({ code: 0, err: '' });
    const { boardId } = boardSchema.parse(JSON.parse(made.out));
    const { body } = await call(other, 'GET', '/api/boards', { token: ADMIN_KEY });
    expect(listSchema.parse(body).boards.map(({ id }) => id)).toEqual([boardId]);
    const mirror = await call(one, 'POST', '/api/mirrors', { token: ADMIN_KEY, body: { title: 'm' } });
    expect(mirror).toMatchObject({
      status: 409,
      body: { detail: expect.stringContaining('offers no mirrors') },
    });
    // a node that does not run is not started as a base by itself
    expect(await runCli(['board', 'create', 'x'], environment(settings))).toMatchObject({
      code: 1,
      err: expect.stringContaining('does not run'),
    });
    expect(await one.end('SIGTERM')).toBe(0);
    expect(await other.end('SIGTERM')).toBe(0);
  });

  it('a backup goes into a fleet and comes out of it; what is not understood says so', async () => {
    const laptop = environment();
    expect((await runCli(['board', 'create', 'First'], laptop)).code).toBe(0);
    const file = join(folderOfTest(), 'laptop.backup');
    expect((await runCli(['backup', file], laptop)).code).toBe(0);
    const fleet = environment({
      PLUMBLINE_CLUSTER: nats.urls.join(','),
      PLUMBLINE_CLUSTER_PREFIX: 'moving',
      PLUMBLINE_CLUSTER_REPLICAS: '1',
    });
    expect(await runCli(['restore', file, '--end-sessions'], fleet)).toMatchObject({
      code: 1,
      err: expect.stringContaining('--url'),
    });
    const into = await runCli(
      ['restore', file, '--end-sessions', '--url', 'https://boards.example', '--json'],
      fleet,
    );
    expect({ code: into.code, err: into.err }).toEqual({ code: 0, err: '' });
    expect(into.out).toContain('https://boards.example/join#');
    const out = join(folderOfTest(), 'fleet.backup');
    const photos = join(folderOfTest(), 'photos');
    const { PLUMBLINE_CLUSTER: servers = '', ...byFlag } = fleet;
    const taken = await runCli(['backup', out, '--cluster', servers, '--photos', photos, '--json'], byFlag);
    expect({ code: taken.code, err: taken.err }).toEqual({ code: 0, err: '' });
    expect(boardsSchema.parse(JSON.parse(taken.out)).boards).toHaveLength(1);
    expect((await runCli(['verify', out], laptop)).code).toBe(0);
    const back = environment();
    expect((await runCli(['restore', out], back)).code).toBe(0);
    expect((await runCli(['verify'], back)).code).toBe(0);
    expect(await runCli(['backup', out], fleet)).toMatchObject({
      code: 1,
      err: expect.stringContaining('--force'),
    });
  });
});
