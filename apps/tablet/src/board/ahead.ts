import type { WholeBoard } from '@plumbline/replica';
import { isNoted, keptKey } from '../app/keys.ts';
import { fetchWhole } from './socket.ts';

/** A board that was asked for before the code that reads it was here. */
interface Asked {
  readonly board: string;
  readonly coming: Promise<WholeBoard | null>;
}

let asked: Asked | null = null;

/** Asks the base for a board that this device has no copy of, while the code that reads it is still being fetched. */
export function askAhead(board: string): void {
  if (asked?.board === board || isNoted(keptKey(board))) return;
  asked = { board, coming: fetchWhole(new URL(location.href), board).catch(() => null) };
}

/** What was asked for ahead of time, once; `null` where nothing was. */
export function takeAhead(board: string): Promise<WholeBoard | null> | null {
  if (asked?.board !== board) return null;
  const { coming } = asked;
  asked = null;
  return coming;
}

/**
 * What was asked for ahead of time, as soon as it is here; `null` where nothing was or it is long in coming: then it can
 * still be taken.
 */
export async function awaitAhead(board: string, patienceMs: number): Promise<WholeBoard | null> {
  if (asked?.board !== board) return null;
  const { coming } = asked;
  const whole = await Promise.race([
    coming,
    new Promise<null>((resolve) => setTimeout(() => resolve(null), patienceMs)),
  ]);
  if (whole) takeAhead(board);
  return whole;
}
