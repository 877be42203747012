/**
 * The match picture as data: what must agree between setups that cut together, in the units that people feel it in; and
 * where each line and mark of it is drawn, whether on a screen or on paper.
 *
 * @module
 */
import { plainBoard } from '../rules/board.ts';
import type { Finding } from '../rules/index.ts';
import type { ShootReader } from '../tables/index.ts';
import { setupsInStoryOrder } from '../views/setups.ts';
import { groupModel } from './group.ts';
import { rowHeads } from './heads.ts';
import { marksOf } from './marks.ts';
import type { MatchModel } from './model.ts';
import { aloneIn, outlineOf } from './outline.ts';
import { sourcesIn } from './sources.ts';

export * from './compare.ts';
export * from './drawing.ts';
export * from './filter.ts';
export * from './follow.ts';
export * from './gutter.ts';
export * from './layout.ts';
export * from './model.ts';
export type { MatchOutline } from './outline.ts';
export * from './shapes.ts';
export { sourceOrders, sourcesOf } from './sources.ts';
export * from './words.ts';

/**
 * The match picture of a board: groups in story order, and for each row a line for each camera or recorder, level with
 * the group's reference at 0.
 *
 * @param findings what stands against the board now; it alone decides where a step is marked
 */
export function matchModel(reader: ShootReader, findings: readonly Finding[]): MatchModel {
  const board = plainBoard(reader);
  const marks = marksOf(findings, (person) => reader.view('people', person).name ?? 'somebody');
  const inStoryOrder = setupsInStoryOrder(board.reader);
  const groups = outlineOf(inStoryOrder).map(({ name }) => groupModel(board, marks, name));
  return {
    groups,
    rows: rowHeads(board.reader, groups),
    sources: sourcesIn(board.reader),
    alone: aloneIn(inStoryOrder),
  };
}
