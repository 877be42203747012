import { setTimeout as wait } from 'node:timers/promises';
import { describe, expect, it, onTestFinished } from 'vitest';
import { PATIENCE_MS, SEED, size, tell } from '../../soak/size.ts';
import { createBoard } from '../../support/base.ts';
import { until } from '../../support/clients.ts';
import { NATS_SERVER, NEEDS_NATS, natsVersion } from '../../support/nats.ts';
import { figure, type Nodes, startNodes } from '../../support/nodes.ts';
import { type Random, randomOf } from '../../support/random.ts';
import { at, expectOnce, expectOneBoard, openAuthors } from './oneBoard.ts';

const ROUNDS = size(100, 3);
const CLIENTS = 12;
/** After so many looks, 10 ms apart, everybody writes on; in the share the machine belongs to others as well. */
const WRITE_EVERY = size(10, 30);
/**
 * Servers before 2.12 were seen to lose, or to hold differently from one another, entries that they had confirmed when
 * one of them was cut off from the others; a fleet refuses to start on them unless the risk is accepted.
 */
const MAY_CUT_SERVERS = !/^(?:[01]\.|2\.(?:\d|1[01])\.)/.test(natsVersion());
const WITHOUT = MAY_CUT_SERVERS
  ? ''
  : `, no server cut off from the others since nats-server is ${natsVersion()}`;

const KINDS = [
  'kill the owner',
  'stop the owner',
  'cut the owner off',
  'kill a follower',
  'kill a server',
  'slow ways',
  'leave',
  ...(MAY_CUT_SERVERS ? (['cut a server off'] as const) : []),
] as const;
type Kind = (typeof KINDS)[number];

/** What a share of the rounds is made of. */
const SHARE: readonly Kind[] = ['kill the owner', 'stop the owner', 'cut the owner off'];

describe.skipIf(NATS_SERVER === null)(`three nodes and three servers${NEEDS_NATS}`, () => {
  it(
    `${ROUNDS} rounds of faults while ${CLIENTS} clients write on all nodes: nothing that was stored is lost or doubled (seed ${SEED}${WITHOUT})`,
    async () => {
      const random = randomOf(SEED);
      const fleet = await startNodes();
      onTestFinished(fleet.stop);
      const { nodes } = fleet;
      const board = await createBoard(at(nodes, 0));
      const { authors, goHome, reader } = await openAuthors(nodes, board, CLIENTS);
      const answered = (): number => authors.reduce((sum, each) => sum + each.answered, 0);
      const gaps: number[] = [];
      const byKind = new Map<Kind, number[]>();
      for (let round = 0; round < ROUNDS; round++) {
        const kind = ROUNDS <= SHARE.length ? (SHARE[round] ?? 'leave') : random.pick(KINDS);
        let isOver = false;
        let gap = 0;
        const writing = (async () => {
          let last = Date.now();
          let count = answered();
          for (let look = 0; !isOver; look++) {
            if (look % WRITE_EVERY === 0) for (const author of authors) author.writeOn();
            if (answered() > count) {
              count = answered();
              last = Date.now();
            }
            gap = Math.max(gap, Date.now() - last);
            await wait(10);
          }
        })();
        // On every node are as many, so that what is measured is the nodes and not how long a tablet waits for one.
        goHome();
        const before = answered();
        await until(() => answered() > before + 50, 'edits before the fault', 60_000);
        gap = 0;
        tell(`round ${round + 1}: ${kind}`);
        await strike(kind, fleet, random);
        const after = answered();
        await until(() => answered() > after + 50, `edits after: ${kind}`, 60_000);
        isOver = true;
        await writing;
        gaps.push(gap);
        byKind.set(kind, [...(byKind.get(kind) ?? []), gap]);
        for (const { tablet } of authors) await tablet.settled();
        await expectOneBoard(nodes, authors, reader, `round ${round + 1}, ${kind}`);
        tell(`round ${round + 1}: ${kind}, ${gap} ms without a writer, ${answered()} answered`);
      }
      for (const { tablet } of authors) expect(tablet.replica.tray.peek()).toEqual([]);
      await expectOnce(nodes, authors, reader);
      for (const { tablet } of authors) tablet.close();
      const sorted = [...gaps].sort((a, b) => a - b);
      console.log(
        `${ROUNDS} rounds, ${answered()} edits answered; without a writer: median ${sorted[sorted.length >> 1]} ms, worst ${sorted.at(-1)} ms`,
      );
      for (const [kind, all] of byKind)
        console.log(`  ${kind}: ${all.length} rounds, worst ${Math.max(...all)} ms`);
    },
    PATIENCE_MS * 3,
  );
});

async function strike(kind: Kind, { nats, nodes, routesOf }: Nodes, random: Random): Promise<void> {
  const deciding = await Promise.all(nodes.map(({ base }) => figure(base, 'plumbline_fleet_deciding')));
  const owner =
    nodes[
      Math.max(
        0,
        deciding.findIndex((count) => count > 0),
      )
    ];
  const follower = nodes.find((node) => node !== owner);
  const lasts = 4000 + random.below(2000);
  if (!owner || !follower) throw new Error('no node');
  switch (kind) {
    case 'kill the owner':
    case 'kill a follower': {
      const victim = kind === 'kill the owner' ? owner : follower;
      await victim.base.end('SIGKILL');
      await wait(lasts);
      await victim.restart();
      return;
    }
    case 'leave':
      expect(await owner.base.end('SIGTERM')).toBe(0);
      await owner.restart();
      return;
    case 'stop the owner': {
      const stood = await figure(owner.base, 'plumbline_fleet_stood_still_total');
      owner.base.child.kill('SIGSTOP');
      const others = nodes.filter((node) => node !== owner);
      await until(
        async () => {
          const taken = others.map(({ base }) => figure(base, 'plumbline_fleet_deciding'));
          return Math.max(...(await Promise.all(taken))) === 1;
        },
        'another node that decides',
        30_000,
      );
      // The others count from its last beat, it itself from when it stood still.
      await wait(lasts);
      // Whatever the former one still sends the engine refuses.
      owner.base.child.kill('SIGCONT');
      await until(
        async () =>
          (await figure(owner.base, 'plumbline_fleet_stood_still_total')) > stood ||
          (await figure(owner.base, 'plumbline_engine_appends_failed_total')) > 0,
        'a node that knows that it stood still',
        30_000,
      );
      return;
    }
    case 'cut the owner off':
      for (const way of owner.ways) way.cut();
      await wait(lasts);
      for (const way of owner.ways) way.restore();
      return;
    case 'kill a server': {
      const server = random.pick(nats.servers);
      await server.signal('SIGKILL');
      await wait(lasts);
      await server.restart();
      await nats.ready();
      return;
    }
    case 'cut a server off': {
      const ways = routesOf(random.below(nats.servers.length));
      for (const way of ways) way.cut();
      await wait(lasts);
      for (const way of ways) way.restore();
      return;
    }
    case 'slow ways': {
      const ways = [...owner.ways, ...routesOf(random.below(nats.servers.length))];
      for (const way of ways) way.delayMs = 100 + random.below(200);
      await wait(lasts);
      for (const way of ways) way.delayMs = 0;
    }
  }
}
