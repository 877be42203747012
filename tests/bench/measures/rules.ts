import { z } from 'zod';
import type { Measure } from '../bench.ts';
import { runWorker } from '../children.ts';
import type { Figure } from '../figures.ts';

const madeSchema = z.object({
  values: z.int(),
  findings: z.int(),
  fromScratch: z.number(),
  withRemedies: z.number(),
  firstFollow: z.number(),
  edit: z.object({ median: z.number(), p99: z.number() }),
});

/** What it takes to judge a board. */
export const rules: Measure = {
  name: 'rules',
  title: 'The rules: a board judged from scratch, and after one edit',
  async run(bench) {
    const figures: Figure[] = [];
    for (const days of bench.isSmoke ? [1, 10] : [1, 10, 60]) {
      const made = await runWorker(
        'workers/rules.js',
        { days, edits: bench.isSmoke ? 100 : 600 },
        madeSchema,
      );
      const of = days === 1 ? 'one day' : `${days} days`;
      const figure = (name: string, unit: string, value: number): Figure => ({ name, of, unit, value });
      figures.push(
        figure('values on the board', '', made.values),
        figure('findings', '', made.findings),
        figure('from scratch', 'ms', made.fromScratch),
        figure('from scratch, with what would mend each', 'ms', made.withRemedies),
        figure('a tablet begins to follow', 'ms', made.firstFollow),
        figure('one edit, median', 'µs', 1000 * made.edit.median),
        figure('one edit, p99', 'µs', 1000 * made.edit.p99),
      );
    }
    return {
      figures,
      notes: [
        'an edit: an aperture set on a camera of one of the days, until all findings are read again',
        'six in a hundred cameras of the invented days are set wrong, so that there is something to find',
      ],
    };
  },
};
