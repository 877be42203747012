import { parseStrictJson } from '@plumbline/replica';
import type { Context } from 'hono';
import * as z from 'zod';
import { inputProblem, Problem, type ProblemStatus } from './problem.ts';
import type { Access, Who } from './who.ts';

export type Method = 'GET' | 'POST' | 'PUT' | 'DELETE';

/** One call of the HTTP surface: served, documented and tested from this one entry. */
export interface Route {
  readonly method: Method;
  /** In Hono's form: `/api/boards/:board/view`. */
  readonly path: string;
  readonly access: Access;
  readonly summary: string;
  readonly params: z.ZodObject;
  readonly query: z.ZodObject;
  /** The JSON body; `null` for none, a list of media types for one that the handler reads itself. */
  readonly body: z.ZodType | readonly string[] | null;
  /** How large a body may be; `null` for what the base takes at large. */
  readonly maxBytes: number | null;
  readonly answer: {
    readonly status: 200 | 201 | 204;
    readonly media: string;
    readonly schema: z.ZodType | null;
  };
  readonly problems: readonly ProblemStatus[];
  readonly handle: (c: Context, who: Who) => Promise<Response>;
}

interface RouteSpec<P extends z.ZodObject, Q extends z.ZodObject, B> {
  readonly method: Method;
  readonly path: string;
  readonly access: Access;
  readonly summary: string;
  readonly params?: P;
  readonly query?: Q;
  readonly body?: z.ZodType<B>;
  /** Media types of a body that the handler reads itself. */
  readonly media?: readonly string[];
  /** How large a body may be, where that is not what the base takes at large. */
  readonly maxBytes?: number;
  readonly answer: { readonly status: 200 | 201 | 204; readonly schema?: z.ZodType; readonly media?: string };
  readonly problems?: readonly ProblemStatus[];
  readonly handle: (input: {
    readonly params: z.output<P>;
    readonly query: z.output<Q>;
    readonly body: B;
    readonly who: Who;
    readonly c: Context;
  }) => Promise<unknown>;
}

const nothing = z.object({});

/** Declares a call. The handler gets parsed input and returns what is told as JSON, or a whole response. */
export function route<
  P extends z.ZodObject = typeof nothing,
  Q extends z.ZodObject = typeof nothing,
  B = undefined,
>(spec: RouteSpec<P, Q, B>): Route {
  const { method, path, access, summary, params, query, body, media, answer, problems = [] } = spec;
  const handle = async (c: Context, who: Who): Promise<Response> => {
    const input = {
      params: parsePart(params, c.req.param(), 404),
      query: parsePart(query, c.req.query(), 400),
      body: await readBody(body, c),
    };
    // Each part was parsed by the schema that its type is inferred from; a part without a schema is empty.
    const told = await spec.handle({
      ...(input as { params: z.output<P>; query: z.output<Q>; body: B }),
      who,
      c,
    });
    if (told instanceof Response) return told;
    if (answer.status === 204) return c.body(null, 204);
    return c.json(told as object, answer.status);
  };
  return {
    method,
    path,
    access,
    summary,
    params: params ?? nothing,
    query: query ?? nothing,
    body: body ?? media ?? null,
    maxBytes: spec.maxBytes ?? null,
    answer: {
      status: answer.status,
      media: answer.media ?? 'application/json',
      schema: answer.schema ?? null,
    },
    problems,
    handle,
  };
}

function parsePart(schema: z.ZodObject | undefined, given: unknown, status: 400 | 404): unknown {
  if (!schema) return {};
  const parsed = schema.safeParse(given);
  if (parsed.success) return parsed.data;
  if (status === 404) throw new Problem(404, 'There is no such thing here.');
  throw inputProblem(parsed.error, '');
}

async function readBody(schema: z.ZodType | undefined, c: Context): Promise<unknown> {
  if (!schema) return undefined;
  if (mediaType(c) !== 'application/json') throw new Problem(415, 'The body must be application/json.');
  const parsed = schema.safeParse(await readJson(c));
  if (!parsed.success) throw inputProblem(parsed.error, '');
  return parsed.data;
}

/** Reads a JSON body. @throws Problem where it is none */
export async function readJson(c: Context): Promise<unknown> {
  try {
    return parseStrictJson(await c.req.text());
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    throw new Problem(400, `The body is not JSON: ${error.message}.`);
  }
}

/** The media type of the body, without parameters. */
export function mediaType(c: Context): string {
  return (c.req.header('content-type') ?? '').split(';')[0]?.trim().toLowerCase() ?? '';
}
