import type { Base, BaseOptions } from '@plumbline/base';
import { onTestFinished } from 'vitest';
import { createBoard, joinAs, type Member, type NewBoard, startTestBase } from './base.ts';

/** A base with one toy board and somebody of every role on it. */
export interface Unit {
  readonly base: Base & { readonly dataFolder: string };
  readonly board: NewBoard;
  readonly keeper: Member;
  readonly clerk: Member;
  readonly guest: Member;
}

/** Starts one, which stops with the test. */
export async function startUnit(options: Partial<BaseOptions> = {}): Promise<Unit> {
  const base = await startTestBase(options);
  onTestFinished(base.stop);
  const board = await createBoard(base);
  const keeper = await joinAs(base, board, 'keeper');
  const clerk = await joinAs(base, board, 'clerk');
  const guest = await joinAs(base, board, 'guest');
  return { base, board, keeper, clerk, guest };
}
