import { setTimeout as wait } from 'node:timers/promises';
import { PartlyAppended } from '@plumbline/base';
import { describe, expect, it, onTestFinished } from 'vitest';
import { rowOf } from '../../log/contract.ts';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, NEEDS_NATS, natsVersion, startNats } from '../../support/nats.ts';
import { randomOf, seedOf } from '../../support/random.ts';
import { type Node, newPrefix, startNode } from './fleet.ts';

const SEED = seedOf(60_311);
const B = 'b1';

describe.skipIf(NATS_SERVER === null)(`on three servers of the engine${NEEDS_NATS}`, () => {
  it(`what was confirmed is there, once and in order, for who writes and who follows, while servers are killed (seed ${SEED})`, async () => {
    const nats = await startNats(3);
    onTestFinished(nats.stop);
    const random = randomOf(SEED);
    const prefix = newPrefix();
    const options = { replicas: 3 as const, shards: 1, callMs: 3000 };
    const writer = await startNode(nats.urls, prefix, 'n1', options);
    onTestFinished(writer.close);
    const follower = await startNode(nats.urls, prefix, 'n2', options);
    onTestFinished(follower.close);
    const heard: number[] = [];
    const stop = await follower.log.follow(B, async (entry) => {
      if (entry.kind === 'rows') heard.push(...entry.commit().map(({ row }) => row.seq));
    });
    onTestFinished(stop);
    expect(await writer.log.claim(B, 'n1')).toBe(true);

    const confirmed: number[] = [];
    let failures = 0;
    let isWriting = true;
    const writing = (async () => {
      while (isWriting) {
        try {
          const { seq } = await writer.log.end(B);
          // Each attempt is another edit, as it is when tablets send theirs again.
          const row = rowOf(seq + 1, 'p1-1', seq + 1, { at: 1000 + confirmed.length + failures * 7 });
          await writer.log.append([{ board: B, epoch: 'e1', rows: [row] }]);
          confirmed.push(row.seq);
        } catch (error) {
          if (!(error instanceof PartlyAppended) && failures > 200) throw error;
          failures++;
          await wait(50);
        }
      }
    })();
    const atLeast = (count: number) => until(() => confirmed.length >= count, `${count} rows`);

    await atLeast(20);
    for (let round = 0; round < 3; round++) {
      const server = nats.servers[random.below(3)];
      await server?.signal('SIGKILL');
      await atLeast(confirmed.length + 20);
      await server?.restart();
      await nats.ready();
      await atLeast(confirmed.length + 20);
    }
    isWriting = false;
    await writing;

    const { seq: last } = await writer.log.end(B);
    const all = Array.from({ length: last }, (_, index) => index + 1);
    expect(new Set(confirmed).size).toBe(confirmed.length);
    await until(() => heard.length >= last, 'the follower');
    expect(heard).toEqual(all);
    const rows = await writer.log.read(B, 0, 100_000);
    expect(rows.map(({ seq }) => seq)).toEqual(all);
    expect(await follower.log.read(B, 0, 100_000)).toEqual(rows);
    const fresh = await startNode(nats.urls, prefix, 'n3', options);
    onTestFinished(fresh.close);
    await fresh.log.refresh(B);
    expect(await fresh.log.read(B, 0, 100_000)).toEqual(rows);
    console.info(`${confirmed.length} confirmed, ${failures} not, ${last} rows`);
  });
});

describe.skipIf(NATS_SERVER === null)(`two nodes at once, on three servers${NEEDS_NATS}`, () => {
  it('of those that claim at the same moment never two decide, and all agree who does, whatever the engine lets through', async () => {
    const nats = await startNats(3);
    onTestFinished(nats.stop);
    const prefix = newPrefix();
    const options = { replicas: 3 as const, shards: 1 };
    const nodes: Node[] = [];
    for (const name of ['n1', 'n2', 'n3']) {
      const node = await startNode(nats.urls, prefix, name, options);
      onTestFinished(node.close);
      nodes.push(node);
    }
    for (let round = 0; round < 60; round++) {
      const board = `b${round % 5}`;
      for (const node of nodes) await node.log.refresh(board);
      const claims = await Promise.all(nodes.map((node) => node.log.claim(board, node.name)));
      const won = nodes.filter((_, index) => claims[index]).map(({ name }) => name);
      expect(won, `round ${round}`).toHaveLength(1);
      for (const node of nodes) expect((await node.log.refresh(board)).owner).toBe(won[0]);
    }
    const passedOver = nodes.map(({ heard }) => heard.of('passedOver').length);
    console.info(`nats-server ${natsVersion()}: let through behind another entry, by node: ${passedOver}`);
  });

  it('three nodes that start in one moment make one fleet', async () => {
    const nats = await startNats(3);
    onTestFinished(nats.stop);
    for (let round = 0; round < 3; round++) {
      const prefix = newPrefix();
      const options = { replicas: 3 as const, shards: 1, callMs: 3000 };
      const nodes = await Promise.all(
        ['n1', 'n2', 'n3'].map((name) => startNode(nats.urls, prefix, name, options)),
      );
      const ids = nodes.map(({ log }) => log.cluster.id);
      await Promise.all(nodes.map((node) => node.close()));
      expect(new Set(ids).size).toBe(1);
    }
  });
});
