import { fitsTable, type Json, valueProblem } from '@plumbline/replica';
import * as z from 'zod';
import { type InputError, Problem } from '../problem.ts';
import { type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { boardParams, jsonValueSchema } from './forms.ts';

const TABLE = 'recordings';
const MOST_VALUES = 10_000;

const bodySchema = z.object({
  values: z
    .array(z.object({ record: z.string().max(60), field: z.string().max(60), value: jsonValueSchema }))
    .min(1)
    .max(MOST_VALUES),
});

/** Taking in what was read of recorded files. */
export function recordingRoutes(services: Services): readonly Route[] {
  const table = services.kind.definition.tables[TABLE];
  if (!table) return [];
  /** Why a value cannot be kept. Who read the file is signed by the base itself. */
  const problemOf = (record: string, field: string, value: Json): string | null => {
    const declared = Object.hasOwn(table.fields, field) ? table.fields[field] : undefined;
    if (!fitsTable(table, record)) return 'This is no record of a file.';
    if (!declared || field === 'noticedBy') return 'There is no such field.';
    return valueProblem(declared, value);
  };
  return [
    route({
      method: 'POST',
      path: '/api/boards/:board/recordings',
      access: 'runner',
      summary: 'Keeps what was read of recorded files: all of it, or nothing where some is not right',
      params: boardParams,
      body: bodySchema,
      maxBytes: services.limits.importBytes,
      answer: { status: 200, schema: z.object({ values: z.int().describe('How many were written') }) },
      problems: [422, 503],
      handle: async ({ params, body, who }) => {
        const board = await boardOf(services, params.board);
        const errors = body.values.flatMap(({ record, field, value }): InputError[] => {
          const message = problemOf(record, field, value);
          return message === null ? [] : [{ path: `${TABLE}/${record}/${field}`, message }];
        });
        if (errors.length > 0)
          throw new Problem(422, 'Nothing was kept: some of it is not right.', { errors });
        const person = who.kind === 'session' ? who.session.person : null;
        const signed =
          person === null
            ? []
            : [...new Set(body.values.map(({ record }) => record))].map((record) => ({
                record,
                field: 'noticedBy',
                value: person,
              }));
        const values = [...body.values, ...signed].map((value) => ({ table: TABLE, ...value }));
        await board.write(person, values);
        return { values: values.length };
      },
    }),
  ];
}
