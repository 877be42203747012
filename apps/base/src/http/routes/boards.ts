import * as z from 'zod';
import { MAX_HISTORY } from '../../log/port.ts';
import { Answers } from '../answers.ts';
import { type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { findingsText, viewText } from '../wholeBoard.ts';
import { boardParams, idSchema, jsonValueSchema, nameSchema } from './forms.ts';

const historyEntrySchema = z.object({
  seq: z.int(),
  at: z.number().describe('ms since 1970 on the base’s clock'),
  personId: z.string().nullable().describe('Who caused it; null for the base alone'),
  writer: z.string(),
  table: z.string(),
  record: z.string(),
  field: z.string(),
  value: jsonValueSchema,
  previous: jsonValueSchema,
  late: z.boolean().describe('A newer value had outrun it, so it never stood on the board'),
});

/** Making a board, and reading one. */
export function boardRoutes(services: Services): readonly Route[] {
  const { accounts, boards, kind, log } = services;
  const views = new Answers((board) => viewText(kind.definition.tables, board));
  const findings = new Answers((board) => findingsText(kind, board));
  return [
    route({
      method: 'POST',
      path: '/api/boards',
      access: 'admin',
      summary:
        'Makes a board and an invite for each role; with `from`, one that starts from the plan and the settings of another',
      body: z.object({ title: nameSchema, from: idSchema.optional() }),
      answer: {
        status: 201,
        schema: z.object({ boardId: z.string(), invites: z.record(z.string(), z.string()) }),
      },
      problems: [404, 503],
      handle: async ({ body }) => {
        boards.admit();
        const source = body.from === undefined ? null : await boardOf(services, body.from);
        const copied = source ? await source.read(({ state }) => kind.copyPlan(state)) : [];
        const { id } = await accounts.createBoard(body.title);
        const board = await boardOf(services, id);
        await boards.putRight(board);
        const values = copied.filter(({ table, field }) => table !== 'shoot' || field !== 'title');
        if (values.length > 0) await board.write(null, values);
        const invites: Record<string, string> = {};
        for (const role of kind.roles) invites[role] = await accounts.rotateInvite(id, role);
        return { boardId: id, invites };
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards',
      access: 'admin',
      summary: 'Lists the boards of this base',
      answer: {
        status: 200,
        schema: z.object({
          boards: z.array(z.object({ id: z.string(), title: z.string(), createdAt: z.number() })),
        }),
      },
      handle: async () => ({ boards: await accounts.boards() }),
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/view',
      access: 'member',
      summary: 'Everything that stands on the board; cleared fields are absent',
      params: boardParams,
      answer: {
        status: 200,
        schema: z.object({
          tables: z.record(z.string(), z.record(z.string(), z.record(z.string(), jsonValueSchema))),
        }),
      },
      problems: [503],
      handle: async ({ params }) => {
        return json(await views.of(await boardOf(services, params.board)));
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/document',
      access: 'member',
      summary:
        'The board’s document as it was kept lately, a Yjs update: for whoever has nothing of it yet. What came since is asked for over the socket',
      params: boardParams,
      answer: { status: 200, media: 'application/octet-stream' },
      problems: [503],
      handle: async ({ params, c }) => {
        const accepted = c.req.header('accept-encoding') ?? '';
        const packing = (['br', 'gzip'] as const).find((how) =>
          new RegExp(`\\b${how}\\b`, 'i').test(accepted),
        );
        const board = await boardOf(services, params.board);
        const { epoch, kept } = await board.read(({ epoch, kept }) => ({ epoch: epoch.id, kept }));
        const bytes = packing ? await kept.packed(packing) : kept.lately();
        return new Response(new Uint8Array(bytes), {
          headers: {
            'content-type': 'application/octet-stream',
            ...(packing ? { 'content-encoding': packing } : {}),
            vary: 'accept-encoding',
            'x-plumbline-epoch': epoch,
          },
        });
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/findings',
      access: 'member',
      summary: 'What does not agree on the board, with what would mend it',
      params: boardParams,
      answer: { status: 200, schema: z.object({ findings: z.array(z.record(z.string(), jsonValueSchema)) }) },
      problems: [503],
      handle: async ({ params }) => {
        return json(await findings.of(await boardOf(services, params.board)));
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/history',
      access: 'member',
      summary:
        'Who set what, newest first, in whole rows. The base’s notes on contested values are told only when asked for by table',
      params: boardParams,
      query: z.object({
        table: z.string().max(40).optional(),
        record: z.string().max(300).optional(),
        field: z.string().max(40).optional(),
        before: z.coerce.number().int().min(1).optional(),
        limit: z.coerce.number().int().min(1).max(MAX_HISTORY).default(100),
      }),
      answer: { status: 200, schema: z.object({ entries: z.array(historyEntrySchema) }) },
      problems: [503],
      handle: async ({ params, query }) => {
        await boardOf(services, params.board);
        const entries = await log.history(params.board, query);
        return { entries: entries.map(({ person: personId, ...entry }) => ({ ...entry, personId })) };
      },
    }),
  ];
}

function json(bytes: Uint8Array): Response {
  return new Response(new Uint8Array(bytes), { headers: { 'content-type': 'application/json' } });
}
