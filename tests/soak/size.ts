import { seedOf } from '../support/random.ts';

/** Whether the whole of it is run (`npm run soak`) or the share that belongs to every `npm test`. */
export const IS_WHOLE = process.env.PLUMBLINE_SOAK === 'whole';

/** How much of something is done. */
export function size(whole: number, share: number): number {
  return IS_WHOLE ? whole : share;
}

/** How long the test runner waits, ms; only so that a run that hangs ends. */
export const PATIENCE_MS = IS_WHOLE ? 3 * 60 * 60 * 1000 : 300_000;

/** The seed of a soak, the same for all of them unless another is asked for. */
export const SEED = seedOf(20_300_601);

/** Prints a line of figures, in the whole run only. */
export function tell(line: string): void {
  if (IS_WHOLE) console.log(line);
}
