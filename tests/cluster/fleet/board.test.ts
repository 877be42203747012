import { stampAt } from '@plumbline/replica';
import { expect, it } from 'vitest';
import type { Board } from '../../../apps/base/src/board/board.ts';
import type { Answer } from '../../../apps/base/src/board/judge.ts';
import { closeGap } from '../../../packages/replica/src/outbox.ts';
import { Busses } from '../../support/fleet/bus.ts';
import { Engine } from '../../support/fleet/engine.ts';
import { Node } from '../../support/fleet/node.ts';
import { sharedAccounts } from '../../support/fleet/schedule.ts';
import { World } from '../../support/fleet/world.ts';
import { randomOf } from '../../support/random.ts';
import { keeper, MORNING } from '../../support/toy.ts';

/** Nodes on one board; on every one of them somebody looks at it. */
async function nodesOn(count: number) {
  const world = new World(randomOf(7));
  const engine = new Engine();
  const busses = new Busses(world);
  const accounts = sharedAccounts();
  const { id } = await accounts.createBoard('Jars');
  const nodes = Array.from(
    { length: count },
    (_, index) => new Node(`n${index + 1}`, { world, engine, busses, accounts }),
  );
  const told: string[] = [];
  const looking = new Map<Node, () => void>();
  const listen = async (node: Node): Promise<Board> => {
    const board = await node.boards.get(id);
    if (!board) throw new Error('no board');
    const stop = board.listen({
      updated: () => told.push(`${node.id} shows`),
      failed: () => told.push(`${node.id} closes`),
    });
    looking.set(node, stop);
    return board;
  };
  const opened: Board[] = [];
  for (const node of nodes) {
    void listen(node).then((board) => opened.push(board));
    await world.run(2000);
  }
  told.length = 0;
  const [first, second] = opened;
  if (!first || !second) throw new Error('not opened');
  /** Sends an edit; what it is answered with comes into `told`. */
  const send = (board: Board, n: number, writer = keeper): Promise<Answer> =>
    new Promise((resolve) => {
      const entries = [{ table: 'shelves', record: 's1', field: 'width', value: n, seen: 0 }];
      board.submit(writer, { n, stamp: stampAt(MORNING) + n, entries }, (answer) => {
        told.push(answer.kind);
        resolve(answer);
      });
    });
  const node = (index: number): Node => {
    const found = nodes[index];
    if (!found) throw new Error('no such node');
    return found;
  };
  const claims = (): (string | null)[] =>
    engine.line(id).flatMap((entry) => (entry.kind === 'claim' ? [entry.node] : []));
  return {
    world,
    engine,
    busses,
    id,
    node,
    first,
    second,
    send,
    told,
    claims,
    listen,
    stopLooking: (node: Node) => looking.get(node)?.(),
  };
}

it('an edit given to a node that does not decide is decided by the one that does, shown, and then answered', async () => {
  const { world, send, second, told, node, claims } = await nodesOn(2);
  expect([node(0).isDeciding, node(1).isDeciding]).toEqual([true, false]);
  void send(second, 1);
  await world.run(1000);
  expect(told).toContain('n1 shows');
  expect(told.filter((what) => what !== 'n1 shows')).toEqual(['n2 shows', 'stored']);
  expect(claims()).toEqual(['n1']);
});

it('another edit under a number that is taken is not taken for the first, on whichever node: its author numbers it anew', async () => {
  const { world, first, second, told } = await nodesOn(2);
  const answers: Answer[] = [];
  const send = (board: Board, n: number, stamp: number): void => {
    const entries = [{ table: 'shelves', record: 's1', field: 'width', value: stamp, seen: 0 }];
    board.submit(keeper, { n, stamp: stampAt(MORNING) + stamp, entries }, (answer) => answers.push(answer));
  };
  for (const [board, n, stamp] of [
    [first, 1, 1],
    [first, 2, 2],
    [second, 1, 1],
    [second, 1, 3],
    [first, 2, 3],
    [second, 3, 3],
  ] as const) {
    send(board, n, stamp);
    await world.run(1000);
  }
  expect(answers.map((answer) => [answer.kind, answer.kind === 'gap' ? answer.last : null])).toEqual([
    ['stored', null],
    ['stored', null],
    ['stored', null],
    ['gap', 2],
    ['gap', 2],
    ['stored', null],
  ]);
  expect(told).not.toContain('failed');
  const edit = (n: number, stamp: number) => ({ n, stamp, entries: [] });
  const outbox = { writer: 'p1-1', next: 10, pending: [edit(6, 1), edit(8, 2), edit(9, 3)] };
  expect(closeGap(outbox, 20, 8)).toEqual({
    writer: 'p1-1',
    next: 23,
    pending: [edit(6, 1), edit(21, 2), edit(22, 3)],
  });
});

