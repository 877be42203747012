import { afterAll, beforeAll, describe } from 'vitest';
import { logContract } from '../../log/contract.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { type Node, newPrefix, startNode } from './fleet.ts';

describe.skipIf(NATS_SERVER === null)(`on one server of the engine${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  logContract('the log of a fleet', async () => {
    let node = await startNode(nats.urls, newPrefix(), 'n1');
    return {
      log: node.log,
      reopen: async () => {
        node = await node.again();
        return node.log;
      },
      close: () => node.close(),
    };
  });

  logContract('the log of a fleet, looked at by another node', async () => {
    const prefix = newPrefix();
    const nodes: Node[] = [await startNode(nats.urls, prefix, 'n1')];
    return {
      log:
        nodes[0]?.log ??
        (() => {
          throw new Error('no node');
        })(),
      reopen: async () => {
        const other = await startNode(nats.urls, prefix, 'n2');
        nodes.push(other);
        for (const board of ['b0', 'b1', 'b2', 'b3']) await other.log.refresh(board);
        return other.log;
      },
      close: async () => {
        for (const node of nodes) await node.close();
      },
    };
  });
});
