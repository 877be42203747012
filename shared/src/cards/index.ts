/**
 * Cards and drives: what may happen to them, how they stand, what is on them and what still goes on them. Common
 * practice, no source, where no other is named.
 *
 * @module
 */
export * from './acts.ts';
export * from './forecast.ts';
export * from './history.ts';
export * from './next.ts';
export * from './rates.ts';
export * from './room.ts';
export * from './standing.ts';
export * from './states.ts';
