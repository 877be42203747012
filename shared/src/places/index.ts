/**
 * Places: the sun over them along the day, the openings it shines through, and when setups are planned there.
 *
 * @module
 */
export * from './cautions.ts';
export * from './day.ts';
export * from './openings.ts';
export * from './planned.ts';
export * from './track.ts';
