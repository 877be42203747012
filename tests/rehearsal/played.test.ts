import { shootKind } from '@plumbline/base';
import { expect, it, onTestFinished } from 'vitest';
import { z } from 'zod';
import { adminClient } from '../../apps/base/src/cli/client.ts';
import { rehearse } from '../../apps/base/src/cli/rehearse.ts';
import { call, createBoard, joinAs, joinWith, startTestBase, viewOf } from '../support/base.ts';
import { seedOf } from '../support/random.ts';

const PLAN = [
  { name: 'scenes.csv', text: 'Number,Title,Story order\r\n1,Twisting,10\r\n' },
  {
    name: 'setups.csv',
    text: 'Setup;Scene;Description;Shooting order;Match group;Reference setup;Longest take (min)\r\n1A;1;Wide;10;walk;1A;1\r\n1B;1;Close;20;walk;1A;1\r\n',
  },
  { name: 'cameras.csv', text: 'Camera;Name;Base ISO;Gain is set as\r\nA;Camera A;800;ISO\r\n' },
  {
    name: 'picture.csv',
    text: 'Setup;Camera;Aperture;ISO;White balance (K)\r\n1A;A;4;800;5600\r\n1B;A;8;800;5600\r\n',
  },
  {
    name: 'cards.csv',
    text: 'Card;Name;Department;Capacity (GB)\r\nC1;Card 1;Camera;64\r\nC2;Card 2;Camera;64\r\n',
  },
  { name: 'kit.csv', text: 'Department;Code;Item\r\ncamera;body-a;Body A\r\nsound;boom;Boom pole\r\n' },
];

const findingsSchema = z.object({ findings: z.array(z.object({ id: z.string() })) });
const historySchema = z.object({ entries: z.array(z.object({ personId: z.string().nullable() })) });

it.each([4, 8])(
  'a rehearsal by %i people is played on a copy over the wire, and every edit is stored',
  async (people) => {
    const seed = seedOf(7);
    const base = await startTestBase({ kind: shootKind() });
    onTestFinished(base.stop);
    const board = await createBoard(base, 'The rope walk');
    const director = await joinAs(base, board, 'director');
    const taken = await call(base, 'POST', `/api/boards/${board.boardId}/import`, {
      token: director.session,
      body: { files: PLAN },
    });
    expect([taken.status, taken.body]).toEqual([200, expect.anything()]);
    const before = await viewOf(base, director);

    let links: Readonly<Record<string, string>> = {};
    const says: string[] = [];
    const end = await rehearse(
      board.boardId,
      { speed: 100_000, seed, people },
      {
        client: adminClient({ url: base.url }, base.adminKey),
        door: { url: base.url, ask: (request) => fetch(request) },
        pause: () => Promise.resolve(),
        isEnding: () => false,
        onBoard: (copy) => {
          links = copy.links;
        },
        onStep: (step, name) => says.push(`${name}: ${step.says}`),
      },
    );

    expect(end.notTaken).toBe(0);
    expect(end.stored).toBe(says.length);
    expect(end.stored).toBeGreaterThan(25);
    expect(end.boardId).not.toBe(board.boardId);
    // somebody who comes by the printed link sees all of it
    const watcher = await joinWith(base, links.producer?.split('#')[1] ?? '', 'Who watches');
    const view = await viewOf(base, watcher);
    expect(view.shoot?.shoot).toMatchObject({ title: 'Rehearsal of The rope walk', rehearsal: true });
    expect(Object.values(view.setups ?? {}).map(({ state }) => state)).toEqual(['complete', 'complete']);
    const takes = Object.values(view.takes ?? {});
    expect(takes.length).toBeGreaterThan(1);
    for (const take of takes)
      expect(take).toMatchObject({ verdict: expect.any(String), cutAt: expect.any(Number) });
    expect(Object.keys(view.people ?? {})).toHaveLength(people + 1);
    const findings = await call(base, 'GET', `/api/boards/${end.boardId}/findings`, {
      token: watcher.session,
    });
    expect(findingsSchema.parse(findings.body).findings.length).toBeGreaterThan(0);
    const history = await call(base, 'GET', `/api/boards/${end.boardId}/history?table=takes&limit=500`, {
      token: watcher.session,
    });
    const wrote = new Set(historySchema.parse(history.body).entries.map(({ personId }) => personId));
    expect(wrote.size).toBeGreaterThan(2);
    // the board it was copied from stands as it stood
    expect(await viewOf(base, director)).toEqual(before);
  },
);

it('a rehearsal ends when it is told to, and names a board that is not there', async () => {
  const base = await startTestBase({ kind: shootKind() });
  onTestFinished(base.stop);
  const board = await createBoard(base, 'Nothing planned');
  let steps = 0;
  const ports = {
    client: adminClient({ url: base.url }, base.adminKey),
    door: { url: base.url, ask: (request: Request) => fetch(request) },
    pause: () => Promise.resolve(),
    isEnding: () => steps >= 2,
    onBoard: () => {},
    onStep: () => {
      steps++;
    },
  };
  const choice = { speed: 1000, seed: 1, people: 4 };
  expect(await rehearse(board.boardId, choice, ports)).toMatchObject({ stored: 2 });
  await expect(rehearse('nowhere', choice, ports)).rejects.toThrow('There is no board nowhere here.');
});
