import * as z from 'zod/mini';
import { localNotes, readNote, writeNote } from './device.ts';
import { memberKey } from './keys.ts';

/** Who somebody is on a board, as the base said at joining. The session itself is in a cookie that scripts cannot read. */
const membershipSchema = z.object({
  boardId: z.string(),
  personId: z.string(),
  role: z.string(),
  name: z.string(),
});

export type Membership = z.infer<typeof membershipSchema>;

const joinAnswerSchema = z.object({ boardId: z.string(), personId: z.string(), role: z.string() });
const problemSchema = z.object({ title: z.optional(z.string()), detail: z.optional(z.string()) });

const LAST_PLACE = 'plumbline.place';
const WANTED = 'plumbline.wanted';

/** Who this device's person is on a board; `null` where nobody has joined it here. */
export function membershipOf(board: string): Membership | null {
  return readNote(localNotes, memberKey(board), membershipSchema);
}

/** Forgets that somebody joined: the session has ended. */
export function forgetMembership(board: string): void {
  writeNote(localNotes, memberKey(board), null);
}

/** Keeps where the person was, so that opening the app again, or the board again, leads back there. */
export function rememberAddress(board: string, address: string): void {
  writeNote(localNotes, LAST_PLACE, address);
  writeNote(localNotes, `${LAST_PLACE}.${board}`, address);
}

/** The address kept last: of one board, or of all. */
export function lastAddress(board?: string): string | null {
  return readNote(localNotes, board === undefined ? LAST_PLACE : `${LAST_PLACE}.${board}`, z.string());
}

/** Keeps the address of a link that could not be followed yet, since nobody has joined that board on this device. */
export function wantAddress(board: string, address: string): void {
  writeNote(localNotes, `${WANTED}.${board}`, address);
}

/** The address that was wanted on a board; asked once, since then it was followed. */
export function takeWanted(board: string): string | null {
  const wanted = readNote(localNotes, `${WANTED}.${board}`, z.string());
  writeNote(localNotes, `${WANTED}.${board}`, null);
  return wanted;
}

export type JoinOutcome =
  | { readonly kind: 'joined'; readonly membership: Membership }
  | { readonly kind: 'failed'; readonly sentence: string };

/** Joins a board by an invite. The answer sets the session cookie. */
export async function join(invite: string, name: string, ask: typeof fetch = fetch): Promise<JoinOutcome> {
  let response: Response;
  try {
    response = await ask('/api/join', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ invite, name }),
    });
  } catch {
    return { kind: 'failed', sentence: 'The base cannot be reached. Are you on its network?' };
  }
  const body: unknown = await response.json().catch(() => null);
  if (!response.ok) {
    const problem = z.safeParse(problemSchema, body);
    const said = problem.success ? (problem.data.detail ?? problem.data.title) : undefined;
    return { kind: 'failed', sentence: said ?? `The base answered ${response.status}.` };
  }
  const answer = z.safeParse(joinAnswerSchema, body);
  if (!answer.success)
    return { kind: 'failed', sentence: 'The base gave an answer that this page does not know.' };
  const membership = { ...answer.data, name };
  writeNote(localNotes, memberKey(membership.boardId), membership);
  return { kind: 'joined', membership };
}

/** Asks the base whom the session cookie of this browser belongs to; `null` where there is none, or no base. */
export async function askMembership(ask: typeof fetch = fetch): Promise<Membership | null> {
  try {
    const response = await ask('/api/session');
    const answer = response.ok ? z.safeParse(membershipSchema, await response.json()) : null;
    if (!answer?.success) return null;
    writeNote(localNotes, memberKey(answer.data.boardId), answer.data);
    return answer.data;
  } catch {
    return null;
  }
}
