import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { tokenHash } from '../../../apps/base/src/accounts/tokens.ts';
import { FleetAway } from '../../../apps/base/src/cluster/accounts/errors.ts';
import { NATS_SERVER, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { randomOf, seedOf } from '../../support/random.ts';
import { type AccountsNode, addBoard, everything, openAccounts } from './fleet.ts';

const HOUR_MS = 3_600_000;

describe.skipIf(NATS_SERVER === null)(`accounts of a fleet and faults${NEEDS_NATS}`, () => {
  it('whoever was let in while servers were killed and stood still is there once, on every node', async () => {
    const seed = seedOf(82);
    const random = randomOf(seed);
    const nats = await startNats(3);
    onTestFinished(() => nats.stop());
    const nodes: AccountsNode[] = [];
    for (let index = 0; index < 3; index++)
      nodes.push(await openAccounts(nats.urls, { prefix: 'faults', replicas: 3, withinMs: 8000 }));
    onTestFinished(async () => {
      for (const node of nodes) await node.close();
    });
    const [one] = nodes;
    if (!one) throw new Error('no node');
    await addBoard(one.accounts, 'b1');
    const invite = {
      hash: tokenHash('invite'),
      board: 'b1',
      role: 'camera',
      person: null,
      expiresAt: HOUR_MS,
      once: false,
    };
    await one.accounts.putInvite(invite);

    const letIn = new Map<string, string>();
    const unsure = new Set<string>();
    let count = 0;
    let isWriting = true;
    const writing = nodes.map(async ({ accounts }) => {
      while (isWriting) {
        const name = `n${++count}`;
        const session = { id: `s${name}`, hash: tokenHash(name), expiresAt: HOUR_MS };
        try {
          const { id } = await accounts.join(invite, { name, joinedAt: count }, session);
          letIn.set(name, id);
        } catch (error) {
          if (!(error instanceof FleetAway)) throw error;
          unsure.add(name);
        }
      }
    });
    for (let fault = 0; fault < 4; fault++) {
      const server = random.pick(nats.servers);
      if (fault % 2 === 0) {
        await server.signal('SIGKILL');
        await wait(300);
        await server.restart();
      } else {
        await server.signal('SIGSTOP');
        await wait(1500);
        await server.signal('SIGCONT');
      }
      await nats.ready();
    }
    const before = letIn.size;
    await expect.poll(() => letIn.size, { timeout: 30_000 }).toBeGreaterThan(before);
    isWriting = false;
    await Promise.all(writing);

    for (const { accounts } of nodes) expect(await accounts.session(tokenHash('nobody'))).toBeNull();
    const copies = await Promise.all(nodes.map(({ database }) => everything(database)));
    expect(copies[1]).toEqual(copies[0]);
    expect(copies[2]).toEqual(copies[0]);
    const people = await one.accounts.people('b1');
    const named = new Map(people.map(({ name, id }) => [name, id]));
    expect(named.size, `nobody is there twice, seed ${seed}`).toBe(people.length);
    for (const [name, id] of letIn) expect(named.get(name), `seed ${seed}`).toBe(id);
    // beyond those there are only people of whom nobody knew
    for (const name of named.keys()) expect(letIn.has(name) || unsure.has(name), name).toBe(true);
  });

  it('with the servers away a call ends in time and says so, who is known stays known, and it goes on by itself', async () => {
    const nats = await startNats(1);
    onTestFinished(() => nats.stop());
    const node = await openAccounts(nats.urls, { prefix: 'away', replicas: 1, withinMs: 1500 });
    onTestFinished(() => node.close());
    const { accounts } = node;
    await addBoard(accounts, 'b1');
    const hash = tokenHash('invite');
    const invite = { hash, board: 'b1', role: 'camera', person: null, expiresAt: HOUR_MS, once: false };
    await accounts.putInvite(invite);
    const session = { id: 's1', hash: tokenHash('s1'), expiresAt: HOUR_MS };
    await accounts.join(invite, { name: 'Ines', joinedAt: 1 }, session);

    const [server] = nats.servers;
    await server?.signal('SIGSTOP');
    const start = performance.now();
    const calls = await Promise.allSettled([
      accounts.join(invite, { name: 'Teo', joinedAt: 2 }, { ...session, id: 's2', hash: tokenHash('s2') }),
      accounts.session(tokenHash('unknown')),
      accounts.removeInvite('b1', 'camera'),
    ]);
    for (const each of calls) {
      expect(each.status).toBe('rejected');
      if (each.status === 'rejected') {
        expect(each.reason).toBeInstanceOf(FleetAway);
        expect(each.reason.message).toMatch(/servers of the fleet/);
      }
    }
    // a bound that only a wait without an end would pass, on however slow a machine
    expect(performance.now() - start).toBeLessThan(60_000);
    expect(await accounts.session(tokenHash('s1'))).toMatchObject({ id: 's1' });
    expect(await accounts.boards()).toHaveLength(1);
    await accounts.renewSession('s1', 2 * HOUR_MS);

    await server?.signal('SIGCONT');
    await expect
      .poll(() => accounts.session(tokenHash('unknown')).catch(() => undefined), { timeout: 30_000 })
      .toBeNull();
    await addBoard(accounts, 'b2');
    expect(await accounts.boards()).toHaveLength(2);
  });

  it('a copy whose disk fails takes nothing in half, and goes on when the disk does', async () => {
    const nats = await startNats(1);
    onTestFinished(() => nats.stop());
    const node = await openAccounts(nats.urls, { prefix: 'disk', replicas: 1, withinMs: 1500 });
    const other = await openAccounts(nats.urls, { prefix: 'disk', replicas: 1 });
    onTestFinished(async () => {
      await node.close();
      await other.close();
    });
    await addBoard(node.accounts, 'b1');
    const { at } = node.accounts;
    node.database.run('PRAGMA query_only = ON');
    await expect(addBoard(node.accounts, 'b2')).rejects.toBeInstanceOf(FleetAway);
    await addBoard(other.accounts, 'b3');
    expect(node.accounts.at).toBe(at);
    node.database.run('PRAGMA query_only = OFF');
    await expect.poll(() => node.accounts.at, { timeout: 30_000 }).toBe(other.accounts.at);
    expect(await everything(node.database)).toEqual(await everything(other.database));
    expect((await node.accounts.boards()).map(({ id }) => id).sort()).toEqual(['b1', 'b2', 'b3']);
  });
});
