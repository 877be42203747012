import type { Context } from 'hono';
import * as z from 'zod';
import type { PlanFile, PlanProblem } from '../../kind.ts';
import { type InputError, inputProblem, Problem } from '../problem.ts';
import { mediaType, type Route, readJson, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { boardParams } from './forms.ts';

const MOST_FILES = 50;

const fileName = z.string().regex(/^[\p{L}\p{N} ._()›-]{1,120}$/u);
const matchingSchema = z.object({
  kind: z.string().max(40),
  columns: z.array(z.string().max(120).nullable()).max(500),
});
const filesSchema = z.object({
  files: z
    .array(
      z.union([
        z.object({ name: fileName, text: z.string(), matching: matchingSchema.optional() }),
        z.object({
          name: fileName,
          rows: z.array(z.array(z.string())),
          matching: matchingSchema.optional(),
        }),
      ]),
    )
    .min(1)
    .max(MOST_FILES),
});
const sheetSchema = z.object({
  table: z.string(),
  title: z.string(),
  rows: z.array(z.array(z.string())).describe('The first is the header'),
});

/** Taking in a plan. */
export function planRoutes(services: Services): readonly Route[] {
  const { kind } = services;
  return [
    route({
      method: 'POST',
      path: '/api/boards/:board/import',
      access: 'runner',
      summary:
        'Takes in plan files: one as text/csv (its name by `?name=`), several as multipart/form-data or JSON `{files: [{name, text or rows, matching?}]}`, where a matching says what the columns hold. Nothing is written unless all is right, and nothing at all with `?dry=1`',
      params: boardParams,
      query: z.object({ name: fileName.default('plan.csv'), dry: z.enum(['0', '1']).default('0') }),
      media: ['text/csv', 'application/json', 'multipart/form-data'],
      answer: {
        status: 200,
        schema: z.object({ values: z.int().describe('How many values were written, or would be') }),
      },
      problems: [422, 503],
      handle: async ({ params, query, who, c }) => {
        const board = await boardOf(services, params.board);
        const files = await readFiles(c, query.name);
        const reading = await board.read(({ state }) => kind.readPlan(files, state));
        if (reading.kind === 'wrong') {
          throw new Problem(422, 'The plan was not taken in: some of it is not right.', {
            errors: reading.problems.map(inputError),
          });
        }
        if (reading.values.length > 0 && query.dry === '0') {
          await board.write(who.kind === 'session' ? who.session.person : null, reading.values);
        }
        return { values: reading.values.length };
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/plan',
      access: 'reader',
      summary:
        'The plan of a board as sheets in the form that is taken in; reading them back changes nothing',
      params: boardParams,
      answer: { status: 200, schema: z.object({ sheets: z.array(sheetSchema) }) },
      problems: [503],
      handle: async ({ params }) => {
        const board = await boardOf(services, params.board);
        return { sheets: await board.read(({ state }) => kind.writePlan(state)) };
      },
    }),
  ];
}

/** A place in a file is written as compilers do: `setups.csv:7:3`. */
function inputError({ file, line, column, message }: PlanProblem): InputError {
  if (line === 0) return { path: file, message };
  return { path: `${file}:${line}:${column}`, message, line, column };
}

async function readFiles(c: Context, name: string): Promise<readonly PlanFile[]> {
  switch (mediaType(c)) {
    case 'text/csv':
      return [{ name, text: new Uint8Array(await c.req.arrayBuffer()) }];
    case 'application/json': {
      const parsed = filesSchema.safeParse(await readJson(c));
      if (!parsed.success) throw inputProblem(parsed.error, '');
      return parsed.data.files;
    }
    case 'multipart/form-data':
      return readForm(c);
    default:
      throw new Problem(415, 'A plan comes as text/csv, application/json or multipart/form-data.');
  }
}

async function readForm(c: Context): Promise<readonly PlanFile[]> {
  const form = await c.req.formData().catch(() => {
    throw new Problem(400, 'The form could not be read.');
  });
  const files: PlanFile[] = [];
  for (const value of form.values()) {
    if (!(value instanceof File)) throw new Problem(400, 'Every part of the form must be a file.');
    const name = fileName.safeParse(value.name);
    if (!name.success) throw inputProblem(name.error, 'name');
    files.push({ name: name.data, text: new Uint8Array(await value.arrayBuffer()) });
  }
  if (files.length === 0 || files.length > MOST_FILES)
    throw new Problem(400, `Between 1 and ${MOST_FILES} files.`);
  return files;
}
