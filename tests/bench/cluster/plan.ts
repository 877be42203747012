import { randomOf, seedOf } from '../../support/random.ts';
import { type Costs, type Demand, planOf, type Supply } from './model.ts';
import { simulate } from './simulate.ts';

/** Measured or taken; `plan.md` says which. */
const COSTS: Costs = {
  decideMs: 5,
  followMs: 3.5,
  storeMs: 0.5,
  wayMs: 2,
  lineBytes: 830,
  archivedBytes: 45,
  valueBytes: 800,
  socketBytes: 13_700,
  accountMs: 0.8,
};

const DEMAND: Demand = {
  boards: 10_000,
  tabletsPerBoard: 10,
  values: 4800,
  editsPerBoardDay: 5300,
  hoursPerDay: 10,
  peak: 3,
  joinMinutes: 30,
};

const NODE_BYTES = 1.5e9;
const CELLS: readonly [string, Demand, Supply][] = [
  [
    'all in one, sockets anywhere',
    DEMAND,
    { nodes: 60, nodesPerBoard: 10, streams: 16, nodeBytes: NODE_BYTES },
  ],
  [
    'all in one, a board’s sockets together',
    DEMAND,
    { nodes: 60, nodesPerBoard: 2, streams: 16, nodeBytes: NODE_BYTES },
  ],
  [
    'one cell of ten',
    { ...DEMAND, boards: 1000 },
    { nodes: 7, nodesPerBoard: 2, streams: 4, nodeBytes: NODE_BYTES },
  ],
  [
    'one cell of ten, a node down',
    { ...DEMAND, boards: 1000 },
    { nodes: 6, nodesPerBoard: 2, streams: 4, nodeBytes: NODE_BYTES },
  ],
];

const seed = seedOf(8);
const seconds = Number(process.argv[2] ?? 60);
const shown = (number: number, digits = 2): string => number.toFixed(digits).padStart(9);

console.log(`seed ${seed}, ${seconds} s of the busiest time`);
for (const [name, demand, supply] of CELLS) {
  const plan = planOf(COSTS, demand, supply);
  const seen = simulate(COSTS, demand, supply, { random: randomOf(seed), seconds });
  console.log(`\n${name}: ${supply.nodes} nodes, ${supply.streams} streams`);
  console.log(
    `  edits a second          ${shown(plan.editsPerSecond, 0)}   played ${shown(seen.edits / seconds, 0)}`,
  );
  console.log(`  a node’s CPU            ${shown(plan.nodeShare)}   the busiest ${shown(seen.nodeShare)}`);
  console.log(
    `  a stream                ${shown(plan.streamShare)}   the busiest ${shown(seen.streamShare)}`,
  );
  console.log(
    `  a node’s memory         ${shown(plan.memoryShare)}   sockets ${shown(plan.socketsPerNode, 0)}`,
  );
  console.log(`  accounts in the morning ${shown(plan.accountShare)}`);
  console.log(
    `  stored, mean            ${shown(plan.storedMs, 1)} ms   played ${shown(seen.meanMs, 1)}, median ${seen.medianMs.toFixed(1)}, p99 ${seen.p99Ms.toFixed(1)}`,
  );
  console.log(
    `  lines and archives      ${shown(plan.lineGigabytesPerDay, 1)} GB a day on each server, then ${plan.archivedGigabytesPerDay.toFixed(1)} kept`,
  );
}
