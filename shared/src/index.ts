/**
 * The shoot: its tables and fields, guards, rules, views and plan importer. Runs on the base and on every tablet.
 *
 * @module
 */
export * from './board/index.ts';
export * from './guards/index.ts';
export * from './tables/index.ts';
export * from './views/index.ts';
