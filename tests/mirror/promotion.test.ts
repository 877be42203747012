import { describe, expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { call, joinAs, joinWith, startTestBase, viewOf } from '../support/base.ts';
import { openRaw, openTablet, until } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import {
  accept,
  caughtUp,
  expectEqualEnds,
  listed,
  MIRROR_LIMITS,
  type Pair,
  rowsIn,
  sendTo,
  startPair,
  visitor,
} from './pair.ts';

const promotedSchema = z.object({
  epoch: z.string(),
  rows: z.int(),
  asOf: z.number().nullable(),
  invites: z.record(z.string(), z.string()),
});

async function promote({ far, boardId }: Pair, directorKey: string) {
  return call(far, 'POST', `/api/boards/${boardId}/promote`, { body: { directorKey } });
}

describe('taking a mirror into use', () => {
  it('the director’s key makes it a board of its own in a new epoch, and tablets that join go on where it stood', async () => {
    const hour = 60 * 60 * 1000;
    const ahead = { wall: () => Date.now() + hour, monotonic: () => performance.now() };
    // The lost laptop's clock was an hour ahead: what is edited now must still win over what was edited there.
    const pair = await startPair({ near: { machine: ahead } });
    const { base, far, boardId, keeper, keys } = pair;
    const there = await openTablet(base, keeper, toyKind.definition, { now: ahead.wall });
    there.set('shelves', 's1', 'name', 'from the lost laptop');
    await there.settled();
    await caughtUp(pair);
    const guest = await visitor(far, boardId);
    const raw = await openRaw(far, guest, 'reading');
    const { epoch: before } = await raw.message('hello');
    const rows = rowsIn(far, boardId);

    const { status, body } = await promote(pair, keys.directorKey);
    expect(status).toBe(200);
    const promoted = promotedSchema.parse(body);
    expect(promoted.rows).toBe(rows.rows.split('\n').length);
    expect(promoted.epoch).not.toBe(before);
    // Whoever read along is let go, and finds the new epoch; their session goes on.
    await raw.closed;
    const again = await openRaw(far, guest, 'reading');
    expect((await again.message('hello')).epoch).toBe(promoted.epoch);
    again.close();

    const director = await joinWith(far, promoted.invites.keeper ?? '', 'Dana');
    const tablet = await openTablet(far, director, toyKind.definition);
    expect(tablet.value('shelves', 's1', 'name')).toBe('from the lost laptop');
    tablet.set('shelves', 's1', 'name', 'after it was lost');
    await tablet.settled();
    expect((await viewOf(far, guest)).shelves?.s1?.name).toBe('after it was lost');
    // Nobody has the id of somebody who belonged to the board before.
    expect(Object.keys((await viewOf(base, keeper)).people ?? {})).not.toContain(director.personId);
    expect((await viewOf(far, guest)).people).toMatchObject({
      [director.personId]: { name: 'Dana' },
      [keeper.personId]: { name: 'A keeper' },
      v1: { name: 'Pia' },
    });
    expect(rowsIn(far, boardId).flaws).toEqual([]);
    for (const each of [tablet, there]) each.close();
  });

  it('from then on the old base’s rows are refused, and its people told why', async () => {
    const pair = await startPair();
    const { base, far, boardId, keeper, keys } = pair;
    await caughtUp(pair);
    expect((await promote(pair, keys.directorKey)).status).toBe(200);
    const after = rowsIn(far, boardId).rows;
    const tablet = await openTablet(base, keeper, toyKind.definition);
    tablet.set('shelves', 's1', 'name', 'too late');
    await tablet.settled();
    await until(
      async () => (await listed(base)).sent[0]?.state.why === 'promoted',
      'the old base to be told',
    );
    expect((await listed(base)).sent[0]?.state.words).toContain('in use as a board of its own');
    expect(rowsIn(far, boardId).rows).toBe(after);
    tablet.close();
  });

  it('no other key does it; the director’s does it once; links from before let nobody in', async () => {
    const pair = await startPair();
    const { base, far, boardId, keeper, keys } = pair;
    await caughtUp(pair);
    const { body } = await call(far, 'PUT', `/api/boards/${boardId}/invites/guest`, { token: far.adminKey });
    const old = z.object({ invite: z.string() }).parse(body).invite;
    for (const key of ['z'.repeat(27), keys.key, far.adminKey])
      expect((await promote(pair, key)).status).toBe(403);
    // Not on the base that keeps the board itself, either.
    expect(
      (
        await call(base, 'POST', `/api/boards/${boardId}/promote`, {
          body: { directorKey: keys.directorKey },
        })
      ).status,
    ).toBe(403);
    expect((await listed(far)).kept[0]?.promotedAt).toBeNull();
    const promoted = promotedSchema.parse((await promote(pair, keys.directorKey)).body);
    expect((await promote(pair, keys.directorKey)).status).toBe(403);
    await expect(joinWith(far, old, 'late')).rejects.toThrow(/403/);
    for (const role of toyKind.roles) await joinAs(far, { boardId, ...promoted }, role);
    expect((await viewOf(base, keeper)).people).not.toHaveProperty('v1');
  });

  it('one in use is mirrored in its turn, and who visits there is nobody who visited before', async () => {
    const pair = await startPair();
    const { far, boardId, keys } = pair;
    await caughtUp(pair);
    await visitor(far, boardId, 'Pia');
    const promoted = promotedSchema.parse((await promote(pair, keys.directorKey)).body);
    await joinWith(far, promoted.invites.keeper ?? '', 'Dana');
    const third = await startTestBase({ mirrorLimits: MIRROR_LIMITS });
    onTestFinished(third.stop);
    expect(await sendTo(far, boardId, third.url, (await accept(third)).key)).toBe(204);
    await caughtUp({ base: far, boardId });
    await expectEqualEnds({ base: far, far: third, boardId });
    expect((await visitor(third, boardId, 'Quin')).personId).toBe('v2');
    const guest = await visitor(third, boardId, 'Rui');
    expect(guest.personId).toBe('v3');
    expect((await viewOf(third, guest)).people).toMatchObject({ v1: { name: 'Pia' } });
  });

  it('it stays in use over a restart', async () => {
    const pair = await startPair();
    const { far, boardId, keys } = pair;
    await caughtUp(pair);
    const promoted = promotedSchema.parse((await promote(pair, keys.directorKey)).body);
    const keeper = await joinWith(far, promoted.invites.keeper ?? '', 'Dana');
    const again = await far.restart();
    const tablet = await openTablet(again, keeper, toyKind.definition);
    tablet.set('shelves', 's9', 'name', 'after a restart');
    await tablet.settled();
    tablet.close();
    expect(rowsIn(again, boardId).flaws).toEqual([]);
    await again.stop();
  });
});
