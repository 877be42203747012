import type { Context } from 'hono';
import * as z from 'zod';
import { Allowances } from '../../allowances.ts';
import { PHOTO_TYPES, type PhotoType } from '../../photos/media.ts';
import type { PhotoOutcome } from '../../photos/store.ts';
import { Problem } from '../problem.ts';
import { mediaType, type Route, route } from '../route.ts';
import { boardOf, type Services } from '../services.ts';
import { idSchema } from './forms.ts';

const photoParams = z.object({
  board: idSchema,
  hash: z
    .string()
    .regex(/^[0-9a-f]{64}$/)
    .describe('SHA-256 of the picture’s bytes'),
});

/** What a body may be longer than a picture: then the picture itself is refused, with its own words. */
const SPARE_BYTES = 64 * 1024;

/** Thrown where a picture stops in the middle. */
class Interrupted extends Error {
  override readonly name = 'Interrupted';
}

/** Photographs and sketches, by what they hold. */
export function photoRoutes(services: Services): readonly Route[] {
  const { photos, photoLimits, clock } = services;
  const allowances = new Allowances(photoLimits.perSecond, photoLimits.burst);
  return [
    route({
      method: 'PUT',
      path: '/api/boards/:board/photos/:hash',
      access: 'writer',
      summary: `Keeps a picture of at most ${photoLimits.photoBytes} bytes under the SHA-256 of its bytes; 201 where it is new, 200 where it was there. What is known of it stands in the table \`photos\``,
      params: photoParams,
      media: PHOTO_TYPES,
      maxBytes: photoLimits.photoBytes + SPARE_BYTES,
      answer: { status: 201, schema: z.object({ hash: z.string() }) },
      problems: [422, 429, 503, 507],
      handle: async ({ params, who, c }) => {
        const { board, hash } = params;
        await boardOf(services, board);
        const said = saidType(c);
        const session = who.kind === 'session' ? who.session : null;
        if (!allowances.of(session?.id ?? '', clock.now()).take(clock.now())) {
          throw new Problem(429, 'Too many pictures at once: wait a moment.', {
            headers: { 'retry-after': '10' },
          });
        }
        const outcome = await photos.put(board, hash, said, piecesOf(c)).catch((error: unknown) => {
          if (error instanceof Interrupted) throw new Problem(400, 'The picture did not arrive whole.');
          throw error;
        });
        if (outcome === 'known') return c.json({ hash }, 200);
        if (outcome === 'stored') return { hash };
        throw refusal(outcome, photoLimits.photoBytes);
      },
    }),
    route({
      method: 'GET',
      path: '/api/boards/:board/photos/:hash',
      access: 'member',
      summary: 'A picture of the board by the SHA-256 of its bytes. It never changes',
      params: photoParams,
      answer: { status: 200, media: 'image/jpeg' },
      handle: async ({ params }) => {
        const picture = await photos.get(params.board, params.hash);
        if (!picture) throw new Problem(404, 'This picture is not here yet.');
        return new Response(picture.bytes, {
          headers: {
            'content-type': picture.type,
            'cache-control': 'private, max-age=31536000, immutable',
            'x-content-type-options': 'nosniff',
          },
        });
      },
    }),
  ];
}

function saidType(c: Context): PhotoType {
  const said = PHOTO_TYPES.find((type) => type === mediaType(c));
  if (said) return said;
  throw new Problem(415, 'A picture comes as JPEG, PNG or WebP.');
}

/** The body as it comes in. @throws Interrupted */
async function* piecesOf(c: Context): AsyncGenerator<Uint8Array> {
  const reader = c.req.raw.body?.getReader();
  if (!reader) return;
  try {
    for (;;) {
      const { done, value } = await reader.read().catch(() => {
        throw new Interrupted();
      });
      if (done) return;
      yield value;
    }
  } finally {
    await reader.cancel().catch(() => {});
  }
}

/** A picture that is not kept, as a problem. */
export function refusal(outcome: Exclude<PhotoOutcome, 'stored' | 'known'>, photoBytes: number): Problem {
  switch (outcome) {
    case 'other':
      return new Problem(
        422,
        'These are not the bytes that the address names: the picture did not arrive whole.',
      );
    case 'notPicture':
      return new Problem(415, 'This is not a picture of the kind that it is said to be.');
    case 'tooLarge':
      return new Problem(413, `The picture is larger than ${photoBytes} bytes.`);
    case 'boardFull':
      return new Problem(507, 'This board has used up the room for its pictures.');
    case 'diskFull':
      return new Problem(507, 'The base has no room left for pictures.');
  }
}
