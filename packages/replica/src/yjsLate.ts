import type * as Yjs from './yjsParts.ts';

let here: typeof Yjs | null = null;

/** Yjs, which has been waited for. */
export function yjs(): typeof Yjs {
  if (!here) throw new Error('Yjs is not here yet');
  return here;
}

/** Whether it is here. */
export const hasYjs = (): boolean => here !== null;

/** Fetches it where it is not here. @throws where it cannot be fetched now */
export async function loadYjs(): Promise<void> {
  here ??= await import('./yjsParts.ts');
}
