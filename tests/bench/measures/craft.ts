import { z } from 'zod';
import type { Measure } from '../bench.ts';
import { runWorker } from '../children.ts';

const madeSchema = z.array(z.object({ name: z.string(), nanoseconds: z.number() }));

/** What the trade's arithmetic takes. */
export const craft: Measure = {
  name: 'craft',
  title: 'The trade’s arithmetic, one call',
  async run(bench) {
    const made = await runWorker(
      'workers/craft.js',
      { millisecondsEach: bench.isSmoke ? 70 : 700 },
      madeSchema,
    );
    return {
      figures: made.map(({ name, nanoseconds }) => ({ name, of: 'a call', unit: 'ns', value: nanoseconds })),
    };
  },
};
