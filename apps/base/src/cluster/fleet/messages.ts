import { editSchema, isJson, type Json } from '@plumbline/replica';
import * as z from 'zod';
import type { NodeId } from '../port.ts';

/** What nodes say to each other over the bus. Fields that are not known are passed over. */

export const SUBJECTS = {
  beat: 'beat',
  edits: (node: NodeId) => `node.${node}.edits`,
  presence: (board: string) => `presence.${board}`,
  tab: 'tab',
};

const json = z.custom<Json>((value) => isJson(value));
const edit = z.custom<z.infer<typeof editSchema>>((value) => editSchema.safeParse(value).success);

/** A node says that it is there, and how it does. */
export const beatSchema = z.object({
  node: z.string(),
  version: z.string(),
  /** Its machine's clock, ms since 1970. */
  time: z.number(),
  boards: z.int(),
  sockets: z.int(),
  /** The event loop's delay, ms. */
  delay: z.number(),
});
export type Beat = z.infer<typeof beatSchema>;

const item = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('edit'),
    writer: z.object({ id: z.string(), person: z.string(), role: z.string() }),
    edit,
  }),
  z.object({
    kind: z.literal('base'),
    /** The same number from the same node is the same write. */
    id: z.int(),
    person: z.string().nullable(),
    values: z.array(z.object({ table: z.string(), record: z.string(), field: z.string(), value: json })),
  }),
]);
export type AskedItem = z.infer<typeof item>;

/** What one node asks another to decide, in order; nothing: whether it would. */
export const askSchema = z.object({ from: z.string(), board: z.string(), items: z.array(item) });
export type Ask = z.infer<typeof askSchema>;

/** What became of an item. How an edit was answered is said by the line alone. */
const result = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('inLine') }),
  z.object({ kind: z.literal('gap'), last: z.int() }),
  z.object({ kind: z.literal('failed') }),
  /** Not decided: another node decides that board by now. */
  z.object({ kind: z.literal('passed') }),
  /** A value that its field does not take. */
  z.object({ kind: z.literal('wrong'), message: z.string() }),
]);
export type AskedResult = z.infer<typeof result>;

export const replySchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('done'), results: z.array(result) }),
  /** Somebody else decides that board. */
  z.object({ kind: z.literal('notMine') }),
  /** It is being found out who does. */
  z.object({ kind: z.literal('wait') }),
]);
export type Reply = z.infer<typeof replySchema>;

/** Who is where on a board, by the sockets of one node. */
export const presenceSchema = z.object({
  node: z.string(),
  /** The others are asked to say all. */
  asks: z.boolean().optional(),
  /** There is nobody else on that node. */
  isAll: z.boolean(),
  /** By the schema of presence where it is taken in. */
  entries: z.array(z.object({ client: z.int(), clock: z.int(), state: z.unknown() })),
});
export type PresenceNews = z.infer<typeof presenceSchema>;

/** A tab has a new socket: whoever has an older one of it closes that. */
export const tabSchema = z.object({ node: z.string(), session: z.string(), tab: z.string(), at: z.number() });
export type TabNews = z.infer<typeof tabSchema>;

const decoder = new TextDecoder();

/** A message as bytes. */
export function encode(message: Ask | Reply | Beat | PresenceNews | TabNews): Uint8Array {
  return Buffer.from(JSON.stringify(message));
}

/** Reads a message; `null` for what is none. */
export function decode<T>(schema: z.ZodType<T>, bytes: Uint8Array): T | null {
  try {
    const parsed = schema.safeParse(JSON.parse(decoder.decode(bytes)));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
