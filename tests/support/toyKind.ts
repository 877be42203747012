import type { BoardKind, PlanFile } from '@plumbline/base';
import { contestedTable, namePart } from '@plumbline/replica';
import * as z from 'zod/mini';
import { toy, toyTables } from './toy.ts';

const byBase = <T extends z.ZodMiniType<string> | z.ZodMiniType<number>>(schema: T) => ({
  schema,
  writers: [],
  nullable: true,
});

const people = {
  id: [namePart()],
  appendOnly: false,
  fields: {
    name: byBase(z.string()),
    role: byBase(z.string()),
    joinedAt: byBase(z.number()),
    leftAt: byBase(z.number()),
  },
};

/** The text of a plan file; the toy reads no sheets. */
function textOf(file: PlanFile): string {
  return 'text' in file ? decoded(file.text) : '';
}

const decoded = (text: string | Uint8Array): string =>
  typeof text === 'string' ? text : new TextDecoder().decode(text);

/** A line of a toy plan: `shelf,name`. */
const PLAN_LINE = /^([a-z0-9]{1,20}),([a-zA-Z ]{1,20})$/;

/** A board of shelves and jars, for testing a base without a shoot on it. */
export const toyKind: BoardKind = {
  definition: { ...toy, tables: { ...toyTables, people, contested: contestedTable } },
  roles: ['keeper', 'clerk', 'guest'],
  schemaHash: 'toy',
  schemaDocument: { wire: 1, schema: 'toy', tables: {} },
  opening: (title) => [{ table: 'shelves', record: 'first', field: 'name', value: title.slice(0, 40) }],
  person: ({ id: record, name, role, joinedAt, leftAt }) =>
    Object.entries({ name, role, joinedAt, leftAt }).map(([field, value]) => ({
      table: 'people',
      record,
      field,
      value,
    })),
  *findings(board) {
    yield;
    return [...board.records('shelves')]
      .filter((shelf) => board.cell('shelves', shelf, 'width')?.[0] === 0)
      .map((shelf) => ({ id: `narrow/${shelf}`, rule: 'narrow' }));
  },
  writePlan: () => [],
  copyPlan: () => [],
  readPlan: (files) => {
    const problems = files.flatMap((plan) =>
      textOf(plan)
        .trimEnd()
        .split('\n')
        .flatMap((line, index) =>
          PLAN_LINE.test(line)
            ? []
            : [{ file: plan.name, line: index + 1, column: 1, message: 'not a shelf' }],
        ),
    );
    if (problems.length > 0) return { kind: 'wrong', problems };
    const values = files.flatMap((plan) =>
      textOf(plan)
        .trimEnd()
        .split('\n')
        .flatMap((line) => {
          const [, record, value] = PLAN_LINE.exec(line) ?? [];
          return record && value ? [{ table: 'shelves', record, field: 'name', value }] : [];
        }),
    );
    return { kind: 'read', values };
  },
};
