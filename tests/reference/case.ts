import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod/mini';

/** One value of a case, with its unit. */
const quantity = z.object({ value: z.json(), unit: z.optional(z.string()) });

const tolerance = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('exact') }),
  z.object({ kind: z.literal('absolute'), value: z.number(), unit: z.optional(z.string()) }),
  z.object({ kind: z.literal('relative'), value: z.number() }),
  z.object({ kind: z.literal('range'), minus: z.number(), plus: z.number() }),
  z.object({ kind: z.literal('factor'), value: z.number() }),
]);

const referenceCase = z.object({
  id: z.string(),
  topic: z.string(),
  title: z.string(),
  formula_id: z.optional(z.string()),
  inputs: z.record(z.string(), quantity),
  expected: z.record(z.string(), quantity),
  tolerance: z.record(z.string(), z.union([tolerance, z.string()])),
  source: z.optional(z.string()),
  source_key: z.optional(z.string()),
  provenance: z.string(),
  note: z.optional(z.string()),
});

/** A check value and everything that belongs to it; `FORMAT.md` says what each field means. */
export type ReferenceCase = z.infer<typeof referenceCase>;
/** How far a result may be off. */
export type Tolerance = z.infer<typeof tolerance>;
/** Any value that a case can hold. */
export type CaseValue = z.infer<typeof quantity>['value'];
/** A value with the unit it is counted in. */
export type Quantity = z.infer<typeof quantity>;

/** All cases of a folder, file by file in the order of their names. */
export function readCases(folder: string): ReferenceCase[] {
  return readdirSync(folder)
    .filter((name) => name.endsWith('.json'))
    .sort()
    .flatMap((name) => {
      const parsed = z.array(referenceCase).safeParse(JSON.parse(readFileSync(join(folder, name), 'utf8')));
      if (!parsed.success) {
        throw new Error(`${join(folder, name)} is not in the case format: ${z.prettifyError(parsed.error)}`);
      }
      return parsed.data;
    });
}
