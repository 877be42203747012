import type { Context } from 'hono';
import { HTTPException } from 'hono/http-exception';
import * as z from 'zod';
import { InviteGone } from '../accounts/writes.ts';
import { NotStored } from '../board/board.ts';
import { AtCapacity } from '../capacity.ts';
import { FleetAway } from '../cluster/accounts/errors.ts';
import { KeptElsewhere } from '../mirror/refusals.ts';

/** What is wrong with one part of the input. */
export interface InputError {
  readonly path: string;
  readonly message: string;
  /** Where it stands in a file that was sent, counted from 1. */
  readonly line?: number;
  readonly column?: number;
}

/** An error as RFC 9457 tells it. */
export const problemSchema = z.object({
  type: z.string().describe('A name for this kind of problem'),
  title: z.string(),
  status: z.int(),
  detail: z.string(),
  errors: z
    .array(
      z.object({
        path: z.string(),
        message: z.string(),
        line: z.int().optional(),
        column: z.int().optional(),
      }),
    )
    .optional(),
});

const TITLES = {
  400: 'Bad input',
  401: 'Not signed in',
  403: 'Not allowed',
  404: 'Not found',
  405: 'Method not allowed',
  409: 'Not in agreement',
  413: 'Too large',
  415: 'Unsupported media type',
  422: 'Not possible',
  426: 'Upgrade required',
  429: 'Too many requests',
  500: 'Internal error',
  503: 'Cannot do that right now',
  507: 'No room left',
} as const;

export type ProblemStatus = keyof typeof TITLES;

/** Thrown by a handler to answer with a problem. */
export class Problem extends Error {
  override readonly name = 'Problem';
  readonly status: ProblemStatus;
  readonly errors: readonly InputError[];
  readonly headers: Readonly<Record<string, string>>;

  /** @param detail a sentence for people */
  constructor(
    status: ProblemStatus,
    detail: string,
    more: {
      readonly errors?: readonly InputError[];
      readonly headers?: Readonly<Record<string, string>>;
    } = {},
  ) {
    super(detail);
    this.status = status;
    this.errors = more.errors ?? [];
    this.headers = more.headers ?? {};
  }
}

/** The answer that tells a problem. */
export function problemResponse(problem: Problem): Response {
  const { status, message: detail, errors, headers } = problem;
  const title = TITLES[status];
  const type = `urn:plumbline:problem:${title.toLowerCase().replaceAll(' ', '-')}`;
  const body = { type, title, status, detail, ...(errors.length > 0 ? { errors } : {}) };
  return new Response(JSON.stringify(body), {
    status,
    headers: { 'content-type': 'application/problem+json', 'cache-control': 'no-store', ...headers },
  });
}

/** Answers whatever a handler threw. What was not foreseen is told to `report` and not to the client. */
export function answerError(error: unknown, c: Context, report: (error: unknown) => void): Response {
  if (error instanceof NotStored) return withHeaders(problemResponse(new Problem(503, error.message)), c);
  if (error instanceof FleetAway) return withHeaders(problemResponse(new Problem(503, error.message)), c);
  if (error instanceof InviteGone) return withHeaders(problemResponse(new Problem(403, error.message)), c);
  if (error instanceof AtCapacity) {
    const headers = { 'retry-after': '10' };
    return withHeaders(problemResponse(new Problem(503, error.message, { headers })), c);
  }
  if (error instanceof KeptElsewhere) return withHeaders(problemResponse(new Problem(403, error.message)), c);
  if (error instanceof Problem) return withHeaders(problemResponse(error), c);
  if (error instanceof HTTPException) {
    const known = Object.keys(TITLES)
      .map(Number)
      .find((status): status is ProblemStatus => status === error.status);
    if (known) return withHeaders(problemResponse(new Problem(known, error.message || TITLES[known])), c);
  }
  report(error);
  return withHeaders(problemResponse(new Problem(500, 'Something went wrong at the base.')), c);
}

/** A bad input as a problem; `root` names the part that it came in. */
export function inputProblem(error: z.ZodError, root: string): Problem {
  const errors = error.issues.slice(0, 50).map((issue) => ({
    path: [root, ...issue.path.map(String)].filter(Boolean).join('.'),
    message: issue.message,
  }));
  return new Problem(400, 'The request does not have the form that this call asks for.', { errors });
}

function withHeaders(response: Response, c: Context): Response {
  for (const [name, value] of c.res.headers)
    if (!response.headers.has(name)) response.headers.set(name, value);
  return response;
}
