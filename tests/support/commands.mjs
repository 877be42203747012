// Runs commands of the program one after another in one process, each with an environment and streams of its own.
import { runProgram } from '../../apps/base/dist/program.js';

/** What has been written to a stream while `run` runs. */
function heard(stream) {
  const { write } = stream;
  const pieces = [];
  stream.write = (piece, encoding, done) => {
    pieces.push(typeof piece === 'string' ? Buffer.from(piece) : piece);
    const after = typeof encoding === 'function' ? encoding : done;
    after?.();
    return true;
  };
  return () => {
    stream.write = write;
    return Buffer.concat(pieces).toString('utf8');
  };
}

async function run({ id, args, environment }) {
  for (const name of Object.keys(process.env)) delete process.env[name];
  Object.assign(process.env, environment);
  process.exitCode = undefined;
  const out = heard(process.stdout);
  const err = heard(process.stderr);
  const code = await runProgram(args);
  process.exitCode = undefined;
  process.send({ id, code, out: out(), err: err() });
}

let last = Promise.resolve();
process.on('message', (asked) => {
  last = last.then(() => run(asked));
});
process.on('disconnect', () => process.exit());
