import * as z from 'zod';

const ID = /^[A-Za-z0-9_-]{1,40}$/;

/** An id in a path. */
export const idSchema = z.string().regex(ID);

/** A name or title as people write it: some visible characters, none that control a terminal. */
export const nameSchema = z
  .string()
  .transform((name) => name.normalize('NFC').trim())
  .pipe(
    z
      .string()
      .min(1)
      .max(60)
      .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]+$/u, 'must not hold control characters'),
  );

export const boardParams = z.object({ board: idSchema });
export const jsonValueSchema = z.json();
