import { setTimeout as wait } from 'node:timers/promises';
import {
  DecidedElsewhere,
  FateUnknown,
  FleetUnfit,
  LineDamaged,
  type LineEntry,
  LineFromNewer,
  LineMoved,
  LogConflict,
  PartlyAppended,
} from '@plumbline/base';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { BoardIndexes } from '../../../apps/base/src/cluster/log/boardIndex.ts';
import { Copy } from '../../../apps/base/src/cluster/log/copy.ts';
import { Follower } from '../../../apps/base/src/cluster/log/follower.ts';
import { Line } from '../../../apps/base/src/cluster/log/line.ts';
import { LineReader } from '../../../apps/base/src/cluster/log/reader.ts';
import { rowOf } from '../../log/contract.ts';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { openRelay } from '../../support/relay.ts';
import { type Node, newPrefix, startNode } from './fleet.ts';

const B = 'b1';
/** How long a late append may be under way. */
const LATE_MS = 60_000;
/** How long bytes are held up on their way. */
const HELD_MS = 1500;

describe.skipIf(NATS_SERVER === null)(`a board’s line in the engine${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  /** Nodes of one fleet. */
  async function nodes(...names: readonly string[]): Promise<Node[]> {
    const prefix = newPrefix();
    const started: Node[] = [];
    for (const name of names) {
      const node = await startNode(nats.urls, prefix, name);
      onTestFinished(node.close);
      started.push(node);
    }
    return started;
  }
  const two = async (): Promise<readonly [Node, Node]> => {
    const [first, second] = await nodes('n1', 'n2');
    if (!first || !second) throw new Error('no nodes');
    return [first, second];
  };

  const append = (node: Node, from: number, to = from, more: Parameters<typeof rowOf>[3] = {}) =>
    node.log.append([
      {
        board: B,
        epoch: 'e1',
        rows: Array.from({ length: to - from + 1 }, (_, index) =>
          rowOf(from + index, 'p1-1', from + index, more),
        ),
      },
    ]);
  const failureOf = async (appending: Promise<void>): Promise<unknown> => {
    const error: unknown = await appending.then(
      () => null,
      (rejected: unknown) => rejected,
    );
    return error instanceof PartlyAppended ? error.failed.get(B) : error;
  };
  const seqs = async (node: Node): Promise<readonly number[]> =>
    (await node.log.read(B, 0, 10_000)).map(({ seq }) => seq);
  const stored = async ({ log, engine }: Node): Promise<number> => {
    const { stream, subject } = log.names.place(B, log.cluster.shards);
    const { state } = await engine.jsm.streams.info(stream, { subjects_filter: subject });
    return state.subjects?.[subject] ?? 0;
  };

  /** Lets a node send without ever hearing that it arrived, or not send at all. Returns what puts that right. */
  function deafen(
    { engine }: Node,
    sends: (attempt: number) => boolean,
  ): { heal(): void; late: (() => Promise<unknown>)[] } {
    const publish = engine.js.publish.bind(engine.js);
    const late: (() => Promise<unknown>)[] = [];
    let attempt = 0;
    engine.js.publish = async (subject, payload, options) => {
      if (sends(++attempt)) await publish(subject, payload, options).catch(() => {});
      // What is left of the time that the writer had is not what a late arrival has.
      else late.push(() => publish(subject, payload, { ...options, timeout: LATE_MS }));
      throw new Error('no confirmation');
    };
    return {
      heal: () => {
        engine.js.publish = publish;
      },
      late,
    };
  }

  it('what a former owner still sends is refused by the engine itself, and nothing of it is stored', async () => {
    const [former, owner] = await two();
    expect(await former.log.claim(B, 'n1')).toBe(true);
    await append(former, 1, 2);
    expect(await owner.log.refresh(B)).toEqual({ owner: 'n1' });
    expect(await owner.log.claim(B, 'n2')).toBe(true);
    const before = await stored(owner);
    expect(await failureOf(append(former, 3))).toBeInstanceOf(LineMoved);
    expect(former.heard.of('refused')).toEqual([['refused', B]]);
    expect(await stored(owner)).toBe(before);
    await append(owner, 3);
    // Once it knows who decides, it does not even ask.
    expect(await former.log.refresh(B)).toEqual({ owner: 'n2' });
    expect(await failureOf(append(former, 4))).toBeInstanceOf(DecidedElsewhere);
    expect(await seqs(former)).toEqual([1, 2, 3]);
  });

  it('an append that is held up on its way until another node has claimed is refused when it arrives', async () => {
    const relay = await openRelay(Number(new URL(nats.urls[0] ?? '').port));
    onTestFinished(relay.close);
    const prefix = newPrefix();
    const former = await startNode([`nats://127.0.0.1:${relay.port}`], prefix, 'n1');
    onTestFinished(former.close);
    const owner = await startNode(nats.urls, prefix, 'n2');
    onTestFinished(owner.close);
    expect(await former.log.claim(B, 'n1')).toBe(true);
    await append(former, 1);
    await owner.log.refresh(B);
    relay.delayMs = HELD_MS;
    const late = failureOf(append(former, 2));
    // The bytes are under way; without being held they would be there long before the other's claim.
    await wait(HELD_MS / 10);
    relay.delayMs = 0;
    expect(await owner.log.claim(B, 'n2')).toBe(true);
    const before = await stored(owner);
    expect(await late).toBeInstanceOf(LineMoved);
    expect(former.heard.of('refused')).toEqual([['refused', B]]);
    expect(await stored(owner)).toBe(before);
    await append(owner, 2);
    await former.log.refresh(B);
    expect(await seqs(former)).toEqual([1, 2]);
  });

  it('of two nodes that claim behind the same entry one is told that it did not', async () => {
    const [first, second] = await two();
    const claims = await Promise.all([first.log.claim(B, 'n1'), second.log.claim(B, 'n2')]);
    expect(claims.filter((isOurs) => isOurs)).toHaveLength(1);
    const owner = claims[0] ? 'n1' : 'n2';
    expect((await first.log.refresh(B)).owner).toBe(owner);
    expect((await second.log.refresh(B)).owner).toBe(owner);
  });

  it('one board’s failure leaves the others of the same append stored', async () => {
    const [first, second] = await two();
    await append(second, 1);
    const rows = [rowOf(1, 'p1-1', 1)];
    const error: unknown = await first.log
      .append(['b0', B, 'b2'].map((board) => ({ board, epoch: 'e1', rows })))
      .catch((rejected: unknown) => rejected);
    expect(error).toBeInstanceOf(PartlyAppended);
    if (error instanceof PartlyAppended) expect([...error.failed.keys()]).toEqual([B]);
    for (const board of ['b0', 'b2']) {
      await second.log.refresh(board);
      expect((await second.log.end(board)).seq).toBe(1);
    }
  });

  it('an append whose confirmation is lost is sent again and stored once', async () => {
    const [node, other] = await two();
    const { heal } = deafen(node, () => true);
    const appending = append(node, 1);
    setTimeout(heal, 200);
    await appending;
    expect(await stored(node)).toBe(1);
    await append(node, 2);
    await other.log.refresh(B);
    expect(await seqs(other)).toEqual([1, 2]);
  });

  it('an append of which nobody knows is found where it was stored', async () => {
    const [node] = await nodes('n1');
    if (!node) throw new Error('no node');
    await node.log.claim(B, 'n1');
    const { heal } = deafen(node, () => true);
    expect(await failureOf(append(node, 1))).toBeInstanceOf(FateUnknown);
    expect(node.heard.of('unknown')).toEqual([['unknown', B]]);
    heal();
    expect(await seqs(node)).toEqual([1]);
    expect(await failureOf(append(node, 1))).toBeInstanceOf(LogConflict);
    await append(node, 2);
  });

  it('an append of which nobody knows is kept out for good where it was not stored, however late it arrives', async () => {
    const [node, other] = await two();
    await node.log.claim(B, 'n1');
    const { heal, late } = deafen(node, () => false);
    expect(await failureOf(append(node, 1))).toBeInstanceOf(FateUnknown);
    heal();
    expect(await seqs(node)).toEqual([]);
    expect(late.length).toBeGreaterThan(1);
    for (const arrive of late) await expect(arrive()).rejects.toThrow(/wrong last sequence/);
    await append(node, 1);
    await other.log.refresh(B);
    expect(await seqs(other)).toEqual([1]);
  });

  it.each([
    ['a row altered', (text: string) => text.replace('value 2', 'value 9'), LineDamaged],
    ['an entry that is cut short', (text: string) => text.slice(0, -9), LineDamaged],
    [
      'an entry of another board',
      (text: string) => text.replace('"board":"b1"', '"board":"b9"'),
      LineDamaged,
    ],
    ['an entry of a newer version', (text: string) => text.replace('"v":1', '"v":2'), LineFromNewer],
  ])('%s is noticed, not guessed, and nothing is written behind it', async (_, damage, expected) => {
    const [node, other] = await two();
    await append(node, 1);
    await other.log.refresh(B);
    const publish = node.engine.js.publish.bind(node.engine.js);
    node.engine.js.publish = (subject, bytes, options) =>
      publish(
        subject,
        Buffer.from(damage(Buffer.from(z.instanceof(Uint8Array).parse(bytes)).toString('latin1')), 'latin1'),
        options,
      );
    await append(node, 2);
    node.engine.js.publish = publish;
    await expect(other.log.refresh(B)).rejects.toThrow(expected);
    if (expected === LineDamaged) expect(other.heard.of('damaged')).toHaveLength(1);
    expect(await seqs(other)).toEqual([1]);
    expect(await failureOf(append(other, 2))).toBeInstanceOf(Error);
    expect(await stored(other)).toBe(2);
  });

  it('fields that a newer version has added are passed over', async () => {
    const [node, other] = await two();
    const publish = node.engine.js.publish.bind(node.engine.js);
    node.engine.js.publish = (subject, bytes, options) => {
      const text = Buffer.from(z.instanceof(Uint8Array).parse(bytes)).toString('latin1');
      return publish(subject, Buffer.from(text.replace('{"v":1', '{"later":[1],"v":1'), 'latin1'), options);
    };
    await append(node, 1);
    await other.log.refresh(B);
    expect(await seqs(other)).toEqual([1]);
  });

  it('a batch larger than a message is stored in one entry, or not at all', async () => {
    const [node, other] = await two();
    // Bytes that do not get shorter by packing.
    let state = 1;
    const update = new Uint8Array(900_000).map(() => {
      state = (state * 48_271) % 2_147_483_647;
      return state & 255;
    });
    await append(node, 1, 2, { update });
    expect(await stored(node)).toBe(1);
    await other.log.refresh(B);
    const rows = await other.log.read(B, 0, 10);
    expect(rows.map(({ seq }) => seq)).toEqual([1, 2]);
    expect(Buffer.compare(rows[1]?.update ?? new Uint8Array(), update)).toBe(0);
  });

  /** Follows a board; what it hears is written down. */
  async function following(node: Node): Promise<{ heard: LineEntry[]; rows: () => readonly number[] }> {
    const heard: LineEntry[] = [];
    const fresh: number[] = [];
    const stop = await node.log.follow(B, async (entry) => {
      heard.push(entry);
      if (entry.kind === 'rows') fresh.push(...entry.commit().map(({ row }) => row.seq));
    });
    onTestFinished(stop);
    return { heard, rows: () => fresh };
  }
  const upTo = (last: number) => Array.from({ length: last }, (_, index) => index + 1);

  it('a follower hears rows and claims in order, its own left out', async () => {
    const [first, second] = await two();
    const ofFirst = await following(first);
    const ofSecond = await following(second);
    await first.log.claim(B, 'n1');
    await append(first, 1, 3);
    await until(() => ofSecond.rows().length === 3, 'the rows');
    expect(await second.log.claim(B, 'n2')).toBe(true);
    await append(second, 4);
    await until(() => ofFirst.rows().length === 1, 'the row');
    expect(ofSecond.heard.map((entry) => (entry.kind === 'claim' ? entry.node : entry.rows.length))).toEqual([
      'n1',
      3,
    ]);
    expect(ofFirst.heard.map((entry) => (entry.kind === 'claim' ? entry.node : entry.rows.length))).toEqual([
      'n2',
      1,
    ]);
    expect(await seqs(first)).toEqual(await seqs(second));
  });

  it('a follower whose reader at the engine is taken away hears all the same, once and in order', async () => {
    const [writer, reader] = await two();
    const { rows } = await following(reader);
    const { stream } = reader.log.names.place(B, reader.log.cluster.shards);
    for (let seq = 1; seq <= 30; seq++) {
      await append(writer, seq);
      if (seq % 10 !== 0) continue;
      for await (const { name } of reader.engine.jsm.consumers.list(stream))
        await reader.engine.jsm.consumers.delete(stream, name).catch(() => false);
    }
    await until(() => rows().length >= 30, 'all rows');
    expect(rows()).toEqual(upTo(30));
    expect(await seqs(reader)).toEqual(upTo(30));
  });

  it('entries that are not delivered are fetched before the next is heard', async () => {
    const [writer, node] = await two();
    const { log, engine, database, heard } = node;
    const { names, cluster, objects, meta } = log;
    const reader = new LineReader(engine, names, cluster.shards, objects, new BoardIndexes(meta));
    const copy = new Copy(database);
    const rows: number[] = [];
    const follower = new Follower(
      {
        line: new Line(B),
        copy,
        reports: heard,
        random: Math.random,
        reader: {
          entriesTo: (...given) => reader.entriesTo(...given),
          open: async (...given) => {
            const delivery = await reader.open(...given);
            let count = 0;
            return {
              close: delivery.close,
              // Two of three are lost on the way.
              next: async () => {
                for (;;) {
                  const message = await delivery.next();
                  if (!message || ++count % 3 === 0) return message;
                }
              },
            };
          },
        },
      },
      async (entry) => {
        if (entry.kind === 'rows') rows.push(...entry.commit().map(({ row }) => row.seq));
      },
    );
    await follower.start();
    onTestFinished(() => follower.stop());
    for (let seq = 1; seq <= 12; seq++) await append(writer, seq);
    await until(() => rows.length >= 12, 'all rows');
    expect(rows).toEqual(upTo(12));
    expect(heard.of('healed').length).toBeGreaterThan(0);
  });

  it('a node whose copy is of another fleet, or of a base by itself, is refused', async () => {
    const [node] = await nodes('n1');
    if (!node) throw new Error('no node');
    await append(node, 1);
    const strange = startNode(nats.urls, newPrefix(), 'n1', { database: node.database });
    await expect(strange).rejects.toThrow(FleetUnfit);
    await expect(strange).rejects.toThrow(/copy of the fleet/);
    node.database.run('DELETE FROM fleet');
    await expect(startNode(nats.urls, newPrefix(), 'n1', { database: node.database })).rejects.toThrow(
      /base by itself/,
    );
  });

  it('streams that would forget are refused', async () => {
    const [node] = await nodes('n1');
    if (!node) throw new Error('no node');
    await node.engine.jsm.streams.update(node.log.names.stream(0), { max_msgs: 1000 });
    await expect(startNode(nats.urls, node.log.names.prefix, 'n2')).rejects.toThrow(/max_msgs 1000/);
  });
});
