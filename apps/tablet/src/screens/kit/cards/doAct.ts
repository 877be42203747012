import { sentence } from '@plumbline/shared';
import type { CardAct } from '@plumbline/shared/cards';
import type { Desk } from '../../../board/desk.ts';
import { say } from '../../../parts/saying.ts';

/** Does what an act of a card writes, and says what is odd about it, or why it is not to be done. Whether it was done. */
export function doAct(desk: Desk, label: string, act: CardAct): boolean {
  if (act.kind === 'refused') {
    say(sentence`${label}: ${act.says}`);
    return false;
  }
  if (desk.set(label, act.changes)?.kind !== 'queued') return false;
  if (act.odd !== null) say(sentence`${label}: ${act.odd}`);
  return true;
}
