import { isJson, type Json, parseStrictJson } from '@plumbline/replica';
import * as z from 'zod/mini';
import type { PlanValue } from './check.ts';
import { type PlanProblem, problemAt, wholeOf } from './problems.ts';

const json = z.custom<Json>((value) => isJson(value), 'not a value');
const planSchema = z.object({
  tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), json))),
});

/** Whether a plan file is JSON: a sheet's header never begins with a brace. */
export function looksLikeJson(text: string): boolean {
  return text.trimStart().startsWith('{');
}

/** The values of `{tables: {TABLE: {RECORD: {FIELD: value}}}}`, the form in which a board's own view is given out. */
export function readPlanJson(file: string, text: string): PlanValue[] | PlanProblem {
  try {
    const parsed = z.safeParse(planSchema, parseStrictJson(text));
    if (!parsed.success) {
      const issue = parsed.error.issues[0];
      const path = issue?.path.map(String).join('.') ?? '';
      return problemAt(wholeOf(file), `It is not {tables: {TABLE: {RECORD: {FIELD: value}}}} at “${path}”.`);
    }
    return Object.entries(parsed.data.tables).flatMap(([table, records]) =>
      Object.entries(records).flatMap(([record, fields]) =>
        Object.entries(fields).map(([field, value]) => ({ table, record, field, value })),
      ),
    );
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    return problemAt(wholeOf(file), `It is not JSON: ${error.message}.`);
  }
}
