import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { call, createBoard, joinAs, viewOf } from '../../support/base.ts';
import { openTablet, until } from '../../support/clients.ts';
import { startNode } from '../../support/fleetBases.ts';
import { NATS_SERVER, type NatsServers, NEEDS_NATS, startNats } from '../../support/nats.ts';
import { toyKind } from '../../support/toyKind.ts';

describe.skipIf(NATS_SERVER === null)(`two nodes serve one board${NEEDS_NATS}`, () => {
  let nats: NatsServers;
  let one: Awaited<ReturnType<typeof startNode>>;
  let two: Awaited<ReturnType<typeof startNode>>;
  beforeAll(async () => {
    nats = await startNats(1);
    one = await startNode(nats.urls);
    two = await startNode(nats.urls);
  });
  afterAll(async () => {
    await two?.stop();
    await one?.stop();
    await nats?.stop();
  });

  it('a board made on one is joined, written, read and told of on the other, and what one wrote one reads there', async () => {
    const board = await createBoard(one);
    const keeper = await joinAs(one, board, 'keeper', 'Ada');
    const clerk = await joinAs(two, board, 'clerk', 'Ben');
    // The person who joined by way of the node that does not decide stands there at once.
    expect((await viewOf(two, clerk)).people?.[clerk.personId]?.name).toBe('Ben');
    const first = await openTablet(one, keeper, toyKind.definition);
    const second = await openTablet(two, clerk, toyKind.definition);
    first.set('shelves', 's1', 'name', 'north');
    second.set('shelves', 's1', 'width', 5);
    await first.settled();
    await second.settled();
    expect((await viewOf(two, clerk)).shelves?.s1).toMatchObject({ width: 5 });
    await until(() => first.value('shelves', 's1', 'width') === 5, 'the width on the first');
    await until(() => second.value('shelves', 's1', 'name') === 'north', 'the name on the second');

    const imported = await fetch(`${two.url}/api/boards/${board.boardId}/import`, {
      method: 'POST',
      headers: { authorization: `Bearer ${two.adminKey}`, 'content-type': 'text/csv' },
      body: 'late,south\n',
    });
    expect(imported.status).toBe(200);
    expect((await viewOf(two, clerk)).shelves?.late?.name).toBe('south');
    await until(() => first.value('shelves', 'late', 'name') === 'south', 'the import on the first');

    const history = (base: typeof one): Promise<unknown> =>
      call(base, 'GET', `/api/boards/${board.boardId}/history?limit=500`, { token: keeper.session }).then(
        ({ body }) => body,
      );
    await until(async () => JSON.stringify(await history(one)) === JSON.stringify(await history(two)));
    const findings = await call(two, 'GET', `/api/boards/${board.boardId}/findings`, {
      token: clerk.session,
    });
    expect(findings.status).toBe(200);
    expect((await call(two, 'GET', '/readyz')).status).toBe(200);

    // Who is sent away on one node is closed on the other.
    const gone = await call(one, 'DELETE', `/api/boards/${board.boardId}/people/${clerk.personId}`, {
      token: keeper.session,
    });
    expect(gone.status).toBe(204);
    await until(() => second.closes.includes(4401), 'the socket of who was sent away');
    first.close();
    second.close();
  });

  it('whoever is seen on one node is seen on the other, and a tab has one socket on all of them', async () => {
    const board = await createBoard(one);
    const keeper = await joinAs(one, board, 'keeper', 'Ada');
    const clerk = await joinAs(two, board, 'clerk', 'Ben');
    const first = await openTablet(one, keeper, toyKind.definition, { tab: 'same' });
    const second = await openTablet(two, clerk, toyKind.definition);
    first.link.setPresence({ screen: 'jars' });
    const seen = () =>
      [...second.link.present.peek().values()].find(({ person }) => person === keeper.personId);
    await until(() => seen()?.screen === 'jars', 'the other');
    // Who comes later is told of those on other nodes too.
    const third = await openTablet(two, clerk, toyKind.definition);
    await until(() => [...third.link.present.peek().values()].some(({ screen }) => screen === 'jars'));
    third.close();
    const moved = await openTablet(two, keeper, toyKind.definition, { tab: 'same' });
    await until(() => first.closes.includes(4410), 'the older socket');
    moved.close();
    await until(() => seen() === undefined, 'nobody to be seen');
    second.close();
  });

  it('a node that is stopped hands its boards over, and nobody is told that something was not stored', async () => {
    const leaving = await startNode(nats.urls);
    const board = await createBoard(leaving);
    const keeper = await joinAs(leaving, board, 'keeper');
    const clerk = await joinAs(two, board, 'clerk');
    const tablet = await openTablet(two, clerk, toyKind.definition);
    tablet.set('shelves', 's1', 'width', 1);
    await tablet.settled();
    const stopping = leaving.stop();
    for (let width = 2; width < 40; width++) tablet.set('shelves', 's1', 'width', width);
    await stopping;
    await tablet.settled();
    expect(tablet.closes).toEqual([]);
    expect((await viewOf(two, clerk)).shelves?.s1?.width).toBe(39);
    const { body } = await call(two, 'GET', '/metrics');
    expect(z.string().parse(body)).toMatch(/plumbline_fleet_claims_total\{what="taken"\}/);
    expect(keeper.boardId).toBe(board.boardId);
    tablet.close();
  });
});
