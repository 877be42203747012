import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { readCases } from './case.ts';
import { report } from './report.ts';
import { check } from './suite.ts';

const HELP = `npm run reference [-- --cases FOLDER]

Runs check values through the functions of @plumbline/craft and prints what held, by subject.
Without a folder: the cases in tests/reference/open and tests/reference/own.
Exit code: 0 when every case held, 1 when one did not, 2 when the folder cannot be read.`;

function main(): number {
  const { values } = parseArgs({
    options: { cases: { type: 'string', multiple: true }, help: { type: 'boolean', short: 'h' } },
  });
  if (values.help) {
    console.log(HELP);
    return 0;
  }
  const folders = values.cases ?? ['open', 'own'].map((name) => join('tests', 'reference', name));
  const outcomes = folders.flatMap(readCases).map(check);
  console.log(report(outcomes));
  return outcomes.length > 0 && outcomes.every(({ verdict }) => verdict !== 'wrong') ? 0 : 1;
}

try {
  process.exitCode = main();
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 2;
}
