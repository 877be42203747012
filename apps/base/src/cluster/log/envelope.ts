import { promisify } from 'node:util';
import { deflateRaw, inflateRaw } from 'node:zlib';
import * as z from 'zod';
import { hexOf, rowsAsBytes, rowsFromBytes } from '../../mirror/batch.ts';
import type { SummedRow } from '../../mirror/rows.ts';
import { LineDamaged, LineFromNewer } from './errors.ts';

/** Shorter bytes are not worth the time of packing them. */
const PACK_FROM_BYTES = 2048;

/** What a message or segment may come to unpacked. */
const MOST_UNPACKED = 64 * 1024 * 1024;

const VERSION = 1;

const sumText = z.string().regex(/^[0-9a-f]{32}$/);
const nodeText = z.string().regex(/^[a-z0-9]{1,32}$/);
const versionSchema = z.object({ v: z.int().min(1) });

/** Fields that are not known are passed over, so that a newer version may add some and keep its number. */
const common = {
  v: z.literal(VERSION),
  board: z.string(),
  /** The engine's number of the entry before this one in the board's line; 0 for none. */
  behind: z.int().min(0),
  /** Who wrote it. */
  node: nodeText,
};

/** What is said of rows, in a message or a segment. */
const rowsFields = {
  /** The rows follow this one, which has this checksum. */
  after: z.int().min(0),
  before: sumText,
  rows: z.int().min(1),
  /** The checksum of the last row. */
  sum: sumText,
  packed: z.enum(['deflate', 'plain']),
};

const headSchema = z.discriminatedUnion('kind', [
  z.object({
    ...common,
    kind: z.literal('rows'),
    epoch: z.string(),
    ...rowsFields,
    /** Where the rows are in the object store, being too long for a message. */
    object: z.string().optional(),
  }),
  z.object({ ...common, kind: z.literal('claim'), owner: nodeText.nullable() }),
]);

/** The line of JSON in front of an entry. */
export type EntryHead = z.infer<typeof headSchema>;
export type RowsHead = Extract<EntryHead, { kind: 'rows' }>;
type RowsFields = Pick<RowsHead, 'after' | 'before' | 'rows' | 'sum' | 'packed'>;

const segmentSchema = z.object({
  v: z.literal(VERSION),
  kind: z.literal('segment'),
  board: z.string(),
  /** The engine's numbers of the entry before its first, and of its last. */
  behind: z.int().min(0),
  at: z.int().min(1),
  /** Who decided the board by its end. */
  owner: nodeText.nullable(),
  ...rowsFields,
});
export type SegmentHead = z.infer<typeof segmentSchema>;

const deflate = promisify<Uint8Array, Buffer>(deflateRaw);
const inflate = promisify<Uint8Array, object, Buffer>(inflateRaw);

/** Packs rows, off the event loop where that pays, and says what they are checked by. */
export async function packRows(
  rows: readonly SummedRow[],
  before: Uint8Array,
): Promise<{ readonly fields: RowsFields; readonly body: Uint8Array }> {
  const [first] = rows;
  const last = rows.at(-1);
  if (!first || !last) throw new Error('no rows');
  const plain = rowsAsBytes(rows);
  const isPacked = plain.length >= PACK_FROM_BYTES;
  return {
    fields: {
      after: first.text.seq - 1,
      before: hexOf(before),
      rows: rows.length,
      sum: hexOf(last.sum),
      packed: isPacked ? 'deflate' : 'plain',
    },
    body: isPacked ? await deflate(plain) : plain,
  };
}

/** Unpacks rows and checks them against the chain of checksums. @throws LineDamaged */
export async function unpackRows(
  board: string,
  at: number,
  fields: RowsFields,
  body: Uint8Array,
): Promise<readonly SummedRow[]> {
  const rows = await readRows(board, fields, body).catch(() => {
    throw new LineDamaged(board, at, 'its rows cannot be read');
  });
  if (hexOf(rows.at(-1)?.sum ?? new Uint8Array(0)) !== fields.sum)
    throw new LineDamaged(board, at, 'its rows do not match their checksum');
  return rows;
}

async function readRows(board: string, fields: RowsFields, body: Uint8Array): Promise<readonly SummedRow[]> {
  const plain = fields.packed === 'plain' ? body : await inflate(body, { maxOutputLength: MOST_UNPACKED });
  // A view of its own: the decoder counts from the start of what it is given, and the pool's buffers are shared.
  return rowsFromBytes(new Uint8Array(plain), { board, ...fields }, Buffer.from(fields.before, 'hex'));
}

/** A head and what follows it, as bytes. */
export function withHead(head: EntryHead | SegmentHead, body: Uint8Array = new Uint8Array(0)): Uint8Array {
  return Buffer.concat([Buffer.from(`${JSON.stringify(head)}\n`), body]);
}

/** Takes the head off an entry. @throws LineDamaged, LineFromNewer */
export function readEntry(
  board: string,
  at: number,
  bytes: Uint8Array,
): { readonly head: EntryHead; readonly body: Uint8Array } {
  return read(headSchema, board, at, bytes);
}

/** Takes the head off a segment. @throws LineDamaged, LineFromNewer */
export function readSegment(
  board: string,
  at: number,
  bytes: Uint8Array,
): { readonly head: SegmentHead; readonly body: Uint8Array } {
  return read(segmentSchema, board, at, bytes);
}

function read<T extends { readonly board: string }>(
  schema: z.ZodType<T>,
  board: string,
  at: number,
  bytes: Uint8Array,
): { readonly head: T; readonly body: Uint8Array } {
  const end = bytes.indexOf(10);
  let json: unknown;
  try {
    if (end < 0) throw new Error('no line');
    json = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes.subarray(0, end)));
  } catch {
    throw new LineDamaged(board, at, 'it cannot be read');
  }
  const version = versionSchema.safeParse(json);
  if (version.success && version.data.v > VERSION) throw new LineFromNewer(version.data.v);
  const head = schema.safeParse(json);
  if (!head.success) throw new LineDamaged(board, at, 'its head is none');
  if (head.data.board !== board) throw new LineDamaged(board, at, `it belongs to board ${head.data.board}`);
  return { head: head.data, body: bytes.subarray(end + 1) };
}
