/**
 * The board and what camera and recorder really wrote: what a file says of itself, which take it is, where the two
 * differ, and whose word counts.
 *
 * @module
 */
export * from './codecs.ts';
export * from './compare.ts';
export { LEAST_SCORE, MARGIN, nameSaysTake, WEIGHTS } from './evidence.ts';
export { recordingFactsSchema } from './facts.ts';
export * from './folder.ts';
export * from './ids.ts';
export * from './inspect.ts';
export * from './mediaInfo.ts';
export * from './model.ts';
export type { Pair } from './pair.ts';
export { Analyzing, type MediaLibrary, type OpenFile, type Progress, readAll } from './readAll.ts';
export * from './reconcile.ts';
export * from './settle.ts';
export { type Slot, slotsOf, slotWords } from './slots.ts';
export * from './sums.ts';
export * from './view.ts';
