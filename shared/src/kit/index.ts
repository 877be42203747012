/** Kit: who has what, by the events that people signed. Pure; runs on the base and on every tablet. */
export {
  CHECK_POINTS,
  type CheckPoint,
  type CustodyEvent,
  OWNERSHIPS,
} from '../tables/kit.ts';
export * from './book.ts';
export * from './check.ts';
export * from './codes.ts';
export * from './custody.ts';
export * from './items.ts';
export * from './lists.ts';
export * from './search.ts';
