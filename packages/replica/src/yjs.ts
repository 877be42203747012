import * as Yjs from './yjsParts.ts';

/** Yjs, where the documents themselves are worked with. A page takes `yjsLate.ts` for this: a quarter of its code less at first. */
export const yjs = (): typeof Yjs => Yjs;

/** Whether it is here. */
export const hasYjs = (): boolean => true;

/** Fetches it where it is not here. @throws where it cannot be fetched now */
export const loadYjs = async (): Promise<void> => {};
