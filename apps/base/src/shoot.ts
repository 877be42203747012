import { boardDefinition, ROLES, SHOOT, schemaDocument } from '@plumbline/shared';
import { readPlan } from '@plumbline/shared/plan';
import type { BoardKind } from './kind.ts';

/** The boards that this program keeps: those of a shoot. */
export function shootKind(): BoardKind {
  const document = schemaDocument();
  return {
    definition: boardDefinition,
    roles: ROLES,
    schemaHash: document.schema,
    schemaDocument: { ...document },
    opening: (title) => [{ table: 'shoot', record: SHOOT, field: 'title', value: title }],
    person: ({ id: record, name, role, joinedAt, leftAt }) =>
      Object.entries({ name, role, joinedAt, leftAt }).map(([field, value]) => ({
        table: 'people',
        record,
        field,
        value,
      })),
    findings: () => [],
    readPlan,
  };
}
