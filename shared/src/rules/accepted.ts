import { isJson, type Json, sameJson } from '@plumbline/replica';
import type { ShootReader } from '../tables/index.ts';
import type { Acceptance, Change, Finding, Target } from './finding.ts';

function keyOf({ table, record, field }: Target): string {
  return `${table}/${record}/${field ?? ''}`;
}

/** What stands in a field; `null` for nothing. */
export function valueAt(reader: ShootReader, { table, record, field }: Target): Json {
  if (field === undefined) return null;
  const view: Readonly<Record<string, unknown>> = reader.view(table, record);
  const value = Object.hasOwn(view, field) ? view[field] : null;
  return isJson(value) ? value : null;
}

/** The values that lie between a finding's fields, by `table/record/field`. */
function valuesOf(reader: ShootReader, targets: readonly Target[]): Map<string, Json> {
  return new Map(
    targets
      .filter(({ field }) => field !== undefined)
      .map((target) => [keyOf(target), valueAt(reader, target)]),
  );
}

/** Who accepted a finding, as long as the values are those it was accepted for. */
export function acceptanceOf(reader: ShootReader, id: string, targets: readonly Target[]): Acceptance | null {
  const { acceptedBy, reason, values, acceptedAt } = reader.view('accepted', id);
  if (acceptedBy === undefined || reason === undefined || values === undefined) return null;
  const now = valuesOf(reader, targets);
  const then = Object.entries(values);
  const same =
    then.length === now.size && then.every(([key, value]) => now.has(key) && sameJson(now.get(key), value));
  if (!same) return null;
  return { by: acceptedBy, reason, ...(acceptedAt === undefined ? {} : { at: acceptedAt }) };
}

/** What to write so that a finding stands accepted for the values it has now. */
export function acceptChanges(
  reader: ShootReader,
  finding: Pick<Finding, 'id' | 'targets'>,
  by: string,
  reason: string,
  at: number,
): Change[] {
  const values = Object.fromEntries(valuesOf(reader, finding.targets));
  return Object.entries({ acceptedBy: by, reason, values, acceptedAt: at }).map(([field, value]) => ({
    table: 'accepted',
    record: finding.id,
    field,
    value,
  }));
}

/** What to write so that an acceptance is taken back. */
export function withdrawChanges(finding: Pick<Finding, 'id'>): Change[] {
  return ['acceptedBy', 'reason', 'values', 'acceptedAt'].map((field) => ({
    table: 'accepted',
    record: finding.id,
    field,
    value: null,
  }));
}
