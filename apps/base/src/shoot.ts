import { readerOf } from '@plumbline/replica';
import { boardDefinition, ROLES, SHOOT, schemaDocument, tables } from '@plumbline/shared';
import { copyPlan, readPlan, writePlan } from '@plumbline/shared/plan';
import { evaluateInSteps, notingFindings } from '@plumbline/shared/rules';
import type { BoardKind } from './kind.ts';
import { PaperMakers } from './papers/makers.ts';

/** The boards that this program keeps: those of a shoot. */
export function shootKind(): BoardKind {
  const document = schemaDocument();
  return {
    // The rules stay out of the tablets' first screen, so it is the base alone that notes what stood against a take.
    definition: notingFindings(boardDefinition),
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
    *findings(board) {
      const { findings } = yield* evaluateInSteps(readerOf(tables, board));
      const told: Readonly<Record<string, unknown>>[] = [];
      for (const finding of findings) {
        // A finding works out its remedies when somebody looks: that must be now, before the board moves on.
        told.push({ ...finding });
        yield;
      }
      return told;
    },
    readPlan,
    writePlan,
    copyPlan,
    papers: new PaperMakers(),
  };
}
