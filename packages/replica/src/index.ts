/**
 * Tables of records over Yjs with one writer.
 *
 * @module
 */
export * from './allowance.ts';
export * from './contest.ts';
export * from './decide.ts';
export * from './document.ts';
export * from './edit.ts';
export * from './gradual.ts';
export * from './ids.ts';
export * from './json.ts';
export { mergedUpdates } from './lateDocument.ts';
export * from './link.ts';
export * from './linkPorts.ts';
export * from './live.ts';
export * from './offset.ts';
export * from './outbox.ts';
export * from './pace.ts';
export { cutUpdate } from './pieces.ts';
export * from './presence.ts';
export type { PresentPeople } from './present.ts';
export * from './refusals.ts';
export * from './replica.ts';
export * from './stamps.ts';
export * from './state.ts';
export * from './tables.ts';
export { UnreadBoard } from './unread.ts';
export * from './wire.ts';
