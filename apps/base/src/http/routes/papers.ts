import type { Context } from 'hono';
import * as z from 'zod';
import { NoSuchPaper, type PaperAsk, TooManyPapers } from '../../papers/request.ts';
import { standingAt, standingNow } from '../../papers/standing.ts';
import { Problem } from '../problem.ts';
import { type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { boardParams, idSchema } from './forms.ts';

const momentQuery = {
  seq: z.coerce.number().int().min(0).optional().describe('As the board stood after this row of its log'),
  at: z.coerce
    .number()
    .int()
    .min(0)
    .optional()
    .describe('As the board stood at this moment, ms since 1970 on the base’s clock'),
};

const paperQuery = z.object({
  ...momentQuery,
  day: z
    .string()
    .regex(/^\d{4}-\d{2}-\d{2}$/)
    .optional()
    .describe('What belongs to this day; everything where it is left out'),
  scene: idSchema.optional().describe('What belongs to this scene'),
  size: z.enum(['A4', 'LETTER']).default('A4').describe('Page of the PDF'),
});

const handoverQuery = z.object({
  ...momentQuery,
  take: z
    .string()
    .regex(/^[A-Za-z0-9_-]{1,40}\.[1-9]\d{0,3}$/)
    .optional()
    .describe('The take that remarks.vtt is about, as setup.number'),
});

/** The papers and the open forms, for whoever is on the board. */
export function paperRoutes(services: Services): readonly Route[] {
  return [
    route({
      method: 'GET',
      path: '/api/boards/:board/papers/:file',
      access: 'member',
      summary:
        'A paper, as `PAPER.pdf`, `PAPER.csv` or `PAPER.json`: camera, sound, continuity, takes, progress, kit, cards, scouting',
      params: boardParams.extend({ file: z.string().regex(/^[a-z]{1,20}\.(pdf|csv|json)$/) }),
      query: paperQuery,
      answer: { status: 200, media: 'application/pdf' },
      problems: [400, 429, 503],
      handle: ({ params: { board, file }, query, c }) => {
        const { seq, at, ...rest } = query;
        return send(services, c, { board, file, ...rest }, { seq, at });
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/handover/:file',
      access: 'member',
      summary:
        'An open form: `takes.otio` (OpenTimelineIO), `plan.ics` (iCalendar), `remarks.vtt?take=SETUP.N` (WebVTT), `files.md5`, `files.sha256`, `files.xxh64` (checksums of the recorded files, a line each)',
      params: boardParams.extend({
        file: z.string().regex(/^[a-z]{1,20}\.(otio|ics|vtt|md5|sha256|xxh64)$/),
      }),
      query: handoverQuery,
      answer: { status: 200, media: 'text/plain' },
      problems: [400, 429, 503],
      handle: ({ params: { board, file }, query, c }) => {
        const { seq, at, take } = query;
        return send(services, c, { board, file, take, size: 'A4' }, { seq, at });
      },
    }),
  ];
}

interface Asked {
  readonly seq: number | undefined;
  readonly at: number | undefined;
}

async function send(services: Services, c: Context, ask: PaperAsk, { seq, at }: Asked): Promise<Response> {
  const { papers } = services.kind;
  const board = await boardOf(services, ask.board);
  if (!papers) throw new Problem(404, 'There are no papers of this board.');
  if (papers.isFull) throw tooMany();
  if (seq !== undefined && at !== undefined) throw new Problem(400, 'Say seq or at, not both.');
  const standing =
    seq === undefined && at === undefined
      ? await standingNow(board, services.log)
      : await standingAt(board.id, seq === undefined ? { at: at ?? 0 } : { seq }, services);
  if (!standing) throw new Problem(404, 'The board’s log has no such row.');
  const file = await papers.make(ask, standing).catch((error: unknown) => {
    if (error instanceof NoSuchPaper) throw new Problem(404, error.message);
    if (error instanceof TooManyPapers) throw tooMany();
    throw error;
  });
  return c.body(Uint8Array.from(file.bytes).buffer, 200, {
    'content-type': file.media,
    'content-disposition': `attachment; filename="${file.name}"`,
  });
}

function tooMany(): Problem {
  return new Problem(429, new TooManyPapers().message, { headers: { 'retry-after': '2' } });
}
