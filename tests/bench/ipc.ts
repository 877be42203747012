import { z } from 'zod';

/** What the run asks of a server's process. */
export const askSchema = z.discriminatedUnion('ask', [
  /** How much it has used so far; `collect` runs the garbage collector first. */
  z.object({ ask: z.literal('usage'), id: z.int(), collect: z.boolean() }),
  /** Begins to watch how long the event loop is held up. */
  z.object({ ask: z.literal('watch'), id: z.int() }),
  /** The longest that it was held up since. */
  z.object({ ask: z.literal('longest'), id: z.int() }),
  z.object({ ask: z.literal('stop'), id: z.int() }),
]);
export type Ask = z.infer<typeof askSchema>;

/** What a process has used: CPU of all its threads since it started, memory as it stands. */
export const usageSchema = z.object({
  cpuMicroseconds: z.number(),
  rssBytes: z.number(),
  /** Heap in use and memory outside the heap that objects hold. */
  heldBytes: z.number(),
});
export type Usage = z.infer<typeof usageSchema>;

/** What a server's process tells: that it listens, or the answer to an ask. */
export const tellSchema = z.discriminatedUnion('tell', [
  z.object({ tell: z.literal('ready'), url: z.string() }),
  z.object({ tell: z.literal('usage'), id: z.int(), usage: usageSchema }),
  z.object({ tell: z.literal('longest'), id: z.int(), milliseconds: z.number() }),
  z.object({ tell: z.literal('done'), id: z.int() }),
]);
export type Tell = z.infer<typeof tellSchema>;
