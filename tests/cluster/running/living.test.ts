import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { backupFleet } from '../../../apps/base/src/backup/fromFleet.ts';
import { restoreToFleet } from '../../../apps/base/src/backup/toFleet.ts';
import { hold, viewFleet } from '../../../apps/base/src/cluster/outside.ts';
import { type ClusterSettings, readSettings } from '../../../apps/base/src/settings.ts';
import { folderOfTest } from '../../backup/filled.ts';
import { call, createBoard, joinAs, startTestBase, viewOf } from '../../support/base.ts';
import { openTablet, until } from '../../support/clients.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { toyKind } from '../../support/toyKind.ts';

const ADMIN_KEY = 'a-key-for-the-fleet-1';

describe.skipIf(NATS_SERVER === null)(`a fleet that runs${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  let next = 0;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  const settings = (servers: readonly string[]): ClusterSettings => {
    const { cluster } = readSettings({
      PLUMBLINE_CLUSTER: servers.join(','),
      PLUMBLINE_CLUSTER_PREFIX: `l${++next}`,
      PLUMBLINE_CLUSTER_REPLICAS: '1',
      PLUMBLINE_CLUSTER_SHARDS: '1',
    });
    if (!cluster) throw new Error('no fleet');
    return cluster;
  };
  const nodeOf = async (cluster: ClusterSettings) => {
    const node = await startTestBase({ cluster, adminKey: ADMIN_KEY });
    onTestFinished(node.stop);
    return node;
  };

  it('a board put back while tablets are on it is let go of by every node, and goes on in the new epoch', async () => {
    const cluster = settings(nats.urls);
    const [one, other] = [await nodeOf(cluster), await nodeOf(cluster)];
    const board = await createBoard(one, 'Living');
    const keeper = await joinAs(other, board, 'keeper', 'Ana');
    const clerk = await joinAs(one, board, 'clerk', 'Ben');
    const tablets = [
      await openTablet(one, keeper, toyKind.definition, { tab: 'k' }),
      await openTablet(other, clerk, toyKind.definition, { tab: 'c' }),
    ] as const;
    for (const tablet of tablets) onTestFinished(() => tablet.close());
    for (let number = 0; number < 10; number++) {
      tablets[0].set('shelves', `s${number}`, 'name', `name ${number}`);
      tablets[1].set('shelves', `s${number}`, 'width', number);
    }
    for (const tablet of tablets) await tablet.settled();

    const outside = await viewFleet(cluster, 'test', join(folderOfTest(), 'copy.db'));
    onTestFinished(() => outside.close());
    const file = join(folderOfTest(), 'a.backup');
    await backupFleet(outside, file, [], { program: '0.0.0', madeAt: 1 });
    const letGo = hold(outside, '0.0.0');
    const staging = join(folderOfTest(), 'staging.db');
    const { boards } = await restoreToFleet(file, outside, staging, Date.now(), { endSessions: false });
    letGo();
    expect(boards).toMatchObject([{ id: board.boardId, replaced: true }]);

    // each tablet is told, whichever node it is on
    for (const tablet of tablets)
      await until(() => tablet.link.status.peek().kind === 'epoch', 'word of another epoch');
    const again = await openTablet(other, keeper, toyKind.definition, { tab: 'again' });
    onTestFinished(() => again.close());
    again.set('shelves', 's1', 'name', 'in the new epoch');
    await again.settled();
    for (const node of [one, other]) {
      await expect
        .poll(async () => (await viewOf(node, keeper)).shelves?.s1?.name, { timeout: 20_000 })
        .toBe('in the new epoch');
      expect((await viewOf(node, clerk)).shelves?.s9?.width).toBe(9);
    }
  });

  it('a picture sent to one node is shown by another', async () => {
    const cluster = settings(nats.urls);
    const [one, other] = [await nodeOf(cluster), await nodeOf(cluster)];
    const board = await createBoard(one);
    const { session: token, boardId } = await joinAs(one, board, 'keeper');
    const bytes = Uint8Array.from({ length: 9000 }, (_, index) => [0xff, 0xd8, 0xff][index] ?? index % 251);
    const path = `/api/boards/${boardId}/photos/${createHash('sha256').update(bytes).digest('hex')}`;
    const headers = { authorization: `Bearer ${token}`, 'content-type': 'image/jpeg' };
    const put = await fetch(one.url + path, { method: 'PUT', headers, body: bytes });
    expect(put.status).toBe(201);
    const shown = await fetch(other.url + path, { headers });
    expect(shown.status).toBe(200);
    expect(Buffer.compare(Buffer.from(await shown.arrayBuffer()), bytes)).toBe(0);
  });

  it('where the engine does not answer, whoever wants to join is told so and not turned away', async () => {
    const own = await startNats(1);
    onTestFinished(() => own.stop());
    const node = await nodeOf(settings(own.urls));
    const board = await createBoard(node);
    const { session: token } = await joinAs(node, board, 'keeper');
    const [server] = own.servers;
    await server?.signal('SIGSTOP');
    const joining = await call(node, 'POST', '/api/join', {
      body: { invite: board.invites.clerk, name: 'Late' },
    });
    expect(joining).toMatchObject({
      status: 503,
      body: { detail: expect.stringMatching(/servers of the fleet|could not be stored|store/) },
    });
    // a session that nobody here knows may be good all the same
    const unknown = await call(node, 'GET', '/api/session', { token: 'unknown' });
    expect(unknown).toMatchObject({ status: 503, body: { detail: expect.stringContaining('fleet') } });
    expect(await call(node, 'GET', '/api/session', { token })).toMatchObject({ status: 200 });
    await server?.signal('SIGCONT');
    await expect
      .poll(async () => (await call(node, 'GET', '/api/session', { token: 'unknown' })).status, {
        timeout: 30_000,
      })
      .toBe(401);
  });
});
