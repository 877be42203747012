import * as z from 'zod/mini';
import { isRecordId } from './ids.ts';
import { fitsCell, isJson, type Json, parseStrictJson } from './json.ts';
import { isStamp } from './stamps.ts';

export const MAX_ENTRIES = 200;
export const MAX_EDIT_TEXT = 64 * 1024;

const NAME = /^[A-Za-z][A-Za-z0-9_]{0,39}$/;

const stamp = z.number().check(z.refine(isStamp));

/** A value set on the board, with the stamp of the value that the person had on screen (0: none). */
export const entrySchema = z.strictObject({
  table: z.string().check(z.regex(NAME)),
  record: z.string().check(z.refine(isRecordId)),
  field: z.string().check(z.regex(NAME)),
  value: z.custom<Json>((value) => isJson(value, 5) && fitsCell(value), 'too long, too deep or not JSON'),
  seen: stamp,
});

/** What a tablet sends: some values that stand or fall together. */
export const editSchema = z
  .strictObject({
    n: z.int().check(z.gte(1)),
    stamp: z.number().check(z.refine((value) => isStamp(value) && value >= 1)),
    entries: z.array(entrySchema).check(z.minLength(1), z.maxLength(MAX_ENTRIES)),
  })
  .check(
    z.refine(
      (edit) => edit.entries.every((entry) => entry.seen <= edit.stamp),
      'seen is later than the stamp',
    ),
    z.refine((edit) => {
      const cells = new Set(edit.entries.map(({ table, record, field }) => `${table}/${record}/${field}`));
      return cells.size === edit.entries.length;
    }, 'a cell twice'),
  );

export type Entry = z.infer<typeof entrySchema>;
export type Edit = z.infer<typeof editSchema>;

/** Reads an edit from the text of a message; a string is what is wrong with it. */
export function readEdit(text: string): Edit | string {
  if (text.length > MAX_EDIT_TEXT) return 'the edit is too long';
  try {
    const parsed = z.safeParse(editSchema, parseStrictJson(text));
    return parsed.success ? parsed.data : (parsed.error.issues[0]?.message ?? 'not an edit');
  } catch (error) {
    return error instanceof Error ? error.message : 'not JSON';
  }
}
