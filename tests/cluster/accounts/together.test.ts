import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { Accounts } from '../../../apps/base/src/accounts/accounts.ts';
import type { Invite, StoredSession } from '../../../apps/base/src/accounts/port.ts';
import { SqliteAccounts } from '../../../apps/base/src/accounts/sqlite.ts';
import { tokenHash } from '../../../apps/base/src/accounts/tokens.ts';
import { InviteGone } from '../../../apps/base/src/accounts/writes.ts';
import { decodeMessage, encodeMessage } from '../../../apps/base/src/cluster/accounts/message.ts';
import { AccountsStream } from '../../../apps/base/src/cluster/accounts/stream.ts';
import { Names } from '../../../apps/base/src/cluster/log/names.ts';
import { Database } from '../../../apps/base/src/sqlite/database.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { randomOf, seedOf } from '../../support/random.ts';
import { type AccountsNode, addBoard, everything, openAccounts } from './fleet.ts';

const HOUR_MS = 3_600_000;

describe.skipIf(NATS_SERVER === null)(`accounts of a fleet${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  let next = 0;
  beforeAll(async () => {
    nats = await startNats(1);
  });
  afterAll(() => nats.stop());

  const nodesOf = async (count: number): Promise<{ nodes: AccountsNode[]; prefix: string }> => {
    const prefix = `t${++next}`;
    const nodes: AccountsNode[] = [];
    for (let index = 0; index < count; index++)
      nodes.push(await openAccounts(nats.urls, { prefix, replicas: 1 }));
    onTestFinished(async () => {
      for (const node of nodes) await node.close();
    });
    return { nodes, prefix };
  };

  it('three nodes that write at once come to the same, and to what one base comes to in that order', async () => {
    const seed = seedOf(81);
    const random = randomOf(seed);
    const { nodes, prefix } = await nodesOf(3);
    const told = new Map<string, unknown>();
    const invites: Invite[] = [];
    const sessions: StoredSession[] = [];
    let count = 0;
    for (const id of ['b1', 'b2']) await addBoard(random.pick(nodes).accounts, id);

    const writers = new Set<string>();
    const people = new Set<string>();
    const act = async (): Promise<void> => {
      const { accounts } = random.pick(nodes);
      const number = ++count;
      const board = random.pick(['b1', 'b2']);
      const kind = invites.length === 0 ? 0 : random.below(10);
      if (kind < 2) {
        const once = kind === 1;
        const invite: Invite = {
          hash: tokenHash(`invite ${number}`),
          board,
          role: random.pick(['director', 'camera']),
          person: null,
          expiresAt: HOUR_MS,
          once,
        };
        await (once ? accounts.addInvite(invite) : accounts.putInvite(invite));
        invites.push(invite);
        return;
      }
      if (kind < 6) {
        // of the last few: older ones are mostly replaced
        const invite = random.pick(invites.slice(-4));
        const id = `s${number}`;
        const hash = tokenHash(`session ${number}`);
        try {
          const person = await accounts.join(
            invite,
            { name: `name ${number}`, joinedAt: number },
            { id, hash, expiresAt: HOUR_MS },
          );
          const key = `${invite.board} ${person.id}`;
          expect(people.has(key), `${key} was given twice, seed ${seed}`).toBe(false);
          people.add(key);
          sessions.push({
            id,
            board: invite.board,
            person: person.id,
            role: person.role,
            name: person.name,
            expiresAt: HOUR_MS,
            endedAt: null,
          });
        } catch (error) {
          if (!(error instanceof InviteGone)) throw error;
        }
        return;
      }
      const session = sessions.length === 0 ? null : random.pick(sessions);
      if (!session) return;
      if (kind < 8) {
        const tab = `tab ${number}`;
        const id = await accounts.writer(session, tab, 3);
        if (id === null) return;
        const key = `${session.board} ${id}`;
        expect(writers.has(key), `${key} was given twice, seed ${seed}`).toBe(false);
        writers.add(key);
        // the same tab asks again, by way of another node
        expect(await random.pick(nodes).accounts.writer(session, tab, 3)).toBe(id);
      } else if (kind === 8) await accounts.endSession(session.id, number);
      else if (random.below(3) === 0) told.set(`${number}`, await accounts.leave(board, 'p1', number));
      else told.set(`${number}`, await accounts.removeInvite(board, 'camera'));
    };
    for (let round = 0; round < 30; round++) await Promise.all(Array.from({ length: 8 }, act));

    // whoever asks for what is not there has all that was there before
    for (const { accounts } of nodes) expect(await accounts.session(tokenHash('nobody'))).toBeNull();
    const [first, second, third] = await Promise.all(nodes.map(({ database }) => everything(database)));
    expect(second).toEqual(first);
    expect(third).toEqual(first);
    expect(people.size, `seed ${seed}`).toBeGreaterThan(20);
    expect(writers.size, `seed ${seed}`).toBeGreaterThan(10);

    // the same order on a base by itself, by its own store
    const alone = new Database(':memory:');
    const single = new SqliteAccounts(alone);
    const [{ engine } = {}] = nodes;
    if (!engine) throw new Error('no node');
    const stream = new AccountsStream(engine, new Names(prefix), 1);
    const last = await stream.last();
    for (let at = 1; at <= last; at++) {
      const message = decodeMessage((await stream.entry(at))?.data ?? new Uint8Array());
      if (!message) throw new Error(`entry ${at} is none`);
      await replay(single, message).catch((error: unknown) => {
        if (!(error instanceof InviteGone)) throw error;
      });
    }
    expect(await everything(alone)).toEqual(first);
    alone.close();
  });

  it('an invite for once lets one of many in, however many nodes they come by at the same moment', async () => {
    const { nodes } = await nodesOf(3);
    const [one] = nodes;
    if (!one) throw new Error('no node');
    await addBoard(one.accounts, 'b1');
    const hash = tokenHash('once');
    const invite = { hash, board: 'b1', role: 'sound', person: null, expiresAt: HOUR_MS, once: true };
    await one.accounts.addInvite(invite);
    const found = await Promise.all(nodes.map(({ accounts }) => accounts.invite(hash)));
    const came = await Promise.allSettled(
      found.map((each, index) => {
        if (!each) throw new Error('another node does not know the invite');
        return nodes[index]?.accounts.join(
          each,
          { name: `n${index}`, joinedAt: 1 },
          { id: `s${index}`, hash: tokenHash(`s${index}`), expiresAt: HOUR_MS },
        );
      }),
    );
    expect(came.filter(({ status }) => status === 'fulfilled')).toHaveLength(1);
    for (const each of came) if (each.status === 'rejected') expect(each.reason).toBeInstanceOf(InviteGone);
  });

  it('what one node has just written, every other finds at once', async () => {
    const { nodes } = await nodesOf(3);
    const bases = nodes.map(({ accounts }) => new Accounts(accounts, () => 1000));
    const [a, b, c] = bases;
    if (!a || !b || !c) throw new Error('no node');
    for (let round = 0; round < 20; round++) {
      const { id } = await a.createBoard(`board ${round}`);
      expect(await b.board(id)).toMatchObject({ title: `board ${round}` });
      const token = await b.rotateInvite(id, 'director');
      const invite = await c.invite(token);
      if (!invite) throw new Error('the invite is not known elsewhere');
      const { secret, person } = await c.join(invite, 'Marit');
      expect(await a.session(secret)).toMatchObject({ board: id, person: person.id });
      expect((await b.boards()).map((board) => board.id)).toContain(id);
    }
  });

  it('a session ended on one node ends on all of them', async () => {
    const { nodes } = await nodesOf(3);
    const bases = nodes.map(({ accounts }) => new Accounts(accounts, () => 1000));
    const heard: string[] = [];
    bases.forEach((accounts, index) => {
      accounts.onEnd((session) => heard.push(`${index} ${session}`));
    });
    const [a, b] = bases;
    if (!a || !b) throw new Error('no node');
    const { id } = await a.createBoard('board');
    const invite = await a.invite(await a.rotateInvite(id, 'camera'));
    if (!invite) throw new Error('no invite');
    const { secret, person } = await a.join(invite, 'Teo');
    const session = await b.session(secret);
    if (!session) throw new Error('no session');
    await b.removePerson(id, person.id);
    expect(b.isEnded(session.id)).toBe(true);
    await expect.poll(() => heard.sort()).toEqual([0, 1, 2].map((index) => `${index} ${session.id}`));
    expect(await a.session(secret)).toBeNull();
  });

  it('a node that was away takes in what it missed, and one that starts anew all there is', async () => {
    const { nodes, prefix } = await nodesOf(1);
    const [one] = nodes;
    if (!one) throw new Error('no node');
    const database = new Database(':memory:');
    const away = await openAccounts(nats.urls, { prefix, replicas: 1, database });
    await addBoard(away.accounts, 'b1');
    await away.close();
    for (let number = 0; number < 300; number++) await one.accounts.renewSession(`s${number}`, number);
    await addBoard(one.accounts, 'b2');
    const back = await openAccounts(nats.urls, { prefix, replicas: 1, database });
    const fresh = await openAccounts(nats.urls, { prefix, replicas: 1 });
    expect(back.accounts.at).toBe(one.accounts.at);
    expect(await everything(back.database)).toEqual(await everything(one.database));
    expect(await everything(fresh.database)).toEqual(await everything(one.database));
    await back.close();
    await fresh.close();
  });

  it('what another program writes there is passed over, what a newer version wrote stops the node', async () => {
    const { nodes, prefix } = await nodesOf(1);
    const [one] = nodes;
    if (!one) throw new Error('no node');
    await one.engine.js.publish(`${prefix}.accounts`, 'not of ours');
    await addBoard(one.accounts, 'b1');
    expect(one.troubles).toEqual(['foreign 1']);
    await one.engine.js.publish(`${prefix}.accounts`, JSON.stringify({ v: 2, id: 'x' }));
    await expect.poll(() => one.accounts.trouble).toContain('Update this node');
    await expect(addBoard(one.accounts, 'b2')).rejects.toThrow('Update this node');
    await expect(openAccounts(nats.urls, { prefix, replicas: 1 })).rejects.toThrow('Update this node');
  });

  it('a write whose confirmation was lost is sent again and counts once, even if it stands there twice', async () => {
    const { nodes, prefix } = await nodesOf(1);
    const [one] = nodes;
    if (!one) throw new Error('no node');
    const stream = new AccountsStream(one.engine, new Names(prefix), 1);
    await addBoard(one.accounts, 'b1');
    const invite = { board: 'b1', role: 'sound', person: null, expiresAt: HOUR_MS, once: false };
    await one.accounts.putInvite({ ...invite, hash: tokenHash('first') });
    const removal = encodeMessage('removal', 'removeInvite', ['b1', 'sound']);
    const at = await stream.append('removal', removal, 1000);
    expect(await stream.append('removal', removal, 1000)).toBe(at);
    await one.accounts.putInvite({ ...invite, hash: tokenHash('second') });
    // as where the engine has forgotten that it had this one
    expect(await stream.append('another name', removal, 1000)).toBeGreaterThan(at + 1);
    await addBoard(one.accounts, 'b2');
    expect(await one.accounts.invite(tokenHash('first'))).toBeNull();
    expect(await one.accounts.invite(tokenHash('second'))).not.toBeNull();
  });

  it('the servers of another fleet are not taken for those of before', async () => {
    const { nodes } = await nodesOf(1);
    const [one] = nodes;
    if (!one) throw new Error('no node');
    await addBoard(one.accounts, 'b1');
    await expect(
      openAccounts(nats.urls, { prefix: `t${++next}`, replicas: 1, database: one.database }),
    ).rejects.toThrow('Start with an empty data folder');
  });
});

/** The write of an entry, by the store of a base by itself. */
async function replay(
  store: SqliteAccounts,
  message: NonNullable<ReturnType<typeof decodeMessage>>,
): Promise<unknown> {
  switch (message.method) {
    case 'addBoard':
      return store.addBoard(...message.args);
    case 'putInvite':
      return store.putInvite(...message.args);
    case 'removeInvite':
      return store.removeInvite(...message.args);
    case 'addInvite':
      return store.addInvite(...message.args);
    case 'join':
      return store.join(...message.args);
    case 'leave':
      return store.leave(...message.args);
    case 'renewSession':
      return store.renewSession(...message.args);
    case 'endSession':
      return store.endSession(...message.args);
    case 'writer': {
      const [session, tab, most] = message.args;
      return store.writer({ ...session, role: '', name: '', expiresAt: 0, endedAt: null }, tab, most);
    }
    default:
      throw new Error(`${message.method} is not written here`);
  }
}
