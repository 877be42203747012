import type { Context } from 'hono';
import * as z from 'zod';
import { answerSchema, BatchDamaged } from '../../mirror/batch.ts';
import { MIRROR_REFUSALS, MirrorRefused } from '../../mirror/refusals.ts';
import type { KeptMirror } from '../../mirror/store.ts';
import { mirrorOf, unknownKey } from '../mirrored.ts';
import { Problem } from '../problem.ts';
import { type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { boardParams, idSchema, nameSchema } from './forms.ts';
import { refusal } from './photos.ts';

/** A batch is bounded by its rows; one edit with all that the base derived from it may be large. */
const MOST_BATCH_BYTES = 4 * 1024 * 1024;
const MOST_PIECE_BYTES = 64 * 1024;
const MEDIA = ['application/octet-stream'];
const HASH_BYTES = 32;

const lag = {
  asOf: z
    .number()
    .nullable()
    .describe(
      'The copy is as the board stood at this moment, ms since 1970 on the clock of the base that it comes from; null: nothing has come',
    ),
  behindMs: z.number().nullable().describe('How long ago that was'),
  rowsBehind: z.int().describe('Rows that are known of there and are not here'),
};
const stateSchema = z.object({
  kind: z.enum(['starting', 'following', 'cut', 'refused']),
  since: z.number().optional(),
  why: z.string().optional(),
  words: z.string().optional(),
});
const sentSchema = z.object({
  board: z.string(),
  url: z.string(),
  state: stateSchema,
  seq: z.int().nullable().describe('The last row that the other base has on disk'),
  heardAt: z.number().nullable(),
  rowsBehind: z.int(),
  photosWaiting: z.int(),
});
const keySchema = z.string().regex(/^[\w-]{16,200}$/);

/** Boards that are kept here for other bases, and boards of this base that others keep. */
export function mirrorRoutes(services: Services): readonly Route[] {
  const { mirrors, photoLimits } = services;
  return [
    route({
      method: 'POST',
      path: '/api/mirrors',
      access: 'admin',
      summary:
        'Makes a mirror for a board of another base. Its keys are told this once: `key` for that base, `directorKey` for its director, who takes the mirror into use if that base is lost',
      body: z.object({ title: nameSchema }),
      answer: {
        status: 201,
        schema: z.object({ id: z.string(), key: z.string(), directorKey: z.string() }),
      },
      handle: async ({ body }) => mirrors.accept(body.title),
    }),
    route({
      method: 'GET',
      path: '/api/mirrors',
      access: 'admin',
      summary: 'Lists the mirrors that are kept here, and those that boards of this base are sent to',
      answer: {
        status: 200,
        schema: z.object({
          kept: z.array(
            z.object({
              id: z.string(),
              title: z.string(),
              board: z.string().nullable(),
              madeAt: z.number(),
              revokedAt: z.number().nullable(),
              promotedAt: z.number().nullable(),
              ...lag,
            }),
          ),
          sent: z.array(sentSchema),
        }),
      },
      handle: async () => ({ kept: mirrors.kept, sent: mirrors.sent }),
    }),
    route({
      method: 'DELETE',
      path: '/api/mirrors/:mirror/key',
      access: 'admin',
      summary:
        'Revokes the key of a mirror that is kept here: nothing more is taken with it. What has come stays',
      params: z.object({ mirror: idSchema }),
      answer: { status: 204 },
      handle: async ({ params }) => {
        if (!mirrors.revoke(params.mirror)) throw new Problem(404, 'There is no such mirror.');
      },
    }),
    route({
      method: 'POST',
      path: '/api/mirror/rows',
      access: 'mirror',
      summary:
        'Takes rows of a board’s log from the base that writes it (mirror key as Bearer): a line of JSON, then the rows, deflated. The answer says what is on disk. 409 names in `errors[0].path` why nothing more is taken',
      media: MEDIA,
      maxBytes: MOST_BATCH_BYTES,
      answer: { status: 200, schema: answerSchema },
      problems: [401, 409, 422, 503],
      handle: ({ c }) => asMirror(services, c, async (mirror) => mirrors.take(mirror, await bodyOf(c))),
    }),
    route({
      method: 'POST',
      path: '/api/mirror/photos',
      access: 'mirror',
      summary:
        'Which of these pictures a mirror lacks (mirror key as Bearer): SHA-256 sums of 32 bytes one after the other; the answer names them by place',
      media: MEDIA,
      maxBytes: MOST_PIECE_BYTES,
      answer: { status: 200, schema: z.object({ lacks: z.array(z.int()) }) },
      problems: [401, 409],
      handle: ({ c }) =>
        asMirror(services, c, async (mirror) => {
          const bytes = Buffer.from(await bodyOf(c));
          const hashes = Array.from({ length: Math.floor(bytes.length / HASH_BYTES) }, (_, index) =>
            bytes.subarray(index * HASH_BYTES, (index + 1) * HASH_BYTES).toString('hex'),
          );
          return { lacks: await mirrors.lacks(mirror, hashes) };
        }),
    }),
    route({
      method: 'PUT',
      path: '/api/mirror/photos/:hash',
      access: 'mirror',
      summary:
        'A piece of a picture for a mirror (mirror key as Bearer), where it fits the end of what is here; the answer says how much that is',
      params: z.object({ hash: z.string().regex(/^[0-9a-f]{64}$/) }),
      query: z.object({
        from: z.coerce.number().int().min(0),
        size: z.coerce.number().int().min(1),
      }),
      media: MEDIA,
      maxBytes: MOST_PIECE_BYTES,
      answer: { status: 200, schema: z.object({ have: z.int(), isWhole: z.boolean() }) },
      problems: [401, 409, 422, 507],
      handle: ({ params, query, c }) =>
        asMirror(services, c, async (mirror) => {
          const outcome = await mirrors.piece(mirror, params.hash, { ...query, bytes: await bodyOf(c) });
          if (outcome.kind === 'refused') throw refusal(outcome.outcome, photoLimits.photoBytes);
          return { have: outcome.have, isWhole: outcome.isWhole };
        }),
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/mirror',
      access: 'reader',
      summary:
        'Whether this board is kept elsewhere and how far its copy here is, or where the copy of a board that is kept here is sent',
      params: boardParams,
      answer: {
        status: 200,
        schema: z.object({ kept: z.enum(['here', 'elsewhere']), ...lag, sent: sentSchema.nullable() }),
      },
      handle: async ({ params: { board } }) =>
        mirrors.isElsewhere(board)
          ? { kept: 'elsewhere', ...mirrors.standing(board), sent: null }
          : { kept: 'here', asOf: null, behindMs: null, rowsBehind: 0, sent: mirrors.sentOf(board) },
    }),
    route({
      method: 'PUT',
      path: '/api/boards/:board/mirror',
      access: 'admin',
      summary: 'Sends a board, with all that stands on it, to a mirror on another base from now on',
      params: boardParams,
      body: z.object({
        url: z.string().max(500),
        key: keySchema,
        certificate: z.string().max(30_000).optional(),
      }),
      answer: { status: 204 },
      problems: [422, 503],
      handle: async ({ params, body }) => {
        await boardOf(services, params.board);
        try {
          mirrors.add(params.board, body.url, body.key, body.certificate);
        } catch (error) {
          throw new Problem(422, error instanceof Error ? error.message : 'That cannot be used.');
        }
      },
    }),
    route({
      method: 'DELETE',
      path: '/api/boards/:board/mirror',
      access: 'admin',
      summary: 'Sends a board nowhere any more, and forgets the key',
      params: boardParams,
      answer: { status: 204 },
      handle: async ({ params }) => {
        if (!mirrors.remove(params.board)) throw new Problem(404, 'This board is sent nowhere.');
      },
    }),
    route({
      method: 'POST',
      path: '/api/boards/:board/promote',
      access: 'open',
      summary:
        'Takes a mirror into use as a board of its own, in a new epoch, by its director’s key. The keys and all invites from before open nothing any more',
      params: boardParams,
      body: z.object({ directorKey: keySchema }),
      answer: {
        status: 200,
        schema: z.object({
          epoch: z.string(),
          rows: z.int().describe('The last row that had come'),
          invites: z.record(z.string(), z.string()),
          ...lag,
        }),
      },
      problems: [403, 503],
      handle: async ({ params, body }) => {
        const promotion = await mirrors.promote(params.board, body.directorKey);
        if (!promotion) throw new Problem(403, 'This is not the director’s key of a mirror of this board.');
        return promotion;
      },
    }),
  ];
}

/** Does something for whoever shows the key of a mirror; nothing of the body is read before that is known. */
async function asMirror<T>(
  services: Services,
  c: Context,
  act: (mirror: KeptMirror) => Promise<T>,
): Promise<T> {
  const mirror = mirrorOf(services, c);
  try {
    return await act(mirror);
  } catch (error) {
    if (error instanceof BatchDamaged) throw problemOf(422, 'damaged');
    if (!(error instanceof MirrorRefused)) throw error;
    throw error.why === 'key' ? unknownKey() : problemOf(409, error.why);
  }
}

function problemOf(status: 409 | 422, why: keyof typeof MIRROR_REFUSALS): Problem {
  const message = MIRROR_REFUSALS[why];
  return new Problem(status, message, { errors: [{ path: why, message }] });
}

async function bodyOf(c: Context): Promise<Uint8Array> {
  return new Uint8Array(await c.req.arrayBuffer());
}
