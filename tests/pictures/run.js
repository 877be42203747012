// Every screen as a picture: npm run pictures -- [--compare | --keep] [--only WORDS]
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';

const root = fileURLToPath(new URL('../..', import.meta.url));
const { values } = parseArgs({
  options: { compare: { type: 'boolean' }, keep: { type: 'boolean' }, only: { type: 'string' } },
});
if (values.compare && values.keep) {
  console.error('npm run pictures -- [--compare | --keep] [--only WORDS]');
  process.exit(2);
}
const child = spawn(
  process.execPath,
  [
    'node_modules/vitest/vitest.mjs',
    'run',
    '--config',
    'tests/pictures/vitest.config.ts',
    ...(values.only === undefined ? [] : ['-t', values.only]),
  ],
  {
    cwd: root,
    stdio: 'inherit',
    env: {
      ...process.env,
      PLUMBLINE_PICTURES: values.compare ? 'compare' : values.keep ? 'keep' : 'draw',
    },
  },
);
child.on('exit', (code) => process.exit(code ?? 1));
