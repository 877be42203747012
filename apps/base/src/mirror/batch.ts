import { promisify } from 'node:util';
import { deflateRaw, inflateRaw } from 'node:zlib';
import { createDecoder, hasContent, readVarString, readVarUint8Array } from 'lib0/decoding';
import { createEncoder, toUint8Array, writeVarString, writeVarUint8Array } from 'lib0/encoding';
import * as z from 'zod';
import { parseRow, type RowText, rowSum } from '../log/rows.ts';
import type { SummedRow } from './rows.ts';

/** How much travels in one request: small enough that a slow link answers within seconds. */
export const MOST = { rows: 400, bytes: 64 * 1024 };

/** Rows that both sides hold already and that a batch is compressed against. */
export const KNOWN_ROWS = 24;

/** What a batch may come to unpacked: one row as large as an edit can be, and what the base derived from it. */
const MOST_UNPACKED = 16 * 1024 * 1024;

const WINDOW = 32 * 1024;

const sumText = z.string().regex(/^[0-9a-f]{32}$/);

/** What is said of the board beside its rows: at the first contact, and when it has changed. */
export const aboutSchema = z.object({
  title: z.string().max(200),
  createdAt: z.number(),
  epochs: z
    .array(z.object({ id: z.string().max(40), client: z.int().min(1), fromSeq: z.int().min(0) }))
    .min(1)
    .max(1000),
  people: z
    .array(
      z.object({
        id: z.string().max(40),
        name: z.string().max(200),
        role: z.string().max(40),
        joinedAt: z.number(),
        leftAt: z.number().nullable(),
      }),
    )
    .max(10_000),
});
export type About = z.infer<typeof aboutSchema>;

/** What stands in front of the rows. */
export const headSchema = z.object({
  v: z.literal(1),
  board: z.string().regex(/^[A-Za-z0-9_-]{1,40}$/),
  /** The epoch that the board is in. */
  epoch: z.string().max(40),
  /** The rows follow this one, which has this checksum. */
  after: z.int().min(0),
  before: sumText,
  rows: z.int().min(0).max(MOST.rows),
  /** The checksum of the last row. */
  sum: sumText,
  /** The last row that there is. */
  end: z.int().min(0),
  /** ms since 1970 on the clock of the base that sends. */
  time: z.number(),
  about: aboutSchema.optional(),
});
export type Head = z.infer<typeof headSchema>;

/** What a mirror answers: the last row that it has on disk. */
export const answerSchema = z.object({
  seq: z.int().min(0),
  sum: sumText,
  /** Whether it wants to be told about the board. */
  about: z.boolean(),
});
export type BatchAnswer = z.infer<typeof answerSchema>;

/** Bytes that are no batch, or rows that are not those that were summed. */
export class BatchDamaged extends Error {
  override readonly name = 'BatchDamaged';
}

const deflate = promisify<Uint8Array, object, Buffer>(deflateRaw);
const inflate = promisify<Uint8Array, object, Buffer>(inflateRaw);

const metaSchema = z.tuple([
  z.string(),
  z.number(),
  z.string().nullable(),
  z.string(),
  z.int(),
  z.number(),
  z.boolean(),
]);

/** Rows as bytes, one after another; their numbers and checksums are not among them, since they follow from the place. */
export function rowsAsBytes(rows: readonly SummedRow[]): Uint8Array {
  const encoder = createEncoder();
  for (const { epoch, text } of rows) {
    const { at, person, writer, n, stamp, edit, outcome, update } = text;
    writeVarString(encoder, JSON.stringify([epoch, at, person, writer, n, stamp, update !== null]));
    writeVarString(encoder, edit);
    writeVarString(encoder, outcome);
    if (update) writeVarUint8Array(encoder, update);
  }
  return toUint8Array(encoder);
}

/**
 * Reads rows that {@link rowsAsBytes} wrote, and sums them up.
 *
 * @param before the checksum of the row that they follow
 * @throws Error where they are not as many as announced, or no rows
 */
export function rowsFromBytes(
  bytes: Uint8Array,
  { board, after, rows: count }: Pick<Head, 'board' | 'after' | 'rows'>,
  before: Uint8Array,
): readonly SummedRow[] {
  const rows: SummedRow[] = [];
  const decoder = createDecoder(bytes);
  let sum = before;
  for (let seq = after + 1; rows.length < count; seq++) {
    const meta = metaSchema.parse(JSON.parse(readVarString(decoder)));
    const [epoch, at, person, writer, n, stamp, isWritten] = meta;
    const edit = readVarString(decoder);
    const outcome = readVarString(decoder);
    const update = isWritten ? readVarUint8Array(decoder).slice() : null;
    const text: RowText = { seq, at, person, writer, n, stamp, edit, outcome, update };
    parseRow(text);
    sum = rowSum(sum, board, epoch, text);
    rows.push({ epoch, text, sum });
  }
  if (hasContent(decoder)) throw new Error('more than was announced');
  return rows;
}

/** Options for zlib: rows look like those before them, and those the other side has. */
function against(known: readonly SummedRow[]): { readonly dictionary?: Uint8Array } {
  const bytes = rowsAsBytes(known).slice(-WINDOW);
  return bytes.length > 0 ? { dictionary: bytes } : {};
}

/**
 * A batch as it travels: a line of JSON, then the rows, compressed off the event loop against those before them.
 *
 * @param known the rows before, at most {@link KNOWN_ROWS}
 */
export async function packBatch(
  head: Head,
  rows: readonly SummedRow[],
  known: readonly SummedRow[],
): Promise<Uint8Array> {
  const line = Buffer.from(`${JSON.stringify(head)}\n`);
  if (rows.length === 0) return line;
  const packed = await deflate(rowsAsBytes(rows), against(known));
  return Buffer.concat([line, packed]);
}

/** Takes the head off a batch. @throws BatchDamaged */
export function readHead(bytes: Uint8Array): { readonly head: Head; readonly packed: Uint8Array } {
  const end = bytes.indexOf(10);
  try {
    if (end < 0) throw new Error('no line');
    const head = headSchema.parse(JSON.parse(Buffer.from(bytes.subarray(0, end)).toString('utf8')));
    return { head, packed: bytes.subarray(end + 1) };
  } catch {
    throw new BatchDamaged('The batch cannot be read.');
  }
}

/**
 * Unpacks the rows of a batch and checks each against the chain, up to the checksum that the head names.
 *
 * @param before the checksum of the row that they follow, as this side has it
 * @throws BatchDamaged
 */
export async function unpackRows(
  head: Head,
  packed: Uint8Array,
  before: Uint8Array,
  known: readonly SummedRow[],
): Promise<readonly SummedRow[]> {
  let rows: readonly SummedRow[];
  try {
    const bytes =
      head.rows === 0
        ? new Uint8Array(0)
        : await inflate(packed, { maxOutputLength: MOST_UNPACKED, ...against(known) });
    rows = rowsFromBytes(new Uint8Array(bytes), head, before);
  } catch {
    throw new BatchDamaged('The rows did not arrive as they were sent.');
  }
  if (hexOf(rows.at(-1)?.sum ?? before) !== head.sum)
    throw new BatchDamaged('The rows do not match their checksum.');
  return rows;
}

/** A checksum as text. */
export function hexOf(sum: Uint8Array): string {
  return Buffer.from(sum).toString('hex');
}
