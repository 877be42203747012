import { addressKey, type BoardReader, type Json, sameJson } from '@plumbline/replica';
import { type PlanFile, type PlanProblem, readPlan } from '@plumbline/shared/plan';
import * as z from 'zod/mini';
import { toSend } from './files.ts';

/** What taking a plan in would do to one table. */
export interface Change {
  readonly table: string;
  readonly added: number;
  readonly changed: number;
}

/** What would come of a plan. */
export type DryRun =
  | { readonly kind: 'ready'; readonly values: number; readonly changes: readonly Change[] }
  | { readonly kind: 'wrong'; readonly problems: readonly PlanProblem[] };

/** Reads a plan against the board as this tablet has it, and says what it would do. Nothing is written. */
export function dryRun(files: readonly PlanFile[], board: BoardReader): DryRun {
  const reading = readPlan(files, board);
  if (reading.kind === 'wrong') return reading;
  const records = new Map<string, { table: string; isNew: boolean }>();
  for (const { table, record, field, value } of reading.values) {
    if (sameJson(board.cell(table, record, field)?.[0], value)) continue;
    const key = addressKey({ table, record, field: '' });
    if (!records.has(key)) records.set(key, { table, isNew: !hasRecord(board, table, record) });
  }
  const changes = new Map<string, { table: string; added: number; changed: number }>();
  for (const { table, isNew } of records.values()) {
    const change = changes.get(table) ?? { table, added: 0, changed: 0 };
    if (isNew) change.added++;
    else change.changed++;
    changes.set(table, change);
  }
  return { kind: 'ready', values: reading.values.length, changes: [...changes.values()] };
}

function hasRecord(board: BoardReader, table: string, record: string): boolean {
  for (const known of board.records(table)) if (known === record) return true;
  return false;
}

const takenSchema = z.object({ values: z.number() });
const problemSchema = z.object({
  detail: z.string(),
  errors: z.optional(z.array(z.object({ path: z.string(), message: z.string() }))),
});

/** What the base made of a plan. */
export type Taken =
  | { readonly kind: 'taken'; readonly values: number }
  | { readonly kind: 'refused'; readonly sentence: string; readonly lines: readonly string[] };

/** Hands a plan to the base, which writes all of it or nothing. */
export async function takeIn(board: string, files: readonly PlanFile[], send = fetch): Promise<Taken> {
  const refused = (sentence: string, lines: readonly string[] = []): Taken => ({
    kind: 'refused',
    sentence,
    lines,
  });
  try {
    const response = await send(`/api/boards/${board}/import`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ files: files.map(toSend) }),
    });
    const answer: Json = await response.json();
    const taken = z.safeParse(takenSchema, answer);
    if (response.ok && taken.success) return { kind: 'taken', values: taken.data.values };
    const problem = z.safeParse(problemSchema, answer);
    if (!problem.success) return refused('The base did not take it in.');
    const { detail, errors = [] } = problem.data;
    return refused(
      detail,
      errors.map(({ path, message }) => `${path}: ${message}`),
    );
  } catch {
    return refused('The base cannot be reached. Nothing was taken in; try again when it is back.');
  }
}
