import { expect, it } from 'vitest';
import { LEASE_MS, Members } from '../../../apps/base/src/cluster/fleet/members.ts';
import { Busses } from '../../support/fleet/bus.ts';
import { World } from '../../support/fleet/world.ts';
import { randomOf } from '../../support/random.ts';

const ABOUT = { version: '0', boards: 0, sockets: 0, delay: 0 };

function twoNodes(skewMs = 0) {
  const world = new World(randomOf(1));
  const busses = new Busses(world);
  const member = (node: string, skew: number): Members =>
    new Members({
      bus: busses.join(node, (act) => act()),
      machine: { wall: () => world.now + skew, monotonic: () => world.now },
      about: () => ABOUT,
    });
  const [one, two] = [member('one', 0), member('two', skewMs)];
  const beat = (): void => {
    one.beat();
    two.beat();
    world.after(1000, beat);
  };
  return { world, busses, one, two, beat };
}

it('a node is unknown until it is heard of, alive while it is, and dead once it was silent for the lease', async () => {
  const { world, one, two } = twoNodes();
  expect(one.state('two')).toBe('unknown');
  two.beat();
  await world.run(100);
  expect(one.state('two')).toBe('alive');
  expect(one.others.map(({ node }) => node)).toEqual(['two']);
  for (let passed = 0; passed < LEASE_MS; passed += 500) {
    await world.run(500);
    if (passed + 600 < LEASE_MS) expect(one.state('two')).toBe('alive');
  }
  await world.run(500);
  expect(one.state('two')).toBe('dead');
  expect(one.sweep()).toEqual(['two']);
  expect(one.state('two')).toBe('dead');
  two.beat();
  await world.run(100);
  expect(one.state('two')).toBe('alive');
});

it('one that nobody listens for is dead at once, and one that nothing was ever heard of after the lease', async () => {
  const { world, one, two } = twoNodes();
  two.beat();
  await world.run(100);
  one.nobodyAt('two');
  expect(one.state('two')).toBe('dead');
  for (let i = 0; i < 8; i++) {
    await world.run(500);
    one.state('three');
  }
  expect(one.state('three')).toBe('dead');
});

it('a node that stood still says so once, and takes nobody for dead whom it could not have heard', async () => {
  const { world, one, beat } = twoNodes();
  beat();
  await world.run(100);
  expect(one.hasStoodStill()).toBe(false);
  // Nothing is asked of it for so long, as of a process that is stopped.
  world.now += LEASE_MS + 10;
  expect(one.state('two')).toBe('alive');
  expect(one.hasStoodStill()).toBe(true);
  expect(one.hasStoodStill()).toBe(false);
});

it('clocks that differ are noticed, and the way between the nodes is not taken for a difference', async () => {
  const { world, one, two, beat } = twoNodes(1500);
  beat();
  await world.run(5000);
  expect(one.skewMs).toBeGreaterThan(1480);
  expect(one.skewMs).toBeLessThanOrEqual(1500);
  expect(two.skewMs).toBeGreaterThan(1480);
  const same = twoNodes();
  same.beat();
  await same.world.run(5000);
  expect(same.one.skewMs).toBeLessThan(10);
});
