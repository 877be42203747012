// The long seeded runs: npm run soak -- [--seed N] [--only NAME]
import { spawn } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const root = fileURLToPath(new URL('../..', import.meta.url));
/** Runs whose tests stand with what they protect. */
const ELSEWHERE = {
  schedules: ['tests/replica/convergence.test.ts'],
  rules: ['tests/rules/engine.test.ts', 'tests/rules/remedies.test.ts'],
  disk: ['tests/backup/damage.test.ts', 'tests/log/kill.test.ts'],
  timecode: ['tests/craft/timecode.test.ts'],
  everyone: ['tests/everyone/screens.test.ts'],
  tabs: ['tests/offline/tabs.test.ts'],
  gone: ['tests/offline/gone.test.ts'],
  fleet: ['tests/cluster/fleet/schedules.test.ts'],
  rounds: ['tests/cluster/nodes/rounds.test.ts'],
  versions: ['tests/cluster/nodes/versions.test.ts'],
  forecast: ['tests/schedule/forecast.test.ts'],
  hands: ['tests/hands/words.test.ts', 'tests/hands/touches.test.ts'],
};
const names = [
  ...readdirSync(fileURLToPath(new URL('.', import.meta.url)))
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => name.slice(0, -'.test.ts'.length)),
  ...Object.keys(ELSEWHERE),
];
const { values } = parseArgs({ options: { seed: { type: 'string' }, only: { type: 'string' } } });
const seed = values.seed ?? '20300601';
const chosen = values.only === undefined ? names : [values.only];
if (!/^\d+$/.test(seed) || chosen.some((name) => !names.includes(name))) {
  console.error(`npm run soak -- [--seed N] [--only ${names.join('|')}]`);
  process.exit(2);
}

const failed = [];
for (const name of chosen) {
  console.log(`\n${name}, seed ${seed}`);
  const files = ELSEWHERE[name] ?? [`tests/soak/${name}.test.ts`];
  const started = Date.now();
  const child = spawn(
    process.execPath,
    [
      '--expose-gc',
      'node_modules/vitest/vitest.mjs',
      'run',
      ...files,
      '--execArgv=--expose-gc',
      '--testTimeout=10800000',
    ],
    {
      cwd: root,
      stdio: ['ignore', 'inherit', 'inherit'],
      env: {
        ...process.env,
        PLUMBLINE_SOAK: 'whole',
        PLUMBLINE_SEED: seed,
        PLUMBLINE_SCHEDULES: process.env.PLUMBLINE_SCHEDULES ?? '10000',
      },
    },
  );
  const code = await new Promise((resolve) => child.on('exit', resolve));
  console.log(
    `${name}: ${code === 0 ? 'passed' : 'FAILED'} in ${Math.round((Date.now() - started) / 1000)} s`,
  );
  if (code !== 0) failed.push(name);
}
console.log(failed.length === 0 ? '\nall passed' : `\nfailed: ${failed.join(', ')}, seed ${seed}`);
process.exitCode = failed.length === 0 ? 0 : 1;
