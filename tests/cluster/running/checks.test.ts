import { createServer } from 'node:http';
import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { checkServers } from '../../../apps/base/src/cluster/checks.ts';
import { NATS_SERVER, NEEDS_NATS, natsVersion, startNats } from '../../support/nats.ts';

interface Told {
  readonly id?: string;
  readonly version?: string;
  readonly syncAlways?: boolean;
  readonly size?: number;
  readonly clockMs?: number;
  readonly keepsNothing?: boolean;
}

/** What a server's `/varz` says, in the form of nats-server 2.12 (server/monitor.go, `Varz` and `JetStreamVarz`). */
function varz({
  id = 'A',
  version = '2.12.1',
  syncAlways = true,
  size = 3,
  clockMs = 0,
  keepsNothing,
}: Told): unknown {
  return {
    server_id: `N${id}`,
    server_name: `nats-${id.toLowerCase()}`,
    version,
    // looked at when it is asked
    get now() {
      return new Date(Date.now() + clockMs).toISOString();
    },
    jetstream: keepsNothing
      ? {}
      : {
          config: {
            max_memory: 1,
            max_storage: 1,
            store_dir: '/data',
            sync_interval: 120_000_000_000,
            ...(syncAlways ? { sync_always: true } : {}),
          },
          meta: { name: 'fleet', leader: 'nats-a', cluster_size: size },
        },
  };
}

/** Monitoring of servers that are not there: one for each answer. */
async function monitoringOf(...answers: readonly unknown[]): Promise<string[]> {
  return Promise.all(
    answers.map(async (answer) => {
      const server = createServer((request, response) => {
        response.statusCode = request.url === '/varz' ? 200 : 404;
        response.end(typeof answer === 'string' ? answer : JSON.stringify(answer));
      });
      await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
      onTestFinished(() => void server.close());
      const { port } = z.object({ port: z.int() }).parse(server.address());
      return `http://127.0.0.1:${port}`;
    }),
  );
}

const check = (monitoring: readonly string[], replicas = 3): Promise<readonly string[]> =>
  checkServers({
    monitoring,
    replicas,
    fetch: (url, signal) => fetch(url, { signal }),
    now: () => Date.now(),
  });

describe('before a node joins a fleet', () => {
  it('nothing is said of three servers of today that write each edit to disk', async () => {
    const addresses = await monitoringOf(
      varz({ id: 'A' }),
      varz({ id: 'B', version: '2.12.0' }),
      varz({ id: 'C', version: '2.14.3-beta.1' }),
    );
    expect(await check(addresses)).toEqual([]);
  });

  const three = (odd: Told): unknown[] => [varz({ id: 'A' }), varz({ id: 'B' }), varz({ ...odd, id: 'C' })];
  const cases: readonly [string, readonly unknown[], RegExp][] = [
    ['an old server', three({ version: '2.11.9' }), /nats-c at .* is version 2\.11\.9: update it to 2\.12/],
    ['one that says no version', three({ version: 'dev' }), /version dev: update it/],
    [
      'one that writes to disk now and then',
      three({ syncAlways: false }),
      /nats-c .*set sync_interval to always/,
    ],
    ['one that keeps nothing', three({ keepsNothing: true }), /nats-c .*switch JetStream on/],
    [
      'one whose clock is ahead',
      three({ clockMs: 5000 }),
      /clock of nats-c .*ahead of this machine.*time servers/,
    ],
    ['one whose clock is behind', three({ clockMs: -5000 }), /clock of nats-c .*behind this machine/],
    ['too few servers', [varz({ size: 1 })], /servers are 1, .*kept by 3: run 3 servers/],
    ['two of three named', [varz({ id: 'A' }), varz({ id: 'B' })], /2 of the 3 servers is named: name all/],
    ['the same one named thrice', [varz({}), varz({}), varz({})], /1 of the 3 servers is named/],
    [
      'something else that answers',
      [varz({ id: 'A' }), varz({ id: 'B' }), '<html>'],
      /does not tell of itself|is not the monitoring/,
    ],
    [
      'JSON of something else',
      [varz({ id: 'A' }), varz({ id: 'B' }), { ok: true }],
      /is not the monitoring of a NATS server/,
    ],
  ];
  it.each(cases)('%s is named, with what to change', async (_, answers, sentence) => {
    const said = await check(await monitoringOf(...answers));
    expect(said.filter((each) => sentence.test(each))).toHaveLength(1);
  });

  it('an address where nobody answers, no address at all, and one copy of everything are named', async () => {
    const [closed = ''] = await monitoringOf('');
    expect(await check([closed.replace(/:\d+$/, ':1')])).toEqual([
      expect.stringContaining('start it with http_port set, or correct PLUMBLINE_CLUSTER_MONITORING'),
    ]);
    expect(await check([])).toEqual([expect.stringContaining('set PLUMBLINE_CLUSTER_MONITORING')]);
    expect(await check(await monitoringOf(varz({ size: 1 })), 1)).toEqual([
      expect.stringContaining('set PLUMBLINE_CLUSTER_REPLICAS to 3'),
    ]);
  });

  it.skipIf(NATS_SERVER === null)(`a real server is read as it is${NEEDS_NATS}`, async () => {
    const nats = await startNats(1);
    onTestFinished(() => nats.stop());
    const said = await check(nats.servers.map(({ monitoring }) => monitoring));
    expect(said).toEqual(
      expect.arrayContaining([
        expect.stringContaining('set sync_interval to always'),
        expect.stringContaining('run 3 servers as one cluster'),
      ]),
    );
    const version = natsVersion();
    const isOld = version.localeCompare('2.12.0', 'en', { numeric: true }) < 0;
    expect(said.some((each) => each.includes(`is version ${version}: update it`))).toBe(isOld);
  });
});
