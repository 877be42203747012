import { type IntervalHistogram, monitorEventLoopDelay } from 'node:perf_hooks';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { z } from 'zod';
import { type Ask, askSchema, type Tell, type Usage } from '../ipc.ts';

/** How often the watch looks, ms: nothing shorter is seen. */
const RESOLUTION_MS = 1;

setFlagsFromString('--expose-gc');
const collect = z.custom<() => void>((value) => typeof value === 'function').parse(runInNewContext('gc'));

/** Tells the run that this process listens, and answers what it asks until it asks to stop. */
export function answerRun(url: string, stop: () => Promise<void>): void {
  let watch: IntervalHistogram | null = null;
  const answer = async (ask: Ask): Promise<Tell> => {
    const { id } = ask;
    switch (ask.ask) {
      case 'usage':
        if (ask.collect) {
          collect();
          collect();
        }
        return { tell: 'usage', id, usage: usageNow() };
      case 'watch':
        watch?.disable();
        watch = monitorEventLoopDelay({ resolution: RESOLUTION_MS });
        watch.enable();
        // The watch counts from its second look on.
        await lookTwice();
        return { tell: 'done', id };
      case 'longest': {
        await lookTwice();
        watch?.disable();
        const milliseconds = watch && watch.count > 0 ? watch.max / 1e6 - RESOLUTION_MS : 0;
        return { tell: 'longest', id, milliseconds: Math.max(0, milliseconds) };
      }
      case 'stop':
        await stop();
        return { tell: 'done', id };
    }
  };
  process.on('message', (message) => {
    const ask = askSchema.parse(message);
    void answer(ask).then((told) => {
      tell(told);
      if (ask.ask === 'stop') process.disconnect();
    });
  });
  // Whoever started this process has gone: nobody will ever ask it to stop.
  process.on('disconnect', () => process.exit());
  tell({ tell: 'ready', url });
}

function tell(message: Tell): void {
  process.send?.(message);
}

function lookTwice(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, 3 * RESOLUTION_MS));
}

function usageNow(): Usage {
  const { user, system } = process.cpuUsage();
  const { rss, heapUsed, external } = process.memoryUsage();
  return { cpuMicroseconds: user + system, rssBytes: rss, heldBytes: heapUsed + external };
}
