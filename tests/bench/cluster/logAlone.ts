import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { startNats } from '../../support/nats.ts';
import type { Bench } from '../bench.ts';
import { runWorker } from '../children.ts';
import type { Figure } from '../figures.ts';

/** Boards that are appended to at once. */
export const BOARDS = 16;

const told = z.object({
  medianMs: z.number(),
  p99Ms: z.number(),
  rowsPerSecond: z.number(),
  samples: z.int(),
});
const figuresSchema = z.array(z.object({ of: z.string(), single: told, together: told }));
export type LogFigures = z.infer<typeof figuresSchema>;

/** The log without anything around it: SQLite beside JetStream on one server and on three. */
export async function logAlone(bench: Bench): Promise<Figure[]> {
  const one = await startNats(1);
  const three = await startNats(3);
  try {
    const folder = join(bench.folder, 'log-alone');
    mkdirSync(folder);
    const argument = {
      folder,
      one: one.urls,
      three: three.urls,
      turns: bench.isSmoke ? 1 : 3,
      milliseconds: bench.isSmoke ? 250 : 900,
    };
    const logs = await runWorker('cluster/logWorker.js', argument, figuresSchema);
    return logs.flatMap(({ of, single, together }) => [
      ...sayAll('log alone, one row at a time', of, single),
      ...sayAll(`log alone, ${BOARDS} boards at once`, of, together),
    ]);
  } finally {
    await one.stop();
    await three.stop();
  }
}

function sayAll(
  name: string,
  of: string,
  { medianMs, p99Ms, rowsPerSecond, samples }: z.infer<typeof told>,
): Figure[] {
  return [
    { name: `${name}: median`, of, unit: 'ms', value: medianMs, samples },
    { name: `${name}: p99`, of, unit: 'ms', value: p99Ms, samples },
    { name: `${name}: rows`, of, unit: 'rows/s', value: rowsPerSecond, samples },
  ];
}
