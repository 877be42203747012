import type { Item } from '../../board/turn.ts';
import { type Bus, NobodyAnswers, type NodeId } from '../port.ts';
import type { Errands } from './errands.ts';
import { decode, encode, replySchema, SUBJECTS } from './messages.ts';

/** How long the node that decides may take for an answer, ms: as long as the engine may keep it waiting. */
const REPLY_MS = 8000;

/** An edit that the node that decides says is in the line. */
export type EditInLine = Extract<Item, { readonly kind: 'edit' }>;

/** What came of giving what waits to the node that decides. */
export type Forwarded =
  | {
      readonly kind: 'told';
      readonly items: number;
      readonly inLine: readonly EditInLine[];
      /** Whether all of them were taken. */
      readonly isAll: boolean;
    }
  /** It does not decide that board, or is finding out. */
  | { readonly kind: 'notMine' | 'wait' }
  /** Nobody listens there, or said nothing in time. */
  | { readonly kind: 'nobody' | 'late' };

/**
 * Gives what waits to the node that decides, and takes in what it says, unless that has been overtaken meanwhile.
 *
 * @returns `null` where it has been overtaken
 */
export async function forward(
  to: NodeId,
  board: string,
  errands: Errands,
  bus: Bus,
  isOvertaken: () => boolean,
): Promise<Forwarded | null> {
  const sent = errands.next();
  const ask = { from: bus.node, board, items: sent.map(({ asked }) => asked) };
  const answer = await bus.request(SUBJECTS.edits(to), encode(ask), REPLY_MS).catch((error: unknown) => {
    if (error instanceof NobodyAnswers) return error.why;
    throw error;
  });
  if (isOvertaken()) return null;
  const reply = typeof answer === 'string' ? { kind: answer } : decode(replySchema, answer);
  if (reply?.kind !== 'done') {
    errands.unsend();
    return reply ?? { kind: 'notMine' };
  }
  const { results } = reply;
  const inLine = sent.flatMap(
    ({ id }, index) => errands.told(id, results[index] ?? { kind: 'failed' }) ?? [],
  );
  return { kind: 'told', items: sent.length, inLine, isAll: results.every(({ kind }) => kind !== 'passed') };
}
