import type { LineEntry } from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { BoardIndexes } from '../../../apps/base/src/cluster/log/boardIndex.ts';
import { bytes, rowOf } from '../../log/contract.ts';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { type Node, newPrefix, startNode } from './fleet.ts';

const B = 'b1';
const LIMITS = { archiveFromRows: 20, segmentRows: 15, segmentBytes: 1e6 };

describe.skipIf(NATS_SERVER === null)(`what a fleet keeps beside its streams${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  async function nodeOf(prefix: string, name: string): Promise<Node> {
    const node = await startNode(nats.urls, prefix, name, { limits: LIMITS });
    onTestFinished(node.close);
    return node;
  }
  const append = (node: Node, seq: number, epoch = 'e1') =>
    node.log.append([{ board: B, epoch, rows: [rowOf(seq, 'p1-1', seq)] }]);
  const snapshot = (node: Node, seq: number, epoch = 'e1') =>
    node.log.saveSnapshot(B, { epoch, seq, bytes: bytes(seq & 255, seq >> 8) });
  const objects = async ({ engine, log }: Node): Promise<readonly string[]> => {
    const { state } = await engine.jsm.streams.info(`OBJ_${log.names.bucket}`, {
      subjects_filter: `$O.${log.names.bucket}.M.>`,
    });
    return Object.keys(state.subjects ?? {})
      .map((subject) =>
        Buffer.from(subject.split('.').at(-1) ?? '', 'base64url')
          .toString()
          .replace(/\.[^.]*$/, ''),
      )
      .sort();
  };
  const inStream = async ({ engine, log }: Node): Promise<number> => {
    const { stream } = log.names.place(B, log.cluster.shards);
    return (await engine.jsm.streams.info(stream)).state.messages;
  };

  it('two snapshots of an epoch are kept and its first, in the object store too, and the others leave nothing behind', async () => {
    const node = await nodeOf(newPrefix(), 'n1');
    for (const seq of [1, 2, 3, 4]) await snapshot(node, seq);
    await snapshot(node, 5, 'e2');
    expect(await objects(node)).toEqual([
      'snapshot.b1.e1.1',
      'snapshot.b1.e1.3',
      'snapshot.b1.e1.4',
      'snapshot.b1.e2.5',
    ]);
  });

  it('a snapshot that is not what was written is passed over for the one before it, and said', async () => {
    const prefix = newPrefix();
    const node = await nodeOf(prefix, 'n1');
    await snapshot(node, 1);
    await snapshot(node, 2);
    const store = node.log.objects;
    const newest = (await new BoardIndexes(node.log.meta).get(B)).snapshots[0]?.object ?? '';
    await store.put(newest, bytes(9, 9, 9));
    const other = await nodeOf(prefix, 'n2');
    expect(await other.log.snapshot(B, 'e1')).toEqual({ epoch: 'e1', seq: 1, bytes: bytes(1, 0) });
    expect(other.heard.of('damaged')).toHaveLength(1);
  });

  it('rows that two snapshots hold leave the stream, and a fresh node has the whole history with an unbroken chain of sums', async () => {
    const prefix = newPrefix();
    const node = await nodeOf(prefix, 'n1');
    await node.log.claim(B, 'n1');
    for (let seq = 1; seq <= 50; seq++) await append(node, seq, seq <= 10 ? 'e0' : 'e1');
    await snapshot(node, 40);
    expect(node.heard.of('archived')).toEqual([]);
    await snapshot(node, 50);
    // Only what the older of the two holds: 40 rows in segments of 15.
    expect(node.heard.of('archived').map(([, , rows]) => rows)).toEqual([15, 15, 10]);
    expect(await inStream(node)).toBe(10);
    await append(node, 51);

    const fresh = await nodeOf(prefix, 'n2');
    expect(await fresh.log.refresh(B)).toEqual({ owner: 'n1' });
    // Reading checks the chain of sums over every row.
    const rows = await fresh.log.read(B, 0, 1000);
    expect(rows).toEqual(await node.log.read(B, 0, 1000));
    expect(rows.map(({ seq }) => seq)).toEqual(Array.from({ length: 51 }, (_, index) => index + 1));
    expect((await fresh.log.snapshot(B, 'e1'))?.seq).toBe(50);
    expect(await fresh.log.claim(B, 'n2')).toBe(true);
    await append(fresh, 52);

    // A node that follows from the beginning hears the same.
    const follower = await nodeOf(prefix, 'n3');
    const heard: number[] = [];
    const owners: LineEntry[] = [];
    const stop = await follower.log.follow(B, async (entry) => {
      if (entry.kind === 'rows') heard.push(...entry.commit().map(({ row }) => row.seq));
      else owners.push(entry);
    });
    onTestFinished(stop);
    await until(() => heard.length >= 52, 'all rows');
    expect(heard).toEqual(Array.from({ length: 52 }, (_, index) => index + 1));
    expect(owners.at(-1)).toMatchObject({ node: 'n2' });
  });

  it('a node that has met a part of what was archived since goes on from there', async () => {
    const prefix = newPrefix();
    const node = await nodeOf(prefix, 'n1');
    const other = await nodeOf(prefix, 'n2');
    for (let seq = 1; seq <= 7; seq++) await append(node, seq);
    await other.log.refresh(B);
    for (let seq = 8; seq <= 60; seq++) await append(node, seq);
    await snapshot(node, 45);
    await snapshot(node, 60);
    expect(node.heard.of('archived').length).toBeGreaterThan(0);
    await other.log.refresh(B);
    expect(await other.log.read(B, 0, 1000)).toEqual(await node.log.read(B, 0, 1000));
    expect(other.heard.of('damaged')).toEqual([]);
  });

  it('what two nodes archive at once is archived once', async () => {
    const prefix = newPrefix();
    const node = await nodeOf(prefix, 'n1');
    for (let seq = 1; seq <= 50; seq++) await append(node, seq);
    const other = await nodeOf(prefix, 'n2');
    await other.log.refresh(B);
    await snapshot(node, 45);
    await Promise.all([snapshot(node, 50), snapshot(other, 50)]);
    const fresh = await nodeOf(prefix, 'n3');
    await fresh.log.refresh(B);
    expect(await fresh.log.read(B, 0, 1000)).toEqual(await node.log.read(B, 0, 1000));
    const segments = (await objects(node)).filter((name) => name.startsWith('rows.'));
    expect(segments).toEqual(['rows.b1.1-15', 'rows.b1.16-30', 'rows.b1.31-45']);
  });
});
