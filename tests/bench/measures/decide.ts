import { z } from 'zod';
import type { Measure } from '../bench.ts';
import { runWorker } from '../children.ts';
import { type Figure, short } from '../figures.ts';

const madeSchema = z.object({
  values: z.int(),
  figures: z.array(z.object({ name: z.string(), share: z.number(), microseconds: z.number() })),
});

/** How long the base thinks about one edit, on a small board and on a very large one. */
export const decide: Measure = {
  name: 'decide',
  title: 'Deciding one edit, by the shoot’s own tables and guards',
  async run(bench) {
    const figures: Figure[] = [];
    const runs = bench.isSmoke ? 1_000 : 20_000;
    const mostMilliseconds = bench.isSmoke ? 500 : 2_500;
    let flat: number | null = null;
    for (const leastValues of bench.isSmoke ? [10_000, 100_000] : [10_000, 500_000]) {
      const made = await runWorker('workers/decide.js', { leastValues, runs, mostMilliseconds }, madeSchema);
      const of = `${short(made.values / 1000)} k values`;
      for (const { name, share, microseconds } of made.figures) {
        const isAsked = name === 'one value' && share === 0.5;
        const aim = {
          most: 15,
          ...(flat === null ? {} : { because: `and flat: ${short(flat)} on the small board` }),
        };
        if (isAsked) flat ??= microseconds;
        figures.push({
          name: `${name}, ${share === 0.5 ? 'median' : 'p99'}`,
          of,
          unit: 'µs',
          value: microseconds,
          ...(isAsked ? { aim } : {}),
        });
      }
    }
    return { figures };
  },
};
