import type { Change } from '@plumbline/replica';
import {
  type CustodyAct,
  type CustodyEvent,
  checkCustody,
  custodyEvent,
  foldCustody,
} from '@plumbline/shared/kit';
import type { Desk } from '../../../board/desk.ts';
import { say } from '../../../parts/saying.ts';
import type { KitDesk } from './kitDesk.ts';

/** Whether this tablet's person signs for kit at all. */
export function maySign(desk: Desk): boolean {
  return desk.ready.value && desk.me.role !== 'producer';
}

/** Why an act makes no sense now; `null` where it may be signed. */
export function problemOf(desk: Desk, kit: KitDesk, act: CustodyAct): string | null {
  const custody = kit.book.of(act.item);
  return checkCustody(act, {
    me: desk.me.personId,
    item: desk.board.view('kit', act.item),
    custody,
    personOf: (id) => {
      const { name, leftAt } = desk.board.view('people', id);
      return name === undefined ? undefined : { name, left: leftAt !== undefined };
    },
  });
}

/** Signs an act, or says in a sentence why it makes no sense. Returns whether it was signed. */
export function sign(desk: Desk, kit: KitDesk, label: string, act: CustodyAct): boolean {
  const problem = problemOf(desk, kit, act);
  const record = kit.nextRecord();
  if (problem !== null || record === null) {
    say(problem ?? 'Not connected to the base yet: nothing was signed.');
    return false;
  }
  const custody = kit.book.of(act.item);
  const event = custodyEvent(act, { me: desk.me.personId, custody }, Math.floor(desk.now()));
  const changes = [eventChange(record, event), ...conditionChange(desk, act)];
  return desk.set(label, changes)?.kind === 'queued';
}

/** Counts an item in for whoever has it: taken from them, and put back, in one edit. */
export function countIn(desk: Desk, kit: KitDesk, label: string, item: string): boolean {
  const custody = kit.book.of(item);
  const { standing } = custody;
  const me = desk.me.personId;
  const isMine = standing?.custodian.kind === 'person' && standing.custodian.person === me;
  if (isMine || standing?.custodian.kind === 'nobody') {
    return sign(desk, kit, label, { item, what: 'return' });
  }
  const take: CustodyAct = { item, what: 'takeOver', to: me };
  const problem = problemOf(desk, kit, take);
  const first = kit.nextRecord();
  const second = first === null ? null : kit.nextRecord([first]);
  if (problem !== null || first === null || second === null) {
    say(problem ?? 'Not connected to the base yet: nothing was signed.');
    return false;
  }
  const at = Math.floor(desk.now());
  const taken = custodyEvent(take, { me, custody }, at);
  const before = { record: first, event: taken };
  const now = foldCustody(item, [...custody.ledger, before]);
  const back = custodyEvent({ item, what: 'return' }, { me, custody: now }, at, before);
  return desk.set(label, [eventChange(first, taken), eventChange(second, back)])?.kind === 'queued';
}

function eventChange(record: string, event: CustodyEvent): Change {
  return { table: 'custody', record, field: 'event', value: { ...event } };
}

/** The department's own word on an item's condition follows what one of its people signs. */
function conditionChange(desk: Desk, act: CustodyAct): Change[] {
  const address = { table: 'kit', record: act.item, field: 'condition' };
  const said =
    act.condition ??
    (act.what === 'damage'
      ? 'faulty'
      : act.what === 'repair'
        ? 'good'
        : act.what === 'loss'
          ? 'lost'
          : undefined);
  const stands = desk.board.value('kit', act.item, 'condition');
  const found = act.what === 'takeOver' && stands === 'lost' ? 'worn' : undefined;
  const value = said ?? found;
  if (value === undefined || value === stands || !desk.mayWrite(address)) return [];
  return [{ ...address, value }];
}
