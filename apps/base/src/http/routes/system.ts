import * as z from 'zod';
import { Problem } from '../problem.ts';
import { type Route, route } from '../route.ts';
import type { Services } from '../services.ts';

/** The disk is not asked more often than this, ms: the call is open to anybody. */
const PROBE_MS = 1000;

const statusSchema = z.object({ status: z.literal('ok') });

/** What runs here and how it does. */
export function systemRoutes(services: Services, openApi: () => unknown): readonly Route[] {
  const { kind, metrics } = services;
  const isWritable = probing(services);
  return [
    route({
      method: 'GET',
      path: '/api/schema',
      access: 'open',
      summary: 'The tables and fields of a board: names, schemas, units, writers',
      answer: { status: 200, schema: z.record(z.string(), z.unknown()) },
      handle: async () => kind.schemaDocument,
    }),
    route({
      method: 'GET',
      path: '/api/openapi.json',
      access: 'open',
      summary: 'This description',
      answer: { status: 200, schema: z.record(z.string(), z.unknown()) },
      handle: async () => openApi(),
    }),
    route({
      method: 'GET',
      path: '/healthz',
      access: 'open',
      summary: 'The base runs',
      answer: { status: 200, schema: statusSchema },
      handle: async () => ({ status: 'ok' }),
    }),
    route({
      method: 'GET',
      path: '/readyz',
      access: 'open',
      summary: 'The base can store',
      answer: { status: 200, schema: statusSchema },
      problems: [503],
      handle: async () => {
        const trouble = services.trouble?.() ?? null;
        if (trouble !== null) throw new Problem(503, trouble);
        if (!(await isWritable())) throw new Problem(503, 'The log cannot be written.');
        return { status: 'ok' };
      },
    }),
    route({
      method: 'GET',
      path: '/metrics',
      access: 'local',
      summary: 'Figures in the Prometheus text format',
      answer: { status: 200, media: 'text/plain', schema: z.string() },
      handle: async ({ c }) =>
        c.body(metrics.text(), 200, { 'content-type': 'text/plain; version=0.0.4; charset=utf-8' }),
    }),
  ];
}

function probing({ log, clock }: Services): () => Promise<boolean> {
  let at = Number.NEGATIVE_INFINITY;
  let answer = Promise.resolve(false);
  return () => {
    if (clock.now() - at >= PROBE_MS) {
      at = clock.now();
      answer = log.probe().then(
        () => true,
        () => false,
      );
    }
    return answer;
  };
}
