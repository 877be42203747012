/**
 * An invented day, played on a copy of a board: for training, for showing the board, and as a load.
 *
 * @module
 */
export { type RehearsalOptions, rehearsal } from './day.ts';
export type { Actor, Step, Steps } from './stage.ts';
