import * as z from 'zod';
import type { Found, Meta } from './meta.ts';

const sumText = z.string().regex(/^[0-9a-f]+$/);

const keptSchema = z.object({
  epoch: z.string(),
  seq: z.int().min(0),
  /** SHA-256. */
  sum: sumText,
  bytes: z.int().min(0),
  /** Its name in the object store. */
  object: z.string(),
});
/** A snapshot in the object store. */
export type KeptSnapshot = z.infer<typeof keptSchema>;

const segmentSchema = z.object({
  /** Its rows follow this one, and this is its last. */
  after: z.int().min(0),
  to: z.int().min(1),
  /** The engine's number of its last entry. */
  at: z.int().min(1),
  /** The checksum of its last row. */
  sum: sumText,
  bytes: z.int().min(1),
  object: z.string(),
});
/** Rows that were moved out of the stream into the object store. */
export type KeptSegment = z.infer<typeof segmentSchema>;

const indexSchema = z.object({
  snapshots: z.array(keptSchema),
  segments: z.array(segmentSchema),
});
/** What the object store holds of a board. */
export type BoardIndex = z.infer<typeof indexSchema>;

const EMPTY: BoardIndex = { snapshots: [], segments: [] };

/** The list of what the object store holds of each board. Nothing counts there that is not in it. */
export class BoardIndexes {
  readonly #meta: Meta;

  constructor(meta: Meta) {
    this.#meta = meta;
  }

  async get(board: string): Promise<BoardIndex> {
    return (await this.#found(board)).value ?? EMPTY;
  }

  /** Changes a board's list; `null` leaves it. Returns the list before, or `null` where it was left. */
  async change(board: string, make: (index: BoardIndex) => BoardIndex | null): Promise<BoardIndex | null> {
    for (;;) {
      const { value, at } = await this.#found(board);
      const before = value ?? EMPTY;
      const after = make(before);
      if (!after) return null;
      if (await this.#meta.put(after, at, 'board', board)) return before;
    }
  }

  #found(board: string): Promise<Found<BoardIndex>> {
    return this.#meta.get(indexSchema, 'board', board);
  }
}
