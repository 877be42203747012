import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { z } from 'zod';
import { type Ask, askSchema, type Tell, type Usage } from '../ipc.ts';
import { HeldWatch } from './held.ts';

setFlagsFromString('--expose-gc');
const collect = z.custom<() => void>((value) => typeof value === 'function').parse(runInNewContext('gc'));

/** Tells the run that this process listens, and answers what it asks until it asks to stop. */
export function answerRun(url: string, stop: () => Promise<void>): void {
  const watch = new HeldWatch();
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
        watch.start();
        await lookTwice();
        return { tell: 'done', id };
      case 'longest': {
        await lookTwice();
        return { tell: 'longest', id, milliseconds: watch.stop() };
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
  return new Promise((resolve) => setTimeout(resolve, 3));
}

function usageNow(): Usage {
  const { user, system } = process.cpuUsage();
  const { rss, heapUsed, external } = process.memoryUsage();
  return { cpuMicroseconds: user + system, rssBytes: rss, heldBytes: heapUsed + external };
}
