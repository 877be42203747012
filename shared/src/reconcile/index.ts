/**
 * The board and what camera and recorder really wrote: what a file says of itself, which take it is, where the two
 * differ, and whose word counts.
 *
 * @module
 */
export * from './folder.ts';
export * from './inspect.ts';
export * from './mediaInfo.ts';
export * from './model.ts';
