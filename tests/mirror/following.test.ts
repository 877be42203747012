import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call, type Member, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { caughtUp, expectEqualEnds, listed, MIRROR_LIMITS, sendTo, startPair, visitor } from './pair.ts';

const standingSchema = z.object({
  kept: z.enum(['here', 'elsewhere']),
  asOf: z.number().nullable(),
  behindMs: z.number().nullable(),
  rowsBehind: z.int(),
  sent: z.looseObject({ state: z.looseObject({ kind: z.string() }) }).nullable(),
});

async function standing(base: { url: string; adminKey: string }, member: Member) {
  const { body } = await call(base, 'GET', `/api/boards/${member.boardId}/mirror`, { token: member.session });
  return standingSchema.parse(body);
}

describe('a mirror', () => {
  it('keeps a board that had a history before, people and all, and follows it from then on', async () => {
    const pair = await startPair({ isPaired: false });
    const { base, far, boardId, keeper, keys, line } = pair;
    const tablet = await openTablet(base, keeper, toyKind.definition);
    for (let i = 0; i < 700; i++) tablet.set('shelves', `s${i % 40}`, 'name', `before ${i}`);
    await tablet.settled();
    expect(await sendTo(base, boardId, line.url, keys.key)).toBe(204);
    await caughtUp(pair);
    const guest = await visitor(far, boardId);
    expect(await viewOf(far, guest)).toEqual(await viewOf(base, keeper));
    const reader = await openTablet(far, guest, toyKind.definition);
    tablet.set('shelves', 's1', 'name', 'live');
    await until(() => reader.value('shelves', 's1', 'name') === 'live', 'the edit to arrive far away');
    await expectEqualEnds(pair);
    const history = async (at: typeof base | typeof far, who: Member) =>
      (await call(at, 'GET', `/api/boards/${boardId}/history?limit=50`, { token: who.session })).body;
    expect(await history(far, guest)).toEqual(await history(base, keeper));
    for (const each of [tablet, reader]) each.close();
  });

  it('goes on after a restart of either side, without doubling a row', async () => {
    const pair = await startPair();
    const { base, far, line, keeper, boardId } = pair;
    await caughtUp(pair);
    line.cut();
    const tablet = await openTablet(base, keeper, toyKind.definition);
    for (let i = 0; i < 50; i++) tablet.set('shelves', `s${i % 5}`, 'name', `while cut ${i}`);
    await tablet.settled();
    tablet.close();
    const nearPort = base.port;
    const near = await base.restart({ port: nearPort });
    const again = await far.restart({ port: far.port });
    line.restore();
    const restarted = { base: near, far: again, boardId };
    await caughtUp(restarted);
    await expectEqualEnds(restarted);
    expect((await listed(again)).kept[0]).toMatchObject({ board: boardId, rowsBehind: 0 });
    await near.stop();
    await again.stop();
  });

  it('a board that was put back from a backup before is mirrored with all its epochs', async () => {
    const { filledFolder, backedUp, restored } = await import('../backup/filled.ts');
    const { startTestBase } = await import('../support/base.ts');
    const { onTestFinished } = await import('vitest');
    const filled = await filledFolder();
    restored(backedUp(filled.path), filled.path);
    const { far, keys, line } = await startPair({ isPaired: false });
    const base = await startTestBase({ dataFolder: filled.path, mirrorLimits: MIRROR_LIMITS });
    onTestFinished(base.stop);
    const tablet = await openTablet(base, filled.keeper, toyKind.definition);
    tablet.set('shelves', 's1', 'name', 'in the new epoch');
    await tablet.settled();
    const { boardId } = filled.board;
    expect(await sendTo(base, boardId, line.url, keys.key)).toBe(204);
    const pair = { base, far, boardId };
    await caughtUp(pair);
    await expectEqualEnds(pair);
    const guest = await visitor(far, boardId);
    expect(await viewOf(far, guest)).toEqual(await viewOf(base, filled.keeper));
    tablet.close();
  });
});

