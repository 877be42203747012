import * as z from 'zod';
import { type ProblemStatus, problemSchema } from './problem.ts';
import type { Route } from './route.ts';

type Json = Readonly<Record<string, unknown>>;

const EVERYWHERE: readonly ProblemStatus[] = [500];

/** The OpenAPI 3.1 document of the calls, made from the schemas that they are served by. */
export function openApiDocument(routes: readonly Route[], version: string): Json {
  const paths: Record<string, Record<string, Json>> = {};
  for (const route of routes) {
    const path = route.path.replace(/:(\w+)(?:\{[^}]*\})?/g, '{$1}');
    paths[path] = { ...paths[path], [route.method.toLowerCase()]: operation(route) };
  }
  return {
    openapi: '3.1.0',
    info: { title: 'Plumbline base', version, license: { name: 'MIT', identifier: 'MIT' } },
    paths,
    components: {
      schemas: { Problem: schemaOf(problemSchema) },
      securitySchemes: {
        session: {
          type: 'http',
          scheme: 'bearer',
          description: 'The session that `POST /api/join` returned.',
        },
        cookie: { type: 'apiKey', in: 'cookie', name: 'plumbline_session' },
        admin: { type: 'http', scheme: 'bearer', description: 'The key that the base was started with.' },
        mirror: { type: 'http', scheme: 'bearer', description: 'The key that a mirror was made with.' },
      },
    },
  };
}

function operation(route: Route): Json {
  const { summary, answer, body } = route;
  const content = answer.schema ? { content: { [answer.media]: { schema: schemaOf(answer.schema) } } } : {};
  const problems = [...new Set([...implied(route), ...route.problems, ...EVERYWHERE])].sort();
  return {
    summary,
    parameters: [...parameters(route.params, 'path'), ...parameters(route.query, 'query')],
    ...(body ? { requestBody: { required: true, content: bodyContent(body) } } : {}),
    responses: {
      [answer.status]: { description: 'Done', ...content },
      ...Object.fromEntries(
        problems.map((status) => [
          status,
          {
            description: 'Problem',
            content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
          },
        ]),
      ),
    },
    security: security(route),
  };
}

function implied({ access, body, query, path }: Route): ProblemStatus[] {
  return [
    ...(access === 'open' ? [] : ([401, 403] as const)),
    ...(body || Object.keys(query.shape).length > 0 ? ([400] as const) : []),
    ...(body ? ([413, 415] as const) : []),
    ...(path.includes(':') ? ([404] as const) : []),
  ];
}

function security({ access }: Route): readonly Json[] {
  switch (access) {
    case 'open':
      return [];
    case 'mirror':
      return [{ mirror: [] }];
    case 'admin':
      return [{ admin: [] }];
    case 'session':
    case 'member':
    case 'writer':
      return [{ session: [] }, { cookie: [] }];
    case 'reader':
    case 'runner':
      return [{ session: [] }, { cookie: [] }, { admin: [] }];
    case 'local':
      return [{}, { admin: [] }];
  }
}

function bodyContent(body: z.ZodType | readonly string[]): Json {
  if (body instanceof z.ZodType) return { 'application/json': { schema: schemaOf(body) } };
  return Object.fromEntries(body.map((media) => [media, {}]));
}

function parameters(schema: z.ZodObject, place: 'path' | 'query'): Json[] {
  return Object.entries(schema.shape).map(([name, part]) => ({
    name,
    in: place,
    required: place === 'path',
    schema: part instanceof z.ZodType ? schemaOf(part) : {},
  }));
}

function schemaOf(schema: z.ZodType): Json {
  const { $schema: _, ...rest } = z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' });
  return rest;
}
