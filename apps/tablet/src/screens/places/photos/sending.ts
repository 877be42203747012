import * as z from 'zod/mini';
import type { PictureRow } from './kept.ts';

/** What became of a picture that was sent to the base. */
export type SendAnswer =
  | { readonly kind: 'stored' }
  /** It will not be taken, however often it is sent. */
  | { readonly kind: 'refused'; readonly reason: string }
  /** The base cannot take it now, or is not there. */
  | { readonly kind: 'later' };

/** Sends one picture. */
export type Send = (row: PictureRow) => Promise<SendAnswer>;

const FOR_GOOD: ReadonlySet<number> = new Set([400, 413, 415, 422]);
const SEND_MS = 90_000;
const problemSchema = z.object({ detail: z.string() });

/** The address of a picture at the base. */
export function pictureAddress(board: string, hash: string): string {
  return `/api/boards/${board}/photos/${hash}`;
}

/** Sends a picture to the base that this page came from. */
export async function sendPicture(row: PictureRow, ask: typeof fetch = fetch): Promise<SendAnswer> {
  try {
    const answer = await ask(pictureAddress(row.board, row.hash), {
      method: 'PUT',
      headers: { 'content-type': row.type },
      body: row.bytes,
      signal: AbortSignal.timeout(SEND_MS),
    });
    if (answer.ok) return { kind: 'stored' };
    if (!FOR_GOOD.has(answer.status)) return { kind: 'later' };
    const problem = z.safeParse(problemSchema, await answer.json().catch(() => null));
    return {
      kind: 'refused',
      reason: problem.success ? problem.data.detail : `The base answered ${answer.status}.`,
    };
  } catch {
    // no base, or no network
    return { kind: 'later' };
  }
}
