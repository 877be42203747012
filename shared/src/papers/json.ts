import * as z from 'zod/mini';
import type { PaperDocument } from './model.ts';

const cell = z.object({ value: z.union([z.string(), z.number(), z.boolean(), z.null()]), text: z.string() });
const column = z.object({
  key: z.string(),
  heading: z.string(),
  unit: z.nullable(z.string()),
  saysUnit: z.optional(z.literal(true)),
  kind: z.enum(['figure', 'word', 'prose']),
});
const table = z.object({
  id: z.string(),
  title: z.nullable(z.string()),
  columns: z.array(column),
  rows: z.array(z.object({ id: z.string(), cells: z.array(cell) })),
});

/**
 * A paper as JSON. `value` is what programs take: numbers in the column's unit, moments as ISO 8601 with their offset;
 * `text` is what people read. `key` is `table.field` where the value is a field of the board (`GET /api/schema`).
 */
export const paperSchema = z.object({
  form: z.literal('plumbline-paper'),
  version: z.literal(1),
  kind: z.string(),
  title: z.string(),
  number: z.nullable(z.string()),
  shoot: z.string(),
  day: z.nullable(z.string()),
  at: z.string(),
  seq: z.nullable(z.number()),
  sections: z.array(
    z.object({
      id: z.string(),
      title: z.string(),
      subtitle: z.nullable(z.string()),
      groups: z.array(
        z.object({ title: z.nullable(z.string()), facts: z.array(z.object({ column, cell })) }),
      ),
      tables: z.array(table),
      notes: z.array(z.string()),
      match: z.nullable(z.unknown()),
    }),
  ),
  sheet: table,
});

export type PaperJson = z.infer<typeof paperSchema>;

/** A paper in the form of {@link paperSchema}. */
export function paperJson(paper: PaperDocument): string {
  const { kind, title, number, shoot, day, at, seq, sections, sheet } = paper;
  const told = {
    form: 'plumbline-paper',
    version: 1,
    kind,
    title,
    number,
    shoot,
    day,
    at: new Date(at).toISOString(),
    seq,
    sections,
    sheet,
  };
  return `${JSON.stringify(told, null, 1)}\n`;
}