describe('how far it is', () => {
  it('a quiet board is known to be current, by the clock of the base that keeps it', async () => {
    const hour = 60 * 60 * 1000;
    const ahead = { wall: () => Date.now() + hour, monotonic: () => performance.now() };
    const pair = await startPair({ near: { machine: ahead } });
    await caughtUp(pair);
    const guest = await visitor(pair.far, pair.boardId);
    const first = await standing(pair.far, guest);
    expect(first).toMatchObject({ kept: 'elsewhere', rowsBehind: 0, sent: null });
    expect(Math.abs((first.asOf ?? 0) - Date.now() - hour)).toBeLessThan(30_000);
    expect(first.behindMs ?? -1).toBeGreaterThanOrEqual(0);
    // Nothing is edited, and it is as of later all the same.
    await until(
      async () => ((await standing(pair.far, guest)).asOf ?? 0) > (first.asOf ?? 0),
      'the next word of a quiet board',
    );
    expect((await standing(pair.base, pair.keeper)).kept).toBe('here');
    expect((await standing(pair.base, pair.keeper)).sent?.state.kind).toBe('following');
  });

  it('with the link cut it stays as of when it was cut, farther behind from moment to moment; both sides say so', async () => {
    const pair = await startPair();
    const { base, far, line, keeper, boardId } = pair;
    await caughtUp(pair);
    const guest = await visitor(far, boardId);
    line.cut();
    await until(
      async () => (await standing(base, keeper)).sent?.state.kind === 'cut',
      'the near side to notice',
    );
    const one = await standing(far, guest);
    await new Promise((resolve) => setTimeout(resolve, 50));
    const two = await standing(far, guest);
    expect(two.asOf).toBe(one.asOf);
    expect((two.behindMs ?? 0) - (one.behindMs ?? 0)).toBeGreaterThanOrEqual(40);
    const { body: metrics } = await call(far, 'GET', '/metrics');
    const lag = Number(/^plumbline_mirror_lag_seconds (\S+)$/m.exec(String(metrics))?.[1]);
    expect(lag * 1000).toBeGreaterThanOrEqual(two.behindMs ?? Number.POSITIVE_INFINITY);
  });
});

describe('read only', () => {
  it.each(['keeper', 'clerk', 'guest'])('nobody is let in as %s who could write there', async (role) => {
    const pair = await startPair();
    await caughtUp(pair);
    const { status, body } = await call(pair.far, 'PUT', `/api/boards/${pair.boardId}/invites/${role}`, {
      token: pair.far.adminKey,
    });
    if (role === 'guest') expect(status).toBe(200);
    else {
      expect(status).toBe(403);
      expect(body).toMatchObject({ detail: 'This board is kept elsewhere; here it is read only.' });
    }
  });

  it('an edit sent there is refused with a word why, and neither log nor reader sees anything of it', async () => {
    const pair = await startPair();
    const { far, boardId } = pair;
    await caughtUp(pair);
    const guest = await visitor(far, boardId);
    const raw = await openRaw(far, guest, 'a-tab');
    expect(await raw.message('hello')).toMatchObject({ writer: null });
    const entries = [{ table: 'shelves', record: 's1', field: 'name', value: 'not here', seen: 0 }];
    raw.edit({ n: 1, stamp: 1, entries });
    expect(await raw.message('refused')).toMatchObject({
      n: 1,
      code: 'right',
      entries: [{ reason: 'This board is kept elsewhere; here it is read only.' }],
    });
    raw.close();
    await expectEqualEnds(pair);
  });

  it('neither the admin there imports, nor does a visitor stand on the board or send pictures', async () => {
    const pair = await startPair();
    const { far, base, boardId, keeper } = pair;
    await caughtUp(pair);
    const guest = await visitor(far, boardId, 'Visitor');
    const files = [{ name: 'a.csv', text: 's7,seven' }];
    const path = `/api/boards/${boardId}`;
    expect((await call(far, 'POST', `${path}/import`, { token: far.adminKey, body: { files } })).status).toBe(
      403,
    );
    expect(
      (await call(far, 'PUT', `${path}/photos/${'a'.repeat(64)}`, { token: guest.session })).status,
    ).toBe(403);
    expect(JSON.stringify(await viewOf(far, guest))).not.toContain('Visitor');
    // Whoever joins here later gets no id that somebody has over there.
    expect(guest.personId).toBe('v1');
    expect((await call(far, 'DELETE', `${path}/people/v1`, { token: far.adminKey })).status).toBe(204);
    expect((await call(far, 'GET', '/api/session', { token: guest.session })).status).toBe(401);
    expect(await viewOf(base, keeper)).not.toEqual({});
    await expectEqualEnds(pair);
  });
});
