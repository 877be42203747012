/**
 * The routine before the day, at each setup and at wrap: its lines, what the board sees of them by itself, and who
 * ticked the rest. Common practice, no source.
 *
 * @module
 */
export * from './computed.ts';
export * from './day.ts';
export * from './lines.ts';
export * from './ticks.ts';
export * from './usual.ts';