it('the base’s own values given there are written once, and the writer is told once they stand there', async () => {
  const { world, second, engine, id } = await nodesOn(2);
  let width: unknown = null;
  const rows = engine.rows(id).length;
  void second
    .write('p1', [{ table: 'shelves', record: 's2', field: 'width', value: 4 }])
    .then(() => second.read(({ state }) => state.cell('shelves', 's2', 'width')?.[0]))
    .then((stands) => {
      width = stands;
    });
  await world.run(1000);
  expect(width).toBe(4);
  expect(engine.rows(id).length).toBe(rows + 1);
  let wrong: unknown = null;
  second
    .write(null, [{ table: 'shelves', record: 's2', field: 'width', value: -1 }])
    .catch((error: unknown) => {
      wrong = error;
    });
  await world.run(1000);
  expect(String(wrong)).toContain('shelves/s2/width');
});

it('a node that stands still past the lease loses its boards: what it had under way is refused, and it follows', async () => {
  const { world, engine, node, first, second, send, told, claims } = await nodesOn(2);
  // Decided, and under way to the engine: it arrives when another has claimed the board.
  const late = engine.put.bind(engine);
  let held: (() => void) | null = null;
  engine.put = (board, after, entry) => {
    if (entry.kind !== 'rows' || entry.from !== 'n1' || held) return late(board, after, entry);
    held = () => late(board, after, entry);
    node(0).pause();
    return null;
  };
  void send(first, 1);
  await world.run(6000);
  void send(second, 1, { id: 'p2-1', person: 'p2', role: 'keeper' });
  await world.run(1000);
  expect(claims()).toEqual(['n1', 'n2']);
  expect(told).toEqual(['n2 shows', 'stored']);
  const { refused } = engine;
  (held as (() => void) | null)?.();
  expect(engine.refused).toBe(refused + 1);
  node(0).resume();
  await world.run(4000);
  expect([node(0).isDeciding, node(1).isDeciding]).toEqual([false, true]);
  expect(told).toContain('failed');
  expect(await first.read(({ state }) => state.cell('shelves', 's1', 'width')?.[2])).toBe('p2-1');
  told.length = 0;
  void send(first, 1);
  await world.run(1000);
  expect(told).toContain('stored');
});

it('while the engine is away nothing is said to be stored, and when it is back all goes on by itself', async () => {
  const { world, engine, node, send, first, second, told, listen } = await nodesOn(2);
  engine.isDown = true;
  void send(first, 1);
  void send(second, 1, { id: 'p2-1', person: 'p2', role: 'keeper' });
  await world.run(15_000);
  expect(told.filter((what) => what === 'failed')).toHaveLength(2);
  expect(told).not.toContain('stored');
  engine.isDown = false;
  for (const each of [node(0), node(1)]) each.log.restored();
  await world.run(2000);
  let again: Board | null = null;
  void listen(node(0)).then((board) => {
    again = board;
  });
  await world.run(2000);
  if (!again) throw new Error('not opened');
  void send(again, 1);
  void send(second, 1, { id: 'p2-1', person: 'p2', role: 'keeper' });
  await world.run(8000);
  expect(told.filter((what) => what === 'stored')).toHaveLength(2);
});

it('a board that nobody uses is let go of, and whoever wants it next has it at once', async () => {
  const { world, node, first, send, told, second, claims, stopLooking } = await nodesOn(2);
  stopLooking(node(0));
  await node(0).boards.sweep(0);
  void node(0).boards.sweep(10 * 60 * 1000);
  await world.run(2000);
  expect(first.hasFailed).toBe(true);
  expect(claims()).toEqual(['n1', null, 'n2']);
  void send(second, 1);
  await world.run(1000);
  expect(told).toContain('stored');
});

it('a node that leaves hands its boards over, and what is given to it meanwhile is passed on', async () => {
  const { world, node, first, send, told, claims } = await nodesOn(2);
  const leaving = node(0).leave();
  void send(first, 1);
  await world.run(2000);
  await leaving;
  expect(claims()).toEqual(['n1', null, 'n2']);
  expect(node(1).isDeciding).toBe(true);
  expect(told).toContain('stored');
  expect(told).not.toContain('failed');
});
