import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { createBench, type Measure } from './bench.ts';
import { endAll, writeProfiles } from './children.ts';
import { fleet } from './cluster/fleet.ts';
import { tableOf } from './figures.ts';
import { hands } from './hands/hands.ts';
import { rehearsal } from './hands/rehearsal.ts';
import { blocking } from './measures/blocking.ts';
import { bundle } from './measures/bundle.ts';
import { craft } from './measures/craft.ts';
import { decide } from './measures/decide.ts';
import { join as joinBoard } from './measures/join.ts';
import { latency } from './measures/latency.ts';
import { memory } from './measures/memory.ts';
import { paint } from './measures/paint.ts';
import { rules } from './measures/rules.ts';
import { saturated } from './measures/saturated.ts';
import { stall } from './measures/stall.ts';
import { start as startBase } from './measures/start.ts';
import { weak } from './measures/weak.ts';
import { mirror } from './mirror/mirror.ts';
import { openResults } from './results.ts';
import { kit } from './tablet/kit.ts';
import { tablet } from './tablet/tablet.ts';

const MEASURES: readonly Measure[] = [
  latency,
  saturated,
  joinBoard,
  weak,
  memory,
  stall,
  blocking,
  mirror,
  fleet,
  decide,
  paint,
  tablet,
  kit,
  hands,
  rehearsal,
  startBase,
  bundle,
  craft,
  rules,
];

const { values } = parseArgs({
  options: {
    smoke: { type: 'boolean', default: false },
    only: { type: 'string', multiple: true },
    profile: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  },
});

const wanted = MEASURES.filter(({ name }) => values.only?.includes(name) ?? true);
if (values.help || wanted.length === 0) {
  console.log('npm run bench -- [--smoke] [--profile] [--only NAME]...\n\nNAME is one of');
  for (const { name, title } of MEASURES) console.log(`  ${name.padEnd(10)} ${title}`);
  process.exit(values.help ? 0 : 2);
}

const results = openResults('bench-results', values.smoke);
if (values.profile) {
  mkdirSync('bench-results/profiles', { recursive: true });
  writeProfiles('bench-results/profiles');
}
const folder = mkdtempSync(join(tmpdir(), 'plumbline-bench-'));
const cleanUp = (): void => {
  endAll();
  rmSync(folder, { recursive: true, force: true });
};
process.on('exit', cleanUp);
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => process.exit(1));

console.log(results.heading);
const bench = createBench(folder, values.smoke);
const begun = performance.now();
for (const measure of wanted) {
  const start = performance.now();
  const { figures, notes = [] } = await measure.run(bench);
  const seconds = (performance.now() - start) / 1000;
  results.write(measure.name, figures);
  console.log(`\n${measure.title} (${measure.name}, ${seconds.toFixed(0)} s)\n`);
  console.log(tableOf(figures));
  for (const note of notes) console.log(`  ${note}`);
}
console.log(`\n${results.path}, ${((performance.now() - begun) / 1000).toFixed(0)} s in all`);
process.exit(0);
