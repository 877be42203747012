// A base in a process of its own that says how much memory it holds. Usage: node --expose-gc measuredBase.mjs FOLDER
import { shootKind, startBase } from '../../apps/base/dist/index.js';

const base = await startBase({
  kind: shootKind(),
  dataFolder: process.argv[2],
  tabletFolder: '/nowhere',
  version: '0.0.0',
});
process.send({ url: base.url, adminKey: base.adminKey });
process.on('message', async (asked) => {
  if (asked === 'stop') {
    await base.stop();
    process.exit(0);
  }
  for (let i = 0; i < 3; i++) {
    globalThis.gc();
    await new Promise((resolve) => setImmediate(resolve));
  }
  const { heapUsed, external, rss } = process.memoryUsage();
  process.send({ held: heapUsed + external, rss });
});
