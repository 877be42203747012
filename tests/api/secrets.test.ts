import { Writable } from 'node:stream';
import { pino } from 'pino';
import { expect, it } from 'vitest';
import { z } from 'zod';
import { call, joinWith } from '../support/base.ts';
import { openRaw, openTablet, RawSocket, syncUrl } from '../support/clients.ts';
import { toyKind } from '../support/toyKind.ts';
import { startUnit } from '../support/unit.ts';

const inviteSchema = z.object({ invite: z.string() });

/** A base whose log of everything, down to the least, a test can read. */
async function withLog() {
  let text = '';
  const destination = new Writable({
    write: (chunk: Buffer, _, done) => {
      text += chunk.toString();
      done();
    },
  });
  const unit = await startUnit({ logger: pino({ level: 'trace' }, destination) });
  return { ...unit, log: () => text };
}

it('no invite, session or key is in the log, whatever is done with them, right or wrong', async () => {
  const { base, board, keeper, clerk, log } = await withLog();
  const path = `/api/boards/${board.boardId}`;
  const bearer = (token: string) => ({ authorization: `Bearer ${token}` });
  const rotated = inviteSchema.parse(
    (await call(base, 'PUT', `${path}/invites/guest`, { token: keeper.session })).body,
  ).invite;
  const second = inviteSchema.parse(
    (await call(base, 'POST', '/api/second-device', { token: keeper.session })).body,
  ).invite;
  const device = await joinWith(base, second, 'x');
  const tablet = await openTablet(base, keeper, toyKind.definition);
  tablet.set('shelves', 's1', 'name', 'a');
  await tablet.settled();
  const secrets = [
    ...Object.values(board.invites),
    rotated,
    second,
    base.adminKey,
    ...[keeper, clerk, device].map(({ session }) => session),
  ];
  for (const secret of secrets) {
    // In every place where somebody could put it, meant for it or not.
    await call(base, 'GET', `/join/${secret}`);
    await call(base, 'GET', `/api/session?token=${secret}`);
    await call(base, 'GET', `/api/boards/${secret}/view`, { token: secret });
    await call(base, 'DELETE', `${path}/invites/${secret}`, { token: keeper.session });
    await call(base, 'GET', `${path}/view`, {
      headers: { cookie: `plumbline_session=${secret}`, origin: base.url },
    });
    await call(base, 'POST', '/api/join', { body: { invite: `${secret}x`, name: secret } });
    await fetch(`${base.url}/api/join`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: `{"invite":"${secret}`,
    });
    await fetch(`${base.url}${path}/plan`, { method: 'POST', headers: bearer(keeper.session), body: secret });
    const wrong = new RawSocket(syncUrl(base, board.boardId, secret), bearer(`${secret}x`));
    expect(await wrong.closed).toBe(4401);
    const elsewhere = new RawSocket(syncUrl(base, secret, 'a'), bearer(keeper.session));
    expect(await elsewhere.closed).toBe(4403);
  }
  const raw = await openRaw(base, clerk, 'raw');
  raw.socket.send(clerk.session);
  expect(await raw.closed).toBe(4400);
  await call(base, 'DELETE', `${path}/people/${clerk.personId}`, { token: keeper.session });
  await call(base, 'POST', '/api/leave', { token: device.session });
  tablet.close();
  // It did log what was done.
  expect(log().split('\n').length).toBeGreaterThan(8 * secrets.length);
  for (const word of ['/api/join', '/api/second-device', 'socket closed']) expect(log()).toContain(word);
  for (const secret of secrets) expect(log().includes(secret)).toBe(false);
  expect(log()).not.toMatch(/authorization|cookie|bearer/i);
});
