import type { CDPSession } from 'playwright-core';
import { z } from 'zod';

const snapshotSchema = z.object({
  snapshot: z.object({
    meta: z.object({
      node_fields: z.array(z.string()),
      // the kinds of a node by number, and the kind of each further field
      node_types: z.tuple([z.array(z.string())]).rest(z.unknown()),
    }),
  }),
  nodes: z.custom<readonly number[]>((value) => Array.isArray(value)),
});

/** What a page's own heap holds once its garbage is collected, bytes. */
export async function heldBy(session: CDPSession): Promise<number> {
  for (let round = 0; round < 2; round++) await session.send('HeapProfiler.collectGarbage');
  return (await session.send('Runtime.getHeapUsage')).usedSize;
}

/**
 * How much of a page's heap is what the browser has compiled of the page's functions, and what it has learnt of them
 * while they ran, bytes: it grows as long as something is done for the first time, or often enough to be compiled
 * better, and holds nothing of the board.
 */
export async function compiledIn(session: CDPSession): Promise<number> {
  const parts: string[] = [];
  const hear = ({ chunk }: { chunk: string }): void => {
    parts.push(chunk);
  };
  session.on('HeapProfiler.addHeapSnapshotChunk', hear);
  await session.send('HeapProfiler.takeHeapSnapshot', { reportProgress: false });
  session.off('HeapProfiler.addHeapSnapshotChunk', hear);
  const { snapshot, nodes } = snapshotSchema.parse(JSON.parse(parts.join('')));
  const { node_fields: fields, node_types: types } = snapshot.meta;
  const kind = fields.indexOf('type');
  const size = fields.indexOf('self_size');
  const code = types[0].indexOf('code');
  let bytes = 0;
  for (let at = 0; at < nodes.length; at += fields.length) {
    if (nodes[at + kind] === code) bytes += nodes[at + size] ?? 0;
  }
  return bytes;
}
