import type { RuleBoard } from './board.ts';
import { byStory, type SetupSummary, setupSummary } from './setup.ts';

/** The setups of a match group that are in use, in story order. */
export function membersOf(board: RuleBoard, group: string): SetupSummary[] {
  return board
    .list('setupsOfGroup', group)
    .map((id) => setupSummary(board, id))
    .sort(byStory);
}

/** The setups of a scene that are in use, in story order. */
export function storyOrder(board: RuleBoard, scene: string): string[] {
  return board
    .list('setupsOfScene', scene)
    .map((id) => setupSummary(board, id))
    .sort(byStory)
    .map(({ id }) => id);
}

/** The setup that most of the group name as their reference; where none is named, the first in story order. */
export function groupReference(board: RuleBoard, group: string): string | null {
  const members = membersOf(board, group);
  const ids = new Set(members.map(({ id }) => id));
  const named = new Map<string, number>();
  for (const { reference } of members) {
    if (reference !== null && ids.has(reference)) named.set(reference, (named.get(reference) ?? 0) + 1);
  }
  let best: string | null = null;
  for (const { id } of members) {
    if (best === null || (named.get(id) ?? 0) > (named.get(best) ?? 0)) best = id;
  }
  return best;
}

/** The setup that this one is matched to; `null` where it is the reference itself or cuts with no other. */
export function referenceOfSetup(board: RuleBoard, setup: SetupSummary): string | null {
  if (setup.group === null) return null;
  const reference = board.referenceOf(setup.group);
  return reference === setup.id ? null : reference;
}

/** The setups that are matched to this one. */
export function matchedTo(board: RuleBoard, setup: string): readonly string[] {
  const group = board.reader.view('setups', setup).matchGroup;
  if (group === undefined || board.referenceOf(group) !== setup) return [];
  return board.list('setupsOfGroup', group).filter((other) => other !== setup);
}
